//! The curves that edges lie on, and where two surfaces meet in one of them exactly.

use std::f64::consts::TAU;

use geom::math::{atan2, sin_cos};
use geom::{DVec3, Frame};

use super::spline::Spline;
use super::surface::Surface;
use super::text::{Arg, Id, Text};

/// A curve in space, from one end of an edge to the other.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// Straight from end to end.
    Line,
    /// A circle about the frame's axis, its angle growing from end to end.
    Circle {
        /// Its centre and axis.
        frame: Frame,
        /// Its radius, mm.
        radius: f64,
    },
    /// An ellipse about the frame's axis, its angle growing from end to end.
    Ellipse {
        /// Its centre and axis; clock 0 on the long half axis.
        frame: Frame,
        /// The long half axis, mm.
        major: f64,
        /// The short half axis, mm.
        minor: f64,
    },
    /// Fitted to a true intersection of curved surfaces.
    Spline(Spline),
}

impl Curve {
    /// Where two surfaces meet near `ends`, if that is a line, a circle or an ellipse: the curve from the
    /// first end to the last, past the point in the middle. `None` where they meet in something else.
    pub fn meeting(a: &Surface, b: &Surface, ends: [DVec3; 3]) -> Option<Curve> {
        let curve = match (a, b) {
            (Surface::Plane(_), Surface::Plane(_)) => Curve::Line,
            (round, Surface::Plane(plane)) | (Surface::Plane(plane), round) => on_plane(round, plane)?,
            (
                Surface::Cylinder { frame: first, radius },
                Surface::Cylinder { frame: second, radius: other },
            ) if (radius - other).abs() < SAME => on_plane(a, &common_plane(first, second, ends[1])?)?,
            _ => return None,
        };
        Some(curve.through(ends))
    }

    /// A circle about `frame`'s axis, through the ends as [`Curve::meeting`] orders them.
    pub fn circle(frame: Frame, radius: f64, ends: [DVec3; 3]) -> Curve {
        Curve::Circle { frame, radius }.through(ends)
    }

    /// The curve the right way round: its angle grows from the first end, past the middle, to the last.
    fn through(self, ends: [DVec3; 3]) -> Curve {
        let turned = |frame: Frame| {
            let [from, middle, to] = ends.map(|p| frame.clock_of(p - frame.at));
            let past = |angle: f64| geom::angle::wrap_turn(angle - from);
            if past(middle) < past(to) { frame } else { frame.reversed() }
        };
        match self {
            Curve::Circle { frame, radius } => Curve::Circle { frame: turned(frame), radius },
            Curve::Ellipse { frame, major, minor } => Curve::Ellipse { frame: turned(frame), major, minor },
            other => other,
        }
    }

    /// Points evenly spread from one end to the other, both included.
    pub fn points(&self, ends: [DVec3; 2], count: usize) -> Vec<DVec3> {
        let parts = (count - 1) as f64;
        let shares = (0..count).map(|i| i as f64 / parts);
        let round = |frame: &Frame, major: f64, minor: f64| {
            let angle = |p: DVec3| {
                let q = frame.local_point(p);
                atan2(q.y / minor, q.x / major)
            };
            let from = angle(ends[0]);
            let turn = geom::angle::wrap_turn(angle(ends[1]) - from);
            let turn = if turn == 0.0 { TAU } else { turn };
            let at = |share: f64| {
                let (s, c) = sin_cos(from + turn * share);
                frame.at + frame.inside * (major * c) + frame.side() * (minor * s)
            };
            shares.clone().map(at).collect()
        };
        match self {
            Curve::Line => shares.map(|share| ends[0].lerp(ends[1], share)).collect(),
            Curve::Circle { frame, radius } => round(frame, *radius, *radius),
            Curve::Ellipse { frame, major, minor } => round(frame, *major, *minor),
            Curve::Spline(spline) => shares.map(|share| spline.at(share)).collect(),
        }
    }

    /// Writes it; a line needs its ends.
    pub fn write(&self, ends: [DVec3; 2], text: &mut Text) -> Id {
        match self {
            Curve::Line => {
                let at = text.point(ends[0]);
                let along = text.direction((ends[1] - ends[0]).normalize_or_zero());
                let vector = text.add("VECTOR", &[Arg::Text(""), Arg::Ref(along), Arg::Real(1.0)]);
                text.add("LINE", &[Arg::Text(""), Arg::Ref(at), Arg::Ref(vector)])
            }
            Curve::Circle { frame, radius } => {
                let placement = text.placement(frame);
                text.add("CIRCLE", &[Arg::Text(""), Arg::Ref(placement), Arg::Real(*radius)])
            }
            Curve::Ellipse { frame, major, minor } => {
                let placement = text.placement(frame);
                let axes = [Arg::Text(""), Arg::Ref(placement), Arg::Real(*major), Arg::Real(*minor)];
                text.add("ELLIPSE", &axes)
            }
            Curve::Spline(spline) => spline.write(text),
        }
    }
}

/// Where a plane meets a cylinder or cone: two lines, a circle or an ellipse.
fn on_plane(round: &Surface, plane: &Frame) -> Option<Curve> {
    if let Surface::Plane(_) | Surface::Torus { .. } = round {
        return None;
    }
    let axis = *round.frame();
    let rise = plane.along.dot(axis.along);
    let lean = plane.along - axis.along * rise;
    let height = (plane.at - axis.at).dot(plane.along);
    if rise.abs() < SQUARE {
        // A cone has lines only on planes through its axis.
        let lines = matches!(round, Surface::Cylinder { .. }) || height.abs() < SAME;
        return lines.then_some(Curve::Line);
    }
    let steepness = lean.length();
    if steepness < SQUARE {
        let frame = axis.advanced(height / rise);
        return Some(Curve::Circle { frame, radius: round.radius_at(height / rise) });
    }
    // The points nearest and furthest along the axis stand opposite each other, in the direction in
    // which the plane leans; the short half axis is the geometric mean of their radii.
    let out = lean / steepness;
    let (radius, slope) = (round.radius_at(0.0), round.radius_at(1.0) - round.radius_at(0.0));
    let end = |sign: f64| {
        let h = (height - sign * radius * steepness) / (rise + sign * slope * steepness);
        (axis.at + axis.along * h + out * (sign * round.radius_at(h)), round.radius_at(h))
    };
    let ((low, low_radius), (high, high_radius)) = (end(1.0), end(-1.0));
    if low_radius <= 0.0 || high_radius <= 0.0 || steepness * slope.abs() >= rise.abs() {
        return None;
    }
    let frame = Frame::new(low.midpoint(high), plane.along, low - high)?;
    Some(Curve::Ellipse { frame, major: 0.5 * low.distance(high), minor: (low_radius * high_radius).sqrt() })
}

/// The plane through `point` in which two equal cylinders meet whose axes cross.
fn common_plane(first: &Frame, second: &Frame, point: DVec3) -> Option<Frame> {
    let across = first.along.cross(second.along);
    let square = across.length_squared();
    let between = second.at - first.at;
    if square < SQUARE || between.dot(across).abs() / square.sqrt() > SAME {
        return None;
    }
    let crossing = first.advanced(between.cross(second.along).dot(across) / square).at;
    let off = |normal: DVec3| (point - crossing).dot(normal).abs();
    let (sum, difference) =
        ((first.along + second.along).normalize(), (first.along - second.along).normalize());
    let normal = if off(sum) < off(difference) { sum } else { difference };
    Frame::upright(crossing, normal)
}

/// Lengths nearer than this are equal, mm.
const SAME: f64 = 1e-9;

/// Directions are square, or parallel, within this (sine of the angle).
const SQUARE: f64 = 1e-11;
