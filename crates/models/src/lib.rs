//! Model files: STL, 3MF, STEP.

pub mod step;
pub mod stl;
pub mod threemf;

pub use stl::{StlFault, header_stl, read_stl, rounded, shells, stl};
pub use threemf::threemf;
