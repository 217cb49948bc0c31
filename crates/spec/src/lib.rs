//! A header's spec and the shop's file: text in, checked Design out.

pub mod design;
pub mod finding;
pub mod shop;

pub use design::Design;
pub use finding::{Finding, Level};
pub use shop::Shop;
