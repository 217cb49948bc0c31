//! A Design laid out in space: runs, pieces, joints, merges and what was noticed.

pub mod layout;

pub use layout::{Fault, Layout};
