//! Scans of what stands around a header: a file's bytes in, points and triangles out.
//!
//! A scan stays in its file's own units and axes, in full precision; [`geom::Similarity`] carries it
//! into the car.

mod fault;
mod format;
mod scan;

pub use fault::{Fault, Place};
pub use format::Format;
pub use scan::Scan;
