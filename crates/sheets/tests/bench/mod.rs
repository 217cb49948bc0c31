//! The invented header that the tests of the sheets look at: drawn and assembled runs, a fitted merge
//! with a cone, an outlet fitted onto a host.

#![allow(dead_code)]

use layout::Layout;
use spec::{Design, Source};

pub const SPEC: &str = include_str!("../data/bench.toml");
pub const SHOP: &str = include_str!("../data/bench.shop.toml");

/// The header laid out, from the texts of its spec and its shop file.
pub fn laid(spec: &str, shop: &str) -> (Design, Layout) {
    let source = Source::from_bytes("bench.toml", spec.as_bytes()).unwrap();
    let mut load = |path: &str| Ok(Source::from_bytes(path, shop.as_bytes()).unwrap());
    let (design, _) = spec::read_design(&source, &mut load).unwrap();
    let layout = layout::lay(&design).unwrap();
    (design, layout)
}

/// The header as its files are.
pub fn bench() -> (Design, Layout) {
    laid(SPEC, SHOP)
}
