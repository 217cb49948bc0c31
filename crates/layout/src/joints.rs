//! Where pieces meet: rings along runs, and the seams of merges.

use std::f64::consts::{PI, TAU};

use geom::angle::wrap_turn;
use spec::Design;
use spec::design::To;
use tube::{End, Piece, Shape};

use crate::branches;
use crate::interruptions::{Link, Onto};
use crate::layout::{Joint, JointKind, Layout, Merge};

/// Every joint of a layout whose runs, pieces and merges are laid; `links` are the runs' own.
pub(crate) fn between(design: &Design, layout: &Layout, links: &[Link]) -> Vec<Joint> {
    let mut joints = Vec::new();
    for link in links {
        match link.b {
            Onto::Piece(b) => joints.push(ring(layout, link.a, b, link.kind)),
            Onto::Leg { run } => {
                let To::Leg { merge, leg } = design.runs[run].to else { continue };
                if let Some(leg) = layout.merges[merge].legs.get(leg) {
                    joints.push(ring(layout, link.a, leg.piece, link.kind));
                }
            }
        }
    }
    for merge in &layout.merges {
        seams(layout, merge, &mut joints);
        mouth(layout, merge, &mut joints);
    }
    joints.extend(branches::joints(layout));
    for (i, joint) in joints.iter_mut().enumerate() {
        joint.mark = format!("J{}", i + 1);
    }
    joints
}

/// A square ring between the end of `a` and the start of `b`, on one axis: b's scribe line meets a's
/// `clock_a`. Where the two overlap it stands at the edge of the outer one, and its weld runs around the
/// inner one's outside. A butt between two sections is a step.
fn ring(layout: &Layout, a: usize, b: usize, kind: JointKind) -> Joint {
    let (up, down) = (&layout.pieces[a].piece, &layout.pieces[b].piece);
    if kind == JointKind::Mitre {
        return mitre(up, down, a, b);
    }
    let (end, start) = (up.frame_at(up.length()), down.frame_at(0.0));
    let (r_up, r_down) = (up.outer_radius(up.length()), down.outer_radius(0.0));
    let same = (r_up - r_down).abs() < 1e-6 && (up.wall_at(End::End) - down.wall_at(End::Start)).abs() < 1e-6;
    let welded = matches!(kind, JointKind::Butt | JointKind::Step | JointKind::Socket);
    let overlap = (end.at - start.at).dot(end.along);
    Joint {
        mark: String::new(),
        kind: if kind == JointKind::Butt && !same { JointKind::Step } else { kind },
        a,
        a_end: End::End,
        b,
        b_end: End::Start,
        at: if r_up > r_down { end.at } else { start.at },
        clock_a: wrap_turn(end.clock_of(start.inside)),
        clock_b: 0.0,
        weld_length: if welded { TAU * r_up.min(r_down) } else { 0.0 },
        overlap: if overlap.abs() < TOUCH { 0.0 } else { overlap },
    }
}

/// A mitre: the scribe line meets itself across it, and the weld is the ellipse of the cut.
fn mitre(up: &Piece, down: &Piece, a: usize, b: usize) -> Joint {
    let axis = up.frame_at(up.end.station);
    let scribe = down.edge_point(End::Start, 0.0, 1.0);
    Joint {
        mark: String::new(),
        kind: JointKind::Mitre,
        a,
        a_end: End::End,
        b,
        b_end: End::Start,
        at: axis.at,
        clock_a: wrap_turn(axis.clock_of(scribe - axis.at)),
        clock_b: 0.0,
        weld_length: up.edge_length(End::End, 0.0, TAU),
        overlap: 0.0,
    }
}

/// Ends that come this near to each other meet, mm.
const TOUCH: f64 = 1e-6;

/// Seams between neighbouring legs; two legs share one.
fn seams(layout: &Layout, merge: &Merge, joints: &mut Vec<Joint>) {
    let n = merge.legs.len();
    let pairs = if n == 2 { 1 } else { n };
    for k in 0..pairs {
        let (a, b) = (merge.legs[k].piece, merge.legs[(k + 1) % n].piece);
        let (piece, other) = (&layout.pieces[a].piece, &layout.pieces[b].piece);
        let Shape::Leg(cut) = piece.end.shape else { continue };
        let begin = cut.seam_begin(cut.cluster.outer);
        let last = if n == 2 { TAU - begin } else { PI };
        let middle = 0.5 * (begin + last);
        joints.push(Joint {
            mark: String::new(),
            kind: JointKind::Seam,
            a,
            a_end: End::End,
            b,
            b_end: End::End,
            at: piece.edge_point(End::End, piece.end.roll + middle, 1.0),
            clock_a: wrap_turn(piece.end.roll + middle),
            clock_b: wrap_turn(other.end.roll - middle),
            weld_length: piece.edge_length(End::End, piece.end.roll + begin, piece.end.roll + last),
            overlap: 0.0,
        });
    }
}

/// Each leg's share of the seam around the mouth, onto the outlet or the cone; and the cone's own ring.
fn mouth(layout: &Layout, merge: &Merge, joints: &mut Vec<Joint>) {
    let Some(&first) = layout.runs[merge.outlet].pieces.first() else { return };
    let onto = merge.cone.unwrap_or(first);
    for leg in &merge.legs {
        let (piece, outlet) = (&layout.pieces[leg.piece].piece, &layout.pieces[onto].piece);
        let Shape::Leg(cut) = piece.end.shape else { continue };
        let reach = cut.seam_begin(cut.cluster.outer);
        let roll = piece.end.roll;
        joints.push(Joint {
            mark: String::new(),
            kind: JointKind::Mouth,
            a: leg.piece,
            a_end: End::End,
            b: onto,
            b_end: End::Start,
            at: piece.edge_point(End::End, roll, 1.0),
            clock_a: wrap_turn(roll),
            clock_b: wrap_turn(outlet.frame_at(0.0).clock_of(merge.frame.outward(leg.azimuth))),
            weld_length: piece.edge_length(End::End, roll - reach, roll + reach),
            overlap: 0.0,
        });
    }
    if merge.cone.is_some() {
        joints.push(ring(layout, onto, first, JointKind::Butt));
    }
}
