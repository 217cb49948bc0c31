//! Whole headers united: one closed solid for each header that hangs together, as large as the kernel's pieces.

mod headers;

use fitment::unite::combined;
use fitment::{NoStore, Strand, Sweep, Tip, swept};
use headers::{Header, headers, of_layout};
use solids::Mesh;

/// Coarse, to be quick, mm.
const CHORD: f64 = 0.1;

/// By how much the metal between two polygons around a tube falls short of that between circles, and what is filled at
/// edges, as a share.
const ROUGH: f64 = 6e-3;

/// Headers in which no piece stands in another, no merge is hammered shut and no void is filled.
const PLAIN: [&str; 14] = [
    "cuts-both-ends",
    "cuts-straight",
    "fitted-3",
    "fitted-4",
    "fitted-5",
    "fitted-6",
    "fitted-cone-3",
    "fitted-cone-6",
    "formed-steps",
    "half-turns",
    "host-cone",
    "host-equal",
    "host-skew",
    "twin-fitted",
];

/// A strand from end to end.
fn sweep(strand: &Strand) -> Sweep<'_> {
    let [(from, start), (to, end)] = [0, 1].map(|k| Tip::of(&strand.ends[k]).unwrap());
    let tips = [start, end];
    Sweep {
        line: &strand.line,
        outside: &strand.outside,
        from,
        to,
        tips,
        hollows: Vec::new(),
        wheels: Vec::new(),
        chord: CHORD,
    }
}

/// A strand's bore, out of its ends where it is open.
fn bore(strand: &Strand) -> Sweep<'_> {
    let whole = sweep(strand);
    let (from, to) = strand.bore.reach();
    let open = [from < 1e-6, to > strand.line.length() - 1e-6];
    let tip = |k: usize| if open[k] { whole.tips[k] } else { Tip::Square };
    let from = if open[0] { whole.from - 1.0 } else { from };
    let to = if open[1] { whole.to + 1.0 } else { to };
    Sweep { outside: &strand.bore, from, to, tips: [tip(0), tip(1)], ..whole }
}

/// The group of each thing that is joined to others in pairs.
fn groups(count: usize, pairs: impl Iterator<Item = (usize, usize)>) -> Vec<usize> {
    let mut group: Vec<usize> = (0..count).collect();
    for (a, b) in pairs {
        let (a, b) = (group[a], group[b]);
        group.iter_mut().filter(|g| **g == b).for_each(|g| *g = a);
    }
    group.sort_unstable();
    group.dedup();
    group
}

/// How many closed shells a mesh has.
fn shells(mesh: &Mesh) -> usize {
    let mut parent: Vec<u32> = (0..mesh.points.len() as u32).collect();
    fn root(parent: &mut [u32], mut i: u32) -> u32 {
        while parent[i as usize] != i {
            parent[i as usize] = parent[parent[i as usize] as usize];
            i = parent[i as usize];
        }
        i
    }
    for [a, b, c] in &mesh.triangles {
        let (a, b, c) = (root(&mut parent, *a), root(&mut parent, *b), root(&mut parent, *c));
        parent[b as usize] = a;
        parent[c as usize] = a;
    }
    (0..parent.len() as u32).filter(|i| root(&mut parent, *i) == *i).count()
}

/// Every header is one closed solid for each group of runs that hang together, without a void in it. Hollow, it has the
/// volume of the kernel's pieces, where that can be said.
#[test]
fn a_header_is_one_closed_solid_as_large_as_its_pieces() {
    for Header { name, strands, nodes, layout, .. } in &headers(CHORD) {
        let outsides: Vec<Mesh> = strands.iter().map(|strand| swept(&sweep(strand)).unwrap()).collect();
        let blocks = nodes.iter().flat_map(|node| &node.blocks);
        let adds: Vec<&Mesh> = outsides.iter().chain(blocks.clone().map(|block| &block.outside)).collect();
        let solid = combined(&adds, &[], &NoStore).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        solid.check().unwrap();
        let pairs = nodes.iter().flat_map(|n| n.holds.windows(2).map(|h| (h[0].strand, h[1].strand)));
        let alone = nodes.iter().filter(|node| node.holds.is_empty()).count();
        assert_eq!(shells(&solid), groups(strands.len(), pairs).len() + alone, "{name}");
        if !PLAIN.contains(&name.as_str()) {
            continue;
        }
        let bores: Vec<Mesh> = strands.iter().map(|strand| swept(&bore(strand)).unwrap()).collect();
        let takes: Vec<&Mesh> = bores.iter().chain(blocks.flat_map(|block| &block.bores)).collect();
        let shell = combined(&adds, &takes, &NoStore).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        let kernel: f64 = layout.pieces.iter().map(|part| part.piece.volume()).sum();
        assert_eq!((shells(&shell), layout.plates.len()), (1, 0), "{name}");
        let ratio = shell.volume() / kernel;
        assert!((ratio - 1.0).abs() < ROUGH, "{name}: {ratio}");
    }
}

/// Runs that close with a gap meet their legs a little off the axis: the legs stand where the merge has them.
#[test]
fn a_leg_that_is_not_in_line_is_a_block_of_its_own() {
    let several = headers(CHORD).into_iter().filter(|h| ["shed-twin", "fitted-3"].contains(&h.name.as_str()));
    for Header { name, design, mut layout, .. } in several {
        let run = layout.merges[0].legs[0].run;
        layout.runs[run].centreline.start.at += geom::DVec3::new(0.3, -0.2, 0.4);
        layout.runs[run].closure.gap = 0.54;
        let leg = layout.pieces[layout.merges[0].legs[0].piece].clone();
        let Header { strands, nodes, .. } = of_layout(name.clone(), design, layout, CHORD);
        let outsides: Vec<Mesh> = strands.iter().map(|strand| swept(&sweep(strand)).unwrap()).collect();
        let blocks: Vec<_> = nodes.iter().flat_map(|node| &node.blocks).collect();
        let own = blocks.iter().filter(|block| block.mark == leg.mark);
        assert_eq!(own.count(), 1, "{name}");
        let adds: Vec<&Mesh> = outsides.iter().chain(blocks.iter().map(|block| &block.outside)).collect();
        let solid = combined(&adds, &[], &NoStore).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        assert_eq!(shells(&solid), 1, "{name}");
    }
}
