//! A Design laid out in space: runs, pieces, joints, merges and what was noticed.

mod assembled;
mod branches;
pub mod closing;
mod drawn;
mod end_error;
mod firing;
pub mod fitting;
mod fittings;
pub mod flange_plate;
pub mod growth;
mod holes;
mod interruptions;
mod joints;
mod lay;
pub mod layout;
mod merges;
mod movement;
mod noticed;
mod noticed_fittings;
mod openings;
mod plate_findings;
mod plates;
pub mod plug;
mod run_ends;
mod run_pieces;
mod runs;
mod segmented;
mod through;
mod transition;
mod weld_seams;

pub use closing::close;
pub use flange_plate::FlangePlate;
pub use lay::lay;
pub use layout::{Fault, Layout};
pub use plug::Plug;
pub use transition::{LEAN, STRETCH, Transition};
