//! The printable test-fitment model of a header.
//!
//! A layout becomes [`Strand`]s, each a line of tubes with the radius along it, and [`Node`]s, which hold strands
//! together: flanges, merges, branches. Strands are cut where the printer's room asks for it ([`Division`]) and
//! swept into closed meshes, with a keyed spigot on one side of each cut and its socket on the other. What
//! belongs to a node is united by booleans, and one more sinks figures, datum and the outlines of
//! openings into each part.

pub mod assembly;
mod balls;
pub mod calipers;
mod candidate;
pub mod collar;
pub mod cube;
pub mod datum;
pub mod division;
pub mod fault;
pub mod figures;
pub mod fitment;
pub mod fits;
mod footing;
pub mod glyph;
pub mod header;
pub mod keyed;
pub mod make;
pub mod marking;
pub mod nest;
pub mod node;
mod noticed;
mod openings;
pub mod part;
mod passage;
pub mod placement;
mod plates;
pub mod pose;
pub mod profile;
mod search;
mod sections;
pub mod settings;
pub mod sleeve;
pub mod split;
pub mod store;
pub mod strand;
mod surface;
pub mod sweep;
pub mod unite;
pub mod variant;
mod web;
pub mod wheel;

pub use collar::{Collars, collars};
pub use cube::cube;
pub use division::{Division, Joining, PartPlan, Stretch};
pub use fault::Fault;
pub use fitment::{Collar, Fitment, PrintPlate, Printed, TestCube};
pub use header::strands_and_nodes;
pub use keyed::Keyed;
pub use make::make;
pub use node::{Block, Hold, Node, NodeKind};
pub use placement::Placement;
pub use profile::{Profile, Side};
pub use settings::{Settings, Variant};
pub use split::divided;
pub use store::{NoStore, Progress, Silent, Store};
pub use strand::{Keep, SteelJoint, Strand};
pub use sweep::{Hollow, Sweep, Tip, swept};
pub use variant::{Made, made};
pub use wheel::Wheel;
