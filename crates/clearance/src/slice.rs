//! Bodies cut across into short lengths.

use distance::{Bend, Cone, Cylinder, Solid};

use crate::body::{Along, Body};

/// A body or a length of it, cold.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Slice {
    /// Its outside.
    pub solid: Solid,
    /// Which body of its subject it is of.
    pub body: usize,
    /// Its place along its tube.
    pub line: Option<Along>,
}

/// A body cut square across at these stations of its tube, ascending; those outside of it, or across one of its
/// own slanting ends, do nothing.
pub(crate) fn slices(body: &Body, index: usize, cuts: &[f64]) -> Vec<Slice> {
    let whole = || vec![Slice { solid: body.solid.clone(), body: index, line: body.line }];
    let Some(line) = body.line else { return whole() };
    let [first, last] = slants(&body.solid);
    let room = line.from + first + SHORTEST..line.to - last - SHORTEST;
    let inner = cuts.iter().copied().filter(|s| room.contains(s));
    let mut stations: Vec<f64> = std::iter::once(line.from).chain(inner).chain([line.to]).collect();
    stations.dedup_by(|b, a| *b - *a < SHORTEST);
    if stations.len() < 3 {
        return whole();
    }
    let slice = |pair: &[f64]| {
        let solid = between(&body.solid, pair[0] - line.from, pair[1] - line.from, line.to - line.from)?;
        Some(Slice { solid, body: index, line: Some(Along { from: pair[0], to: pair[1], ..line }) })
    };
    stations.windows(2).map(slice).collect::<Option<Vec<Slice>>>().unwrap_or_else(whole)
}

/// A solid drawn in by `by` mm at its side and its ends; `None` where nothing is left, and of shells.
pub(crate) fn drawn_in(solid: &Solid, by: f64) -> Option<Solid> {
    let length = match solid {
        Solid::Cylinder(c) => c.length,
        Solid::Bend(b) => b.clr * b.angle,
        Solid::Cone(c) => c.length,
        Solid::Capsule(_) | Solid::Shell(_) => return None,
    };
    let ends = by.min(0.45 * length);
    let mut solid = between(solid, ends, length - ends, length)?;
    let left = match &mut solid {
        Solid::Cylinder(c) => {
            c.radius -= by;
            c.radius
        }
        Solid::Bend(b) => {
            b.radius -= by;
            b.radius
        }
        Solid::Cone(c) => {
            c.radii = c.radii.map(|radius| radius - by);
            c.radii[0].min(c.radii[1])
        }
        Solid::Capsule(_) | Solid::Shell(_) => return None,
    };
    (left > 0.0).then_some(solid)
}

/// No slice is shorter, mm.
const SHORTEST: f64 = 1e-3;

/// How far a solid's ends slant along it to either side, mm.
fn slants(solid: &Solid) -> [f64; 2] {
    let Solid::Cylinder(c) = solid else { return [0.0; 2] };
    c.ends.map(|out| {
        let straight = out.dot(c.frame.along);
        c.radius * (out - c.frame.along * straight).length() / straight.abs()
    })
}

/// The length of a solid between two stations of it; `length` is its whole.
fn between(solid: &Solid, from: f64, to: f64, length: f64) -> Option<Solid> {
    match solid {
        Solid::Cylinder(c) => {
            let square = [-c.frame.along, c.frame.along];
            let first = if from > 0.0 { square[0] } else { c.ends[0] };
            let last = if to < length { square[1] } else { c.ends[1] };
            let frame = c.frame.advanced(from);
            Some(Solid::Cylinder(Cylinder { frame, length: to - from, ends: [first, last], ..*c }))
        }
        Solid::Bend(b) => {
            let frame = b.frame.bent(b.clr, from / b.clr);
            Some(Solid::Bend(Bend { frame, angle: (to - from) / b.clr, ..*b }))
        }
        Solid::Cone(c) => {
            let radius = |s: f64| c.radii[0] + (c.radii[1] - c.radii[0]) * s / length;
            let frame = c.frame.advanced(from);
            Some(Solid::Cone(Cone { frame, length: to - from, radii: [radius(from), radius(to)] }))
        }
        Solid::Capsule(_) | Solid::Shell(_) => None,
    }
}
