//! Model files: STL.
