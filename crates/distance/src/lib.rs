//! True distances between parts of a header and what stands around them.
//!
//! A [`Solid`] is a full body: a tube with what is in it. Lengths in mm, everything in the car's axes.

mod near;
mod solid;

pub use near::Near;
pub use solid::{Bend, Capsule, Cone, Cylinder, Shell, Solid};
