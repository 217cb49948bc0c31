//! A layout as strands and nodes.
//!
//! Every run is a strand: its own pieces, and the merge's leg or cone that goes on in line. What is fitted onto
//! something ends inside that, as far as the two overlap and neither comes out on another side (`reach`).

mod ends;
pub(crate) mod flange;
mod full;
mod keeps;
mod merge;
mod reach;
mod tubes;
mod wall;

use layout::Layout;
use spec::Design;

use crate::fault::Fault;
use crate::node::Node;
use crate::strand::Strand;

use reach::Reach;
use tubes::Tubes;

/// The strands of a layout, one for each run in the same order, and the nodes that hold them together: parts of
/// plates, merges, branches, bungs, ends on bodies that are not printed. `chord` is the largest distance between
/// a block's mesh and the true surface, mm.
///
/// A merge's plug is left out: it would stand loose in the void. Errors: a block whose mesh does not come out closed.
pub fn strands_and_nodes(
    design: &Design,
    layout: &Layout,
    chord: f64,
) -> Result<(Vec<Strand>, Vec<Node>), Vec<Fault>> {
    let whole = Whole { design, layout, chord };
    let strands: Vec<Strand> = (0..layout.runs.len()).map(|run| whole.strand(run)).collect();
    let mut faults = Vec::new();
    let mut nodes = Vec::new();
    let found =
        [whole.flanges(&strands), whole.merges(&strands), whole.walls(&strands), whole.ends(&strands)];
    for node in found.into_iter().flatten() {
        node.map_or_else(|fault| faults.push(fault), |node| nodes.push(node));
    }
    if faults.is_empty() { Ok((strands, nodes)) } else { Err(faults) }
}

/// The header that is made into strands and nodes.
struct Whole<'a> {
    design: &'a Design,
    layout: &'a Layout,
    chord: f64,
}

impl Whole<'_> {
    /// A run as a strand.
    fn strand(&self, run: usize) -> Strand {
        let laid = &self.layout.runs[run];
        let reach = Reach::of(self, run);
        let tubes = Tubes::of(self, run, &reach);
        let (line, origin) = (reach.line(laid), -reach.from);
        let [outside, bore] = tubes.profiles(&reach);
        Strand {
            run,
            name: laid.name.clone(),
            joints: tubes.joints(self.layout, &line),
            keeps: self.keeps(run, &tubes, &reach),
            ends: reach.cuts(&line),
            line,
            origin,
            wall: outside.least_above(&bore),
            outside: self.outlet_outside(run, &reach, outside),
            bore: self.bore(run, &reach, bore),
        }
    }
}

/// How far two solids reach into each other where their surfaces would only touch, mm: less than any printer
/// shows, far more than rounding to single precision moves a point.
const OVERLAP: f64 = 0.05;

/// How far something that stands on a wall reaches into it beyond its edge, where there is room, mm.
const DEEP: f64 = 2.0;
