//! Centrelines, sections, cuts, merges and pieces: the exact geometry of tube work.

pub mod alloy;
pub mod area;
pub mod centreline;
pub mod cut;
pub mod form;
pub mod hole;
pub mod merge;
pub mod mitre;
pub mod piece;
pub mod rod;
mod round;
pub mod row;
pub mod saddle;
pub mod section;
pub mod tolerance;
pub mod vertex;
pub mod void;

pub use alloy::Alloy;
pub use centreline::{Centreline, Segment, Span};
pub use cut::{Cut, End, Shape, WallLine};
pub use form::Form;
pub use hole::{Hole, HoleFault};
pub use mitre::{MitredBend, Segments};
pub use piece::{Body, Piece};
pub use rod::Rod;
pub use row::{Row, Rows};
pub use saddle::{Miss, Saddle};
pub use section::Section;
pub use tolerance::Tolerance;
pub use vertex::{Vertex, VertexError, VertexTolerance};
pub use void::VoidSection;
