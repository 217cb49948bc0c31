//! Model files: STL, STEP.

pub mod step;
pub mod stl;

pub use stl::{StlFault, header_stl, read_stl, stl};
