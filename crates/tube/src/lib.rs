//! Centrelines, sections, cuts, merges and pieces: the exact geometry of tube work.

pub mod alloy;
pub mod centreline;
pub mod cut;
pub mod merge;
pub mod piece;
pub mod row;
pub mod section;
pub mod vertex;

pub use alloy::Alloy;
pub use centreline::{Centreline, Segment, Span};
pub use cut::{Cut, End, Saddle, Shape, WallLine};
pub use piece::{Body, Piece};
pub use row::{Row, Rows};
pub use section::Section;
pub use vertex::{Vertex, VertexError, VertexTolerance};
