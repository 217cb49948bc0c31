//! Model files: STL, 3MF, STEP, and a coloured PLY.

pub mod ply;
pub mod step;
pub mod stl;
pub mod threemf;

pub use ply::clearance_ply;
pub use stl::{StlFault, header_stl, read_stl, rounded, shells, stl};
pub use threemf::threemf;
