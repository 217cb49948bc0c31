//! Splines fitted to the intersection of two curved surfaces.
//!
//! At each node the curve's direction is the cross product of the surfaces' gradients, and its curvature
//! follows from their second derivatives, so that the pieces between nodes are quintics that agree with
//! the true curve in place, direction and curvature (Hermite interpolation by arc length). Where one
//! leaves a surface by more than the tolerance it is halved.

use geom::DVec3;

use super::surface::Surface;
use super::text::{Arg, Id, Text};

/// A quintic spline with three-fold knots, twice differentiable.
#[derive(Clone, Debug, PartialEq)]
pub struct Spline {
    /// Its segments' poles, six each, the last of one being the first of the next, mm.
    pub segments: Vec<[DVec3; 6]>,
    /// Length that each segment has of the parameter, mm.
    pub lengths: Vec<f64>,
}

/// Why no spline can be fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SplineFault {
    /// The surfaces touch at this point instead of crossing.
    Tangent(DVec3),
    /// The curve is not reached within the tolerance near this point.
    Wild(DVec3),
}

/// A place on the curve: where, which way, and how it bends there.
#[derive(Clone, Copy)]
struct Node {
    /// The sampler's own parameter.
    t: f64,
    at: DVec3,
    along: DVec3,
    bending: DVec3,
}

impl Spline {
    /// The intersection of `surfaces` through `sample(t)`, from the first of `nodes` to the last, within
    /// `tolerance` mm of both. Nodes ascend; sharp places should be among them.
    pub fn fit(
        surfaces: [&Surface; 2],
        sample: &dyn Fn(f64) -> DVec3,
        nodes: &[f64],
        tolerance: f64,
    ) -> Result<Spline, SplineFault> {
        let mut spline = Spline { segments: Vec::new(), lengths: Vec::new() };
        let node = |t: f64| Node::on(surfaces, t, sample(t));
        let mut ahead: Vec<Node> = Vec::with_capacity(nodes.len());
        for (i, &t) in nodes.iter().enumerate().rev() {
            ahead.push(match (i, node(t)) {
                (0, Err(SplineFault::Tangent(_))) => Node::limit(surfaces, sample, t, 1.0)?,
                (i, Err(SplineFault::Tangent(_))) if i + 1 == nodes.len() => {
                    Node::limit(surfaces, sample, t, -1.0)?
                }
                (_, other) => other?,
            });
        }
        let Some(mut here) = ahead.pop() else { return Ok(spline) };
        while let Some(&next) = ahead.last() {
            let middle = node(0.5 * (here.t + next.t))?;
            let (segment, length) = segment(here, middle.at, next);
            if leaves(&segment, surfaces) <= tolerance {
                spline.segments.push(segment);
                spline.lengths.push(length);
                here = next;
                ahead.pop();
            } else if next.t - here.t < LEAST_STEP {
                return Err(SplineFault::Wild(here.at));
            } else {
                ahead.push(middle);
            }
        }
        Ok(spline)
    }

    /// The point at `share` (0 to 1) of the parameter.
    pub fn at(&self, share: f64) -> DVec3 {
        let mut rest = share * self.lengths.iter().sum::<f64>();
        let last = self.segments.len() - 1;
        for (i, (segment, &length)) in self.segments.iter().zip(&self.lengths).enumerate() {
            if rest <= length || i == last {
                return bezier(segment, (rest / length).min(1.0));
            }
            rest -= length;
        }
        self.segments[last][5]
    }

    /// Writes it: of each segment's inner poles the two in the middle stay; those beside a knot become
    /// one (knot removal from five-fold to three-fold).
    pub fn write(&self, text: &mut Text) -> Id {
        let mut poles = Vec::new();
        let mut knots = vec![0.0];
        let last = self.segments.len() - 1;
        for (i, (b, &length)) in self.segments.iter().zip(&self.lengths).enumerate() {
            if i == 0 {
                poles.extend([b[0], b[1]]);
            }
            poles.extend([b[2], b[3]]);
            if i == last {
                poles.extend([b[4], b[5]]);
            } else {
                poles.push(b[4] + (b[4] - b[3]) * (self.lengths[i + 1] / length));
            }
            knots.push(knots[i] + length);
        }
        let mut folds = vec![3; knots.len()];
        (folds[0], folds[knots.len() - 1]) = (6, 6);
        let poles: Vec<Id> = poles.into_iter().map(|p| text.point(p)).collect();
        let arguments = [
            Arg::Text(""),
            Arg::Whole(5),
            Arg::Refs(&poles),
            Arg::Word(".UNSPECIFIED."),
            Arg::Word(".F."),
            Arg::Word(".F."),
            Arg::Wholes(&folds),
            Arg::Reals(&knots),
            Arg::Word(".UNSPECIFIED."),
        ];
        text.add("B_SPLINE_CURVE_WITH_KNOTS", &arguments)
    }
}

impl Node {
    fn on(surfaces: [&Surface; 2], t: f64, at: DVec3) -> Result<Node, SplineFault> {
        let [first, second] = surfaces.map(|s| s.implicit(at, DVec3::ZERO).0);
        let cross = first.cross(second);
        if cross.length() < LEAST_CROSSING * first.length() * second.length() {
            return Err(SplineFault::Tangent(at));
        }
        let along = cross.normalize();
        let [(p, bend_p), (q, bend_q)] = surfaces.map(|s| s.implicit(at, along));
        let (q_side, p_side) = (q.cross(along), along.cross(p));
        let bending = -(q_side * bend_p + p_side * bend_q) / p.dot(q_side);
        Ok(Node { t, at, along, bending })
    }

    /// The node at an end where the surfaces touch and the curve has a corner: direction and curvature
    /// are run on to it from three nodes on the curve's side (`toward` is 1 or -1).
    fn limit(
        surfaces: [&Surface; 2],
        sample: &dyn Fn(f64) -> DVec3,
        t: f64,
        toward: f64,
    ) -> Result<Node, SplineFault> {
        let beside = |steps: f64| {
            let t = t + toward * steps * LIMIT_STEP;
            Node::on(surfaces, t, sample(t))
        };
        let [one, two, three] = [beside(1.0)?, beside(2.0)?, beside(3.0)?];
        let run_on = |a: DVec3, b: DVec3, c: DVec3| a * 3.0 - b * 3.0 + c;
        Ok(Node {
            t,
            at: sample(t),
            along: run_on(one.along, two.along, three.along).normalize(),
            bending: run_on(one.bending, two.bending, three.bending),
        })
    }
}

/// The quintic between two nodes by way of a point between, and its length.
fn segment(from: Node, middle: DVec3, to: Node) -> ([DVec3; 6], f64) {
    let chord = to.at - from.at;
    let halves = from.at.distance(middle) + middle.distance(to.at);
    // Chords fall short of the arc by the square of their number (Richardson).
    let length = halves + (halves - chord.length()) / 3.0;
    let way = |node: &Node| if node.along.dot(chord) < 0.0 { -node.along } else { node.along };
    let (begin, end) = (way(&from) * length, way(&to) * length);
    let (bend_begin, bend_end) = (from.bending * (length * length), to.bending * (length * length));
    let first = from.at + begin / 5.0;
    let last = to.at - end / 5.0;
    let second = first * 2.0 - from.at + bend_begin / 20.0;
    let third = last * 2.0 - to.at + bend_end / 20.0;
    ([from.at, first, second, third, last, to.at], length)
}

/// How far a segment leaves the surfaces, mm, at its eighths.
fn leaves(segment: &[DVec3; 6], surfaces: [&Surface; 2]) -> f64 {
    let off = |share: f64| {
        let p = bezier(segment, share);
        surfaces[0].distance(p).abs().max(surfaces[1].distance(p).abs())
    };
    (1..8).map(|i| off(f64::from(i) / 8.0)).fold(0.0, f64::max)
}

/// A point of a segment (de Casteljau).
fn bezier(poles: &[DVec3; 6], share: f64) -> DVec3 {
    let mut points = *poles;
    for round in 1..6 {
        for i in 0..6 - round {
            points[i] = points[i].lerp(points[i + 1], share);
        }
    }
    points[0]
}

/// Surfaces whose normals are nearer than this (sine of the angle) touch.
const LEAST_CROSSING: f64 = 1e-7;

/// Steps from an end at which the surfaces touch, rad.
const LIMIT_STEP: f64 = 1e-3;

/// Nodes are at least this far apart in the sampler's parameter (rad).
const LEAST_STEP: f64 = 1e-9;
