//! True distances between parts of a header and what stands around them.
//!
//! A [`Solid`] is a full body: a tube with what is in it. Lengths in mm, everything in the car's axes.

// `to_point` and its kind are ways to something, not conversions.
#![allow(clippy::wrong_self_convention)]

mod bend;
mod block;
mod body;
mod bounds;
mod build;
mod capsule;
mod cone;
mod convex;
mod cylinder;
mod disc;
mod gap;
mod half_space;
mod halving;
mod inside;
mod near;
mod packed;
mod pair;
mod parts;
mod ring;
mod search;
mod shell;
mod solid;
mod surface;
mod tree;
mod triangle;

pub use bounds::Bounds;
pub use inside::Votes;
pub use near::Near;
pub use parts::{Misfit, Parts};
pub use search::{Hit, Item, Touch};
pub use solid::{Bend, Capsule, Cone, Cylinder, Shell, Solid};
pub use tree::Tree;
