//! Printed parts seen along a direction: their lengths of tube with their spigots, and what their nodes hold.

use fitment::{Fitment, Joining, NodeKind, Strand, Stretch};
use layout::Layout;
use layout::flange_plate::{FlangePlate, PlateOf};
use layout::layout::Owner;
use tube::alloy::ALLOYS;
use tube::{Body, Centreline, Cut, End, Piece, Section};

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
        match model.nodes[*node].kind {
            NodeKind::Merge(merge) => {
                marks.extend(merged(layout, model, index, merge).iter().flat_map(|p| view.piece(p)));
            }
            kind => marks.extend(held(view, layout, kind)),
        }
    }
    marks
}

/// The tubes of a stretch, one for each diameter. What continues its run in line belongs to a node, up to the joint where
/// there is one on it.
fn tubes(layout: &Layout, strand: &Strand, stretch: &Stretch) -> Vec<Piece> {
    let own = [strand.origin, strand.origin + layout.runs[strand.run].length()];
    let from = if stretch.start.is_some() { stretch.from } else { stretch.from.max(own[0]) };
    let to = if stretch.end.is_some() { stretch.to } else { stretch.to.min(own[1]) };
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

/// A merge's pieces, its legs only from the joints that stand on them.
fn merged(layout: &Layout, model: &Fitment, part: usize, merge: usize) -> Vec<Piece> {
    let legs = &layout.merges[merge].legs;
    let pieces = layout.pieces.iter().enumerate().filter(|(_, part)| part.owner == Owner::Merge(merge));
    let left = pieces.filter_map(|(index, piece)| {
        let lost =
            legs.iter().find(|leg| leg.piece == index).map_or(0.0, |leg| lost(layout, model, part, leg.run));
        if lost > 0.0 { shortened(&piece.piece, lost) } else { Some(piece.piece.clone()) }
    });
    left.collect()
}

/// How much of what continues a run belongs to another part, upstream of a joint that stands on it, mm.
fn lost(layout: &Layout, model: &Fitment, part: usize, run: usize) -> f64 {
    let stretches = &model.division.parts[part].stretches;
    let joined = stretches.iter().filter(|stretch| stretch.start.is_some());
    let own = joined.filter(|stretch| model.strands[stretch.strand].run == run);
    let beyond = own.map(|s| s.from - model.strands[s.strand].origin - layout.runs[run].length());
    beyond.fold(0.0, f64::max)
}

/// A tube without the first `by` mm of it, cut square there.
fn shortened(piece: &Piece, by: f64) -> Option<Piece> {
    let Body::Tube { centreline, section } = &piece.body else { return Some(piece.clone()) };
    Piece::tube(
        centreline.between(by, centreline.length()),
        *section,
        Cut::square(0.0),
        piece.cut(End::End).moved(-by),
    )
}

/// What a node but a merge holds besides the runs: a part of a plate with its transitions, a bung.
fn held(view: &View, layout: &Layout, kind: NodeKind) -> Vec<Mark> {
    match kind {
        NodeKind::Flange(plate, part) => {
            let plate = &layout.plates[plate];
            let one = FlangePlate { parts: vec![plate.parts[part].clone()], ..plate.clone() };
            let transitions = layout.transitions.iter().filter(|t| plate.of == PlateOf::Flange(t.flange));
            let mut marks: Vec<Mark> = transitions.flat_map(|t| view.transition(t)).collect();
            marks.extend(view.plate(&one, tubes_side(layout, plate)));
            marks
        }
        NodeKind::Bung(bung) => view.piece(&layout.pieces[layout.bungs[bung].piece].piece),
        NodeKind::Merge(_) | NodeKind::Branch(_) | NodeKind::End(..) => Vec::new(),
    }
}
