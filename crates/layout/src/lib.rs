//! A Design laid out in space: runs, pieces, joints, merges and what was noticed.

mod assembled;
mod drawn;
mod end_error;
mod interruptions;
mod joints;
mod lay;
pub mod layout;
mod merges;
mod noticed;
mod runs;
mod segmented;
mod weld_seams;

pub use lay::lay;
pub use layout::{Fault, Layout};
