//! Printed parts seen along a direction: their lengths of tube with their spigots, and what their nodes hold.

use fitment::{Fitment, Joining, Keyed, NodeKind, PartPlan, Strand, Stretch};
use geom::Frame;
use geom::math::tan;
use layout::Layout;
use layout::flange_plate::{FlangePlate, PlateOf};
use layout::layout::Owner;
use tube::alloy::ALLOYS;
use tube::{Body, Centreline, Cut, End, Piece, Section};

use crate::picture::{faces, tubes_side};
use crate::projection::{Mark, View};

/// Everything that is drawn of a part by itself, which is told by its index.
pub fn part(view: &View, layout: &Layout, model: &Fitment, index: usize) -> Vec<Mark> {
    let pins = spigots(model, index).flat_map(|piece| view.piece(&piece));
    outside(view, layout, model, index).into_iter().chain(pins).collect()
}

/// The same without the spigots: what is seen of it where they are in their sockets.
pub fn outside(view: &View, layout: &Layout, model: &Fitment, index: usize) -> Vec<Mark> {
    let plan = &model.division.parts[index];
    let tubes = plan.stretches.iter().flat_map(|s| tubes(layout, &model.strands[s.strand], s));
    let mut marks: Vec<Mark> = tubes.flat_map(|piece| view.piece(&piece)).collect();
    for node in &plan.nodes {
        match model.nodes[*node].kind {
            NodeKind::Merge(merge) => marks.extend(merged(view, layout, model, index, merge)),
            kind => marks.extend(held(view, layout, kind)),
        }
    }
    marks
}

/// The tubes of a stretch, one for each straight line of its profile. What continues its run in line belongs to a node,
/// up to the joint where there is one on it.
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
        |pair: &[(f64, f64)]| taper(strand.line.between(pair[0].0, pair[1].0), [pair[0].1, pair[1].1]);
    lengths.filter_map(piece).collect()
}

/// Shorter lengths are not drawn, mm.
const SHORTEST: f64 = 0.05;

/// A tube, or on a straight a cone, of these outside radii at its ends.
fn taper(line: Centreline, radii: [f64; 2]) -> Option<Piece> {
    let is_straight = line.spans().iter().all(|span| !span.is_arc());
    if !is_straight || (radii[1] - radii[0]).abs() < SHORTEST {
        return tube(line, 0.5 * (radii[0] + radii[1]));
    }
    cone(line.start, radii.map(|radius| 2.0 * radius), line.length(), Cut::square(0.0))
}

fn tube(line: Centreline, radius: f64) -> Option<Piece> {
    let section = Section { od: 2.0 * radius, wall: 0.2 * radius, alloy: &ALLOYS[0] };
    let length = line.length();
    Piece::tube(line, section, Cut::square(0.0), Cut::square(length))
}

/// A cone whose start may be cut; what is drawn of it is its outside.
fn cone(frame: Frame, ods: [f64; 2], length: f64, start: Cut) -> Option<Piece> {
    let [start_od, end_od] = ods;
    let wall = 0.1 * start_od.min(end_od);
    Piece::cone(Body::Cone { frame, start_od, end_od, length, wall, alloy: &ALLOYS[0] }, start)
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
    let Keyed { radius, length, draft, .. } = joining.keyed;
    taper(Centreline::straight(start, length), [radius, radius - length * tan(draft)])
}

/// A merge's pieces: its legs from the joints that stand on them, its cone up to one on it.
fn merged(view: &View, layout: &Layout, model: &Fitment, part: usize, merge: usize) -> Vec<Mark> {
    let it = &layout.merges[merge];
    let run_of = |piece: usize| it.legs.iter().find(|leg| leg.piece == piece).map(|leg| leg.run);
    let pieces = layout.pieces.iter().enumerate().filter(|(_, part)| part.owner == Owner::Merge(merge));
    let drawn = pieces.flat_map(|(index, own)| {
        let run = if it.cone == Some(index) { Some(it.outlet) } else { run_of(index) };
        let lost = run.map_or([0.0; 2], |run| {
            lost(&model.strands, &model.division.parts[part], run, layout.runs[run].length())
        });
        kept(&own.piece, lost).map_or_else(Vec::new, |left| view.faced(&left, faces(own)))
    });
    drawn.collect()
}

/// How much of what continues a run in line is another part's, mm: downstream of its end up to a joint that stands there,
/// and upstream of its start from one.
fn lost(strands: &[Strand], plan: &PartPlan, run: usize, length: f64) -> [f64; 2] {
    let own = || plan.stretches.iter().filter(|stretch| strands[stretch.strand].run == run);
    let beyond = own().filter(|stretch| stretch.start.is_some());
    let beyond = beyond.map(|stretch| stretch.from - strands[stretch.strand].origin - length);
    let before = own().filter(|stretch| stretch.end.is_some());
    let before = before.map(|stretch| strands[stretch.strand].origin - stretch.to);
    [beyond.fold(0.0, f64::max), before.fold(0.0, f64::max)]
}

/// A merge's leg without what it has lost at its start, or its cone without that at its end: cut square there.
fn kept(piece: &Piece, [beyond, before]: [f64; 2]) -> Option<Piece> {
    match &piece.body {
        Body::Tube { centreline, section } if beyond > 0.0 => Piece::tube(
            centreline.between(beyond, centreline.length()),
            *section,
            Cut::square(0.0),
            piece.cut(End::End).moved(-beyond),
        ),
        Body::Cone { frame, start_od, length, .. } if before > 0.0 => {
            let left = length - before;
            let end_od = 2.0 * piece.outer_radius(left);
            (left > SHORTEST)
                .then(|| cone(*frame, [*start_od, end_od], left, piece.cut(End::Start).clone()))?
        }
        _ => Some(piece.clone()),
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use fitment::Profile;
    use geom::DVec3;

    /// A run of 200 mm with 40 mm of a cone before it and 60 mm of a leg after it.
    fn strand() -> Strand {
        let start = Frame { at: DVec3::ZERO, along: DVec3::X, inside: DVec3::Y };
        let outside = Profile { points: vec![(0.0, 30.0), (40.0, 20.0), (300.0, 20.0)] };
        Strand {
            run: 0,
            name: "outlet".to_owned(),
            line: Centreline::straight(start, 300.0),
            origin: 40.0,
            bore: outside.clone(),
            outside,
            wall: 0.0,
            ends: [Cut::square(0.0), Cut::square(300.0)],
            joints: Vec::new(),
            keeps: Vec::new(),
        }
    }

    fn plan(from: f64, to: f64, start: Option<usize>, end: Option<usize>) -> PartPlan {
        let stretches = vec![Stretch { strand: 0, from, to, start, end }];
        PartPlan { mark: "P1".to_owned(), stretches, nodes: Vec::new(), put_in: None, aside: None }
    }

    #[test]
    fn what_stands_beyond_a_joint_is_another_parts() {
        let strands = [strand()];
        let lost = |plan: PartPlan| super::lost(&strands, &plan, 0, 200.0);
        assert_eq!(lost(plan(0.0, 30.0, None, Some(0))), [0.0, 10.0], "a joint on the cone");
        assert_eq!(lost(plan(255.0, 300.0, Some(0), None)), [15.0, 0.0], "a joint on the leg");
        assert_eq!(lost(plan(0.0, 130.0, None, Some(0))), [0.0; 2], "a joint on the run");
        assert_eq!(lost(plan(0.0, 300.0, None, None)), [0.0; 2]);
        assert_eq!(
            super::lost(&strands, &plan(0.0, 30.0, None, Some(0)), 1, 200.0),
            [0.0; 2],
            "another run's"
        );
    }

    #[test]
    fn a_cone_ends_at_the_joint_and_goes_on_behind_it() {
        let strand = strand();
        let whole = cone(strand.line.start, [60.0, 40.0], 40.0, Cut::square(0.0)).unwrap();
        let upstream = kept(&whole, [0.0, 10.0]).unwrap();
        assert!((upstream.length() - 30.0).abs() < 1e-9);
        assert!((upstream.outer_radius(30.0) - 22.5).abs() < 1e-9);
        assert!((upstream.outer_radius(0.0) - 30.0).abs() < 1e-9);
        let downstream = taper(strand.line.between(30.0, 40.0), [22.5, 20.0]).unwrap();
        let end = upstream.frame_at(30.0).at;
        assert!((downstream.frame_at(0.0).at - end).length() < 1e-9);
        assert!((downstream.outer_radius(0.0) - 22.5).abs() < 1e-9);
        assert!((downstream.outer_radius(10.0) - 20.0).abs() < 1e-9);
        assert!(kept(&whole, [0.0, 40.0]).is_none(), "a joint at its start leaves nothing");
    }

    #[test]
    fn a_leg_begins_at_the_joint() {
        let leg = tube(strand().line.between(240.0, 300.0), 20.0).unwrap();
        let left = kept(&leg, [15.0, 0.0]).unwrap();
        assert!((left.length() - 45.0).abs() < 1e-9);
        assert!((left.frame_at(0.0).at.x - 255.0).abs() < 1e-9);
    }
}
