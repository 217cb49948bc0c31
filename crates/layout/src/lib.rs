//! A Design laid out in space: runs, pieces, joints, merges and what was noticed.

mod assembled;
mod branches;
pub mod closing;
mod drawn;
mod end_error;
mod holes;
mod interruptions;
mod joints;
mod lay;
pub mod layout;
mod merges;
mod noticed;
mod openings;
mod run_ends;
mod runs;
mod segmented;
mod through;
mod weld_seams;

pub use closing::close;
pub use lay::lay;
pub use layout::{Fault, Layout};
