//! Flat outlines of straight lines and true arcs: flanges, port shapes and their drawing files.
//!
//! A [`Loop`] is a closed line; an [`Outline`] is a plate's outside with its holes. Areas, lengths
//! and distances are exact, from the edges themselves. Lengths are in mm, angles in rad,
//! counter-clockwise above 0. Text and bytes in and out, no files.

mod cut;
pub mod drawing;
pub mod dxf;
pub mod edge;
pub mod ellipse;
pub mod fault;
pub mod gap;
pub mod hull;
mod offset;
pub mod outline;
pub mod shape;
pub mod svg;

pub use drawing::{Drawing, Ink};
pub use edge::Edge;
pub use ellipse::Ellipse;
pub use fault::Fault;
pub use gap::Gap;
pub use glam::DVec2;
pub use hull::hull;
pub use outline::{Loop, Outline};
pub use shape::{Corner, bolt_circle};
