//! Centrelines, sections, cuts, merges and pieces: the exact geometry of tube work.

pub mod alloy;
pub mod row;
pub mod section;

pub use alloy::Alloy;
pub use row::{Row, Rows};
pub use section::Section;
