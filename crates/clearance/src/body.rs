//! Parts of a header as exact full bodies, each with its place along its tube.
//!
//! Straights, bends, cones and formed tapers are exact, with square ends and plane cuts where they are. An end
//! that is fitted onto something (a saddle, a fitted merge's legs and outlet) is taken as square at its longest
//! point, which lies in what it is fitted onto: a body is never smaller than its part.

use distance::{Bend, Cone, Cylinder, Near, Solid};
use geom::math::cos;
use geom::{DVec3, Frame};
use layout::Layout;
use layout::layout::Part;
use tube::merge::Outlet;
use tube::{Centreline, Cut, End, Segment, Shape, Span};

/// One full body of a subject, cold.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// Its outside.
    pub solid: Solid,
    /// Index of its piece in the layout; none of plates and transitions.
    pub piece: Option<usize>,
    /// Where it stands along its tube; plates and transitions stand along none.
    pub line: Option<Along>,
}

/// A body's place along a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Along {
    /// The tube.
    pub axis: Axis,
    /// Station of the body's first end, mm: along a run from its start, along a leg from its inlet face,
    /// along a cone from the mouth, along a bung from its foot.
    pub from: f64,
    /// Station of its other end, mm.
    pub to: f64,
}

/// A tube's centreline, as an index into the layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Of a run.
    Run(usize),
    /// Of a piece that belongs to no run's line: a merge's leg or cone, a bung.
    Piece(usize),
}

impl Body {
    /// The station, mm, and the clock, rad, of the point of it that is nearest to something; `near` is as of
    /// the cold body. The clock is that of the tube's own scribe line.
    pub fn place(&self, layout: &Layout, near: &Near) -> Option<(f64, f64)> {
        let along = self.line?;
        let station = along.from + near.station;
        let frame = along.axis.frame(layout, station);
        Some((station, frame.clock_of(near.on - frame.at)))
    }
}

impl Axis {
    /// The frame at `station`, mm, clock 0 on the scribe line.
    pub fn frame(self, layout: &Layout, station: f64) -> Frame {
        match self {
            Axis::Run(run) => layout.runs[run].centreline.frame_at(station),
            Axis::Piece(piece) => layout.pieces[piece].piece.frame_at(station),
        }
    }
}

/// The bodies of piece `index`, in the direction of travel; stations are those of run `run`, or else its own.
pub(crate) fn of_piece(layout: &Layout, index: usize, run: Option<usize>) -> Vec<Body> {
    let part = &layout.pieces[index];
    let (axis, begin) = match run {
        Some(run) => (Axis::Run(run), begin_on(&layout.runs[run].centreline, part)),
        None => (Axis::Piece(index), 0.0),
    };
    let body = |(solid, from, to): (Solid, f64, f64)| Body {
        solid,
        piece: Some(index),
        line: Some(Along { axis, from: begin + from, to: begin + to }),
    };
    solids(part).into_iter().map(body).collect()
}

/// The station of a run at which a piece's station 0 stands: by its middle, which lies on the run's centreline
/// whatever is cut from its ends.
fn begin_on(line: &Centreline, part: &Part) -> f64 {
    let middle = 0.5 * part.piece.length();
    line.station_of(part.piece.frame_at(middle)) - middle
}

/// The solids of a piece with their stations on it.
fn solids(part: &Part) -> Vec<(Solid, f64, f64)> {
    let piece = &part.piece;
    match &piece.body {
        tube::Body::Cone { frame, start_od, end_od, length, .. } => {
            let cone = Cone { frame: *frame, length: *length, radii: [0.5 * start_od, 0.5 * end_od] };
            vec![(Solid::Cone(cone), 0.0, *length)]
        }
        tube::Body::Tube { centreline, .. } => {
            let spans = centreline.spans();
            let last = spans.len().saturating_sub(1);
            let of = |(k, span): (usize, &Span)| match span.segment {
                Segment::Straight { .. } => straights(part, span, [k == 0, k == last]),
                Segment::Arc { radius: clr, angle, .. } => {
                    let frame = span.frame.turned(span.plane);
                    let bend = Bend { frame, clr, angle, radius: piece.outer_radius(span.from) };
                    vec![(Solid::Bend(bend), span.from, span.to)]
                }
            };
            spans.iter().enumerate().flat_map(of).collect()
        }
    }
}

/// The bodies of a straight of a piece: one, or several where its ends are formed. Where it is the piece's first
/// or last it ends as the piece does.
fn straights(part: &Part, span: &Span, ends: [bool; 2]) -> Vec<(Solid, f64, f64)> {
    let piece = &part.piece;
    let (first, last) = (plane(part, End::Start), plane(part, End::End));
    let first = first.filter(|_| ends[0]).unwrap_or((span.from, -span.frame.along));
    let last = last.filter(|_| ends[1]).unwrap_or((span.to, span.frame.along));
    let inner = piece.form_stations().into_iter().filter(|s| *s > first.0 && *s < last.0);
    let stations: Vec<f64> = std::iter::once(first.0).chain(inner).chain([last.0]).collect();
    let count = stations.len() - 1;
    let body = |k: usize| {
        let (from, to) = (stations[k], stations[k + 1]);
        let (length, frame) = (to - from, span.frame.advanced(from - span.from));
        let radii = [from, to].map(|s| piece.outer_radius(s + INTO * (0.5 * (from + to) - s)));
        let out = |own: bool, cut: DVec3, square: DVec3| if own { cut } else { square };
        let ends = [out(k == 0, first.1, -frame.along), out(k + 1 == count, last.1, frame.along)];
        let solid = if (radii[1] - radii[0]).abs() < SAME {
            Solid::Cylinder(Cylinder { frame, length, radius: radii[0], ends })
        } else {
            Solid::Cone(Cone { frame, length, radii })
        };
        (solid, from, to)
    };
    (0..count).map(body).collect()
}

/// How far into a stretch of a formed end its radius is asked for, as a share: at its very ends it may be the
/// neighbour's.
const INTO: f64 = 1e-9;

/// Radii that differ by less are one, mm.
const SAME: f64 = 1e-6;

/// Where the plane of a piece's end passes through its axis, and the unit vector out of it; `None` of ends
/// that are taken as square at their longest point.
fn plane(part: &Part, end: End) -> Option<(f64, DVec3)> {
    let Cut { station, roll, shape } = part.piece.cut(end);
    let frame = part.piece.frame_at(*station);
    let downstream = match shape {
        Shape::Plane { tilt } => frame.along - frame.outward(*roll) * geom::math::tan(*tilt),
        // The saw cuts square to the merge's axis, which leans from the leg's travel towards its outward side.
        Shape::Leg(leg) => match leg.outlet {
            Outlet::Sawn(z) => {
                let lean = leg.cluster.convergence;
                let axis = frame.along + frame.outward(*roll) * geom::math::tan(lean);
                return Some((station + z / cos(lean), axis.normalize()));
            }
            Outlet::Round { .. } => return None,
        },
        Shape::Square | Shape::Saddle(_) | Shape::Scallop(_) => return None,
    };
    let out = downstream.normalize();
    Some((*station, if end == End::Start { -out } else { out }))
}
