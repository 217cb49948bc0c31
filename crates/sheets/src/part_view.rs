//! Printed parts seen along a direction: their lengths of tube with their spigots, and what their nodes hold.

use fitment::{Fitment, Joining, NodeKind, Strand, Stretch};
use layout::Layout;
use layout::flange_plate::{FlangePlate, PlateOf};
use layout::layout::Owner;
use tube::alloy::ALLOYS;
use tube::{Centreline, Cut, End, Piece, Section};

use crate::picture::tubes_side;
use crate::projection::{Mark, View};

/// Everything that is drawn of a part, which is told by its index.
pub fn part(view: &View, layout: &Layout, model: &Fitment, index: usize) -> Vec<Mark> {
    let plan = &model.division.parts[index];
    let mut marks: Vec<Mark> = plan
        .stretches
        .iter()
        .flat_map(|stretch| tubes(layout, &model.strands[stretch.strand], stretch))
        .chain(spigots(model, index))
        .flat_map(|piece| view.piece(&piece))
        .collect();
    for node in &plan.nodes {
        marks.extend(held(view, layout, model.nodes[*node].kind));
    }
    marks
}

/// The run's own tubes of a stretch, one for each diameter: what continues it in line belongs to its node.
fn tubes(layout: &Layout, strand: &Strand, stretch: &Stretch) -> Vec<Piece> {
    let own = [strand.origin, strand.origin + layout.runs[strand.run].length()];
    let (from, to) = (stretch.from.max(own[0]), stretch.to.min(own[1]));
    if to - from < SHORTEST {
        return Vec::new();
    }
    let outside = strand.outside.slice(from, to);
    let lengths = outside.points.windows(2).filter(|pair| pair[1].0 - pair[0].0 > SHORTEST);
    let piece =
        |pair: &[(f64, f64)]| tube(strand.line.between(pair[0].0, pair[1].0), 0.5 * (pair[0].1 + pair[1].1));
    lengths.filter_map(piece).collect()
}

/// Shorter lengths are not drawn, mm.
const SHORTEST: f64 = 0.05;

fn tube(line: Centreline, radius: f64) -> Option<Piece> {
    let section = Section { od: 2.0 * radius, wall: 0.2 * radius, alloy: &ALLOYS[0] };
    let length = line.length();
    Piece::tube(line, section, Cut::square(0.0), Cut::square(length))
}

/// The pins of a part's spigots.
fn spigots(model: &Fitment, part: usize) -> impl Iterator<Item = Piece> {
    let joinings = model.division.joinings.iter().enumerate();
    let own = joinings.filter(move |(index, _)| model.division.mates(*index)[0] == part);
    own.filter_map(|(_, joining)| pin(&model.strands[joining.strand], joining))
}

fn pin(strand: &Strand, joining: &Joining) -> Option<Piece> {
    let frame = strand.line.frame_at(joining.station);
    let start = if joining.spigot == End::End { frame } else { frame.reversed() };
    tube(Centreline::straight(start, joining.keyed.length), joining.keyed.radius)
}

/// What a node holds besides the runs: a merge's pieces, a part of a plate with its transitions, a bung.
fn held(view: &View, layout: &Layout, kind: NodeKind) -> Vec<Mark> {
    match kind {
        NodeKind::Merge(merge) => {
            let pieces = layout.pieces.iter().filter(|part| part.owner == Owner::Merge(merge));
            pieces.flat_map(|part| view.piece(&part.piece)).collect()
        }
        NodeKind::Flange(plate, part) => {
            let plate = &layout.plates[plate];
            let one = FlangePlate { parts: vec![plate.parts[part].clone()], ..plate.clone() };
            let transitions = layout.transitions.iter().filter(|t| plate.of == PlateOf::Flange(t.flange));
            let mut marks: Vec<Mark> = transitions.flat_map(|t| view.transition(t)).collect();
            marks.extend(view.plate(&one, tubes_side(layout, plate)));
            marks
        }
        NodeKind::Bung(bung) => view.piece(&layout.pieces[layout.bungs[bung].piece].piece),
        NodeKind::Branch(_) | NodeKind::End(..) => Vec::new(),
    }
}
