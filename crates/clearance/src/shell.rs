//! Closed shells of plates and transitions.
//!
//! A plate's shell is never smaller than the plate: arcs of its outside that bulge outward become tangents,
//! those that bulge inward chords, both within [`ARC`] of the arc; and its holes are filled, because gas,
//! bolts or nothing at all goes through them. A transition's shell is the points that define it.

use distance::{Shell, Solid};
use geom::DVec3;
use geom::math::{acos, cos};
use layout::flange_plate::PlatePart;
use layout::{FlangePlate, Transition};
use plate::{DVec2, Edge, Loop};

use crate::ears::ears;

/// How far a plate's shell stands off an arc of its outside at most, mm.
pub const ARC: f64 = 0.01;

/// The shell of a part of a plate.
pub(crate) fn plate(plate: &FlangePlate, part: &PlatePart) -> Solid {
    let outside = around(&part.outline.outer);
    let frame = plate.frame;
    let at =
        |p: &DVec2, station: f64| frame.at + frame.inside * p.x + frame.side() * p.y + frame.along * station;
    let [face, back] = plate.reach.map(|station| outside.iter().map(|p| at(p, station)).collect());
    Solid::Shell(prism([&outside, &outside], [face, back]))
}

/// The shell of a transition's outside.
pub(crate) fn transition(transition: &Transition) -> Solid {
    let [_, shape, _, round] = &transition.rings;
    let shape_ring = shape.iter().map(|p| transition.place(*p, 0.0)).collect();
    let round_ring = round.iter().map(|p| transition.place(*p, transition.length)).collect();
    let turned = transition.frame.inside.cross(transition.up).dot(transition.frame.along) < 0.0;
    let mut shell = prism([shape, round], [shape_ring, round_ring]);
    if turned {
        shell.triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    Solid::Shell(shell)
}

/// The shell between two rings of as many corners, drawn counter-clockwise as `flat` and standing in space at
/// `rings`, the second one ahead of the first seen from where they run counter-clockwise.
fn prism(flat: [&Vec<DVec2>; 2], rings: [Vec<DVec3>; 2]) -> Shell {
    let n = flat[0].len() as u32;
    let mut triangles: Vec<[u32; 3]> = ears(flat[0]).into_iter().map(|[a, b, c]| [a, c, b]).collect();
    triangles.extend(ears(flat[1]).into_iter().map(|ear| ear.map(|corner| corner + n)));
    for a in 0..n {
        let b = (a + 1) % n;
        triangles.extend([[a, b, b + n], [a, b + n, a + n]]);
    }
    let [mut points, other] = rings;
    points.extend(other);
    Shell { points, triangles }
}

/// The corners of a polygon around a loop, counter-clockwise, none of them in line with its neighbours.
fn around(outside: &Loop) -> Vec<DVec2> {
    let outside = outside.clone().counter_clockwise();
    let corners: Vec<DVec2> = outside.edges.iter().flat_map(corners).collect();
    let mut kept: Vec<DVec2> = Vec::with_capacity(corners.len());
    for corner in corners {
        while kept.len() > 1 && in_line(kept[kept.len() - 2], kept[kept.len() - 1], corner) {
            kept.pop();
        }
        kept.push(corner);
    }
    while kept.len() > 3 && in_line(kept[kept.len() - 2], kept[kept.len() - 1], kept[0]) {
        kept.pop();
    }
    while kept.len() > 3 && in_line(kept[kept.len() - 1], kept[0], kept[1]) {
        kept.remove(0);
    }
    kept
}

/// The corners that an edge adds, but for its end.
fn corners(edge: &Edge) -> Vec<DVec2> {
    let Edge::Arc { from, centre, radius, turn, .. } = *edge else { return vec![edge.from()] };
    let largest = 2.0 * acos((1.0 - ARC / (radius + ARC)).clamp(0.0, 1.0));
    let steps = ((turn.abs() / largest).ceil()).max(if turn.abs() > 3.0 { 8.0 } else { 1.0 });
    if turn < 0.0 {
        return (0..steps as usize).map(|k| edge.point(k as f64 / steps)).collect();
    }
    // Tangents meet midway between the points where they touch.
    let stretch = 1.0 / cos(0.5 * turn / steps);
    let meets = |k: usize| centre + (edge.point((k as f64 + 0.5) / steps) - centre) * stretch;
    std::iter::once(from).chain((0..steps as usize).map(meets)).collect()
}

/// Whether `b` lies on the line from `a` to `c`, or on one of them.
fn in_line(a: DVec2, b: DVec2, c: DVec2) -> bool {
    (b - a).perp_dot(c - b).abs() <= IN_LINE * (b - a).length().max((c - b).length())
}

/// How far a corner may lie off the line of its neighbours to be left out, mm.
const IN_LINE: f64 = 1e-9;
