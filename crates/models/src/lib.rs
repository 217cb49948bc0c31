//! Model files: STL.

pub mod stl;

pub use stl::{StlFault, header_stl, read_stl, stl};
