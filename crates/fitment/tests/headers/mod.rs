//! Every shipped spec and fixture as strands and nodes.
#![allow(dead_code, missing_docs, reason = "shared by tests")]

#[path = "../shared/mod.rs"]
pub mod shared;

use fitment::{Node, Strand, strands_and_nodes};
use layout::Layout;
use spec::Design;

/// A header.
pub struct Header {
    pub name: String,
    pub design: Design,
    pub layout: Layout,
    pub strands: Vec<Strand>,
    pub nodes: Vec<Node>,
}

/// Every shipped spec and fixture; `chord` is the largest distance between a block's mesh and the true surface, mm.
pub fn headers(chord: f64) -> Vec<Header> {
    let all = shared::designs().into_iter();
    all.map(|(name, design, layout)| of_layout(name, design, layout, chord)).collect()
}

/// A header made of its layout.
pub fn of_layout(name: String, design: Design, layout: Layout, chord: f64) -> Header {
    let made = strands_and_nodes(&design, &layout, chord);
    let (strands, nodes) = made.unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
    Header { name, design, layout, strands, nodes }
}
