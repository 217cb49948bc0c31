//! Whether a header fits: its parts against the bay, against each other, against tools and the ground;
//! cold, hot and with the engine rocking.

mod affine;
pub mod body;
pub mod clearance;
mod ears;
pub mod growth;
mod moving;
mod shell;
mod state;
mod station;
pub mod subject;

pub use body::{Along, Axis, Body};
pub use clearance::{Clearance, Placed, Row, ScanTold};
pub use growth::Growth;
pub use shell::ARC;
pub use state::State;
pub use subject::{Kind, Subject, subjects};
