//! A header's spec and the shop's file: text in, checked Design out.
//!
//! [`read_design`] reports everything that is wrong at once, each with its token and its mend. The
//! same key tables that it checks a file against give the JSON Schema ([`schema`]).

mod bay_file;
mod bay_keys;
mod branch_file;
mod branch_keys;
mod branch_network;
pub mod design;
pub mod diagnostic;
mod ends_file;
mod fastener_file;
pub mod finding;
mod firing_file;
mod fitting_file;
mod fitting_keys;
mod key;
mod merge_file;
mod names;
mod network;
mod open_scalar;
pub mod origins;
mod path_file;
mod place_file;
mod plate_file;
mod plate_keys;
mod printer_file;
mod reader;
mod run_file;
mod scalar;
mod scan_file;
pub mod schema;
mod shape_file;
pub mod shop;
mod shop_file;
mod shop_keys;
pub mod source;
mod spec_file;
mod spec_keys;
pub mod starter;
mod syntax;
mod thread;
mod tube_file;
mod value;

pub use design::Design;
pub use diagnostic::Diagnostic;
pub use finding::{Finding, Level};
pub use origins::Origins;
pub use shop::Shop;
pub use shop_file::read_shop;
pub use source::Source;
pub use spec_file::{Unread, read_design, read_spec};
pub use starter::{StarterLayout, starter};
