//! Whether a header fits: its parts against the bay, against each other, against tools and the ground;
//! cold, hot and with the engine rocking.

mod affine;
mod against;
pub mod body;
mod check;
pub mod clearance;
mod ears;
mod findings;
pub mod growth;
mod header;
mod meeting;
mod moving;
mod obstacle;
mod own;
mod shell;
mod slice;
mod state;
mod station;
pub mod subject;
mod sweep;
mod threads;

pub use body::{Along, Axis, Body};
pub use check::{check, check_on};
pub use clearance::{Clearance, Placed, Row, ScanTold};
pub use growth::Growth;
pub use meeting::{Lead, Meeting, Member, TAPER, meetings};
pub use own::SHOWN;
pub use shell::ARC;
pub use state::State;
pub use subject::{Kind, Subject, subjects};
pub use sweep::{RESOLUTION, SHARE};
