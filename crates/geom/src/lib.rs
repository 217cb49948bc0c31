//! Angles, lengths, frames, quadrature and roots: the arithmetic that everything else rests on.
//!
//! Inside hotside a length is in millimetres and an angle in radians, as plain `f64`.
//! Trade units appear only at the edges: [`mod@unit`] reads and writes them.

pub mod angle;
pub mod eigen;
pub mod frame;
pub mod math;
pub mod quadrature;
pub mod rigid_fit;
pub mod roots;
pub mod similarity;
pub mod threads;
pub mod unit;

pub use frame::Frame;
pub use glam::{DMat3, DVec3};
pub use rigid_fit::RigidFit;
pub use similarity::Similarity;
