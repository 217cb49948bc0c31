//! Closed outlines: loops of edges, and a plate's outline with its holes.

use std::f64::consts::TAU;

use geom::math::acos;
use glam::DVec2;

use crate::edge::{Edge, NEAR, rotated};
use crate::gap::{Gap, between, crossings};

/// The outline of a flat plate; mm.
///
/// Invariant: `outer` runs counter-clockwise and `holes` clockwise, so material is at the left.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Its outside.
    pub outer: Loop,
    /// Its holes.
    pub holes: Vec<Loop>,
}

/// A closed loop of edges, each beginning exactly where the one before ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// Its edges, in the order of travel.
    pub edges: Vec<Edge>,
}

impl Outline {
    /// The outline with these loops, each turned to run the way that it must.
    pub fn new(outer: Loop, holes: Vec<Loop>) -> Outline {
        Outline {
            outer: outer.counter_clockwise(),
            holes: holes.into_iter().map(|hole| hole.counter_clockwise().reversed()).collect(),
        }
    }

    /// Area of the plate, its holes taken off, mm2. Exact.
    pub fn area(&self) -> f64 {
        self.loops().map(Loop::area).sum()
    }

    /// Length of all edges, outside and holes, mm.
    pub fn perimeter(&self) -> f64 {
        self.loops().map(Loop::length).sum()
    }

    /// Whether `point` lies on the plate, not in a hole.
    pub fn contains(&self, point: DVec2) -> bool {
        self.outer.contains(point) && !self.holes.iter().any(|hole| hole.contains(point))
    }

    /// The outside, then the holes.
    pub fn loops(&self) -> impl Iterator<Item = &Loop> {
        std::iter::once(&self.outer).chain(&self.holes)
    }
}

impl Loop {
    /// The whole circle, counter-clockwise, as one edge.
    pub fn circle(centre: DVec2, radius: f64) -> Loop {
        Loop { edges: vec![Edge::arc(centre, radius, 0.0, TAU)] }
    }

    /// Centre and radius, if the loop is one whole circle.
    pub fn as_circle(&self) -> Option<(DVec2, f64)> {
        match self.edges[..] {
            [Edge::Arc { centre, radius, .. }] => Some((centre, radius)),
            _ => None,
        }
    }

    /// The area that it encloses, mm2: above 0 where it runs counter-clockwise, else below. Exact.
    pub fn area(&self) -> f64 {
        self.edges.iter().map(Edge::area).sum()
    }

    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.edges.iter().map(Edge::length).sum()
    }

    /// The smallest box around it: the least and the largest x and y, mm.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        self.edges.iter().map(Edge::bounds).fold(none, |all, one| (all.0.min(one.0), all.1.max(one.1)))
    }

    /// Whether it encloses `point`, whichever way it runs: whether a ray from the point crosses it an
    /// odd number of times.
    pub fn contains(&self, point: DVec2) -> bool {
        let crossed = |edge: &Edge| {
            let parts = edge.monotone();
            parts.into_iter().filter(|(from, to)| ray_crosses(edge, *from, *to, point)).count()
        };
        self.edges.iter().map(crossed).sum::<usize>() % 2 == 1
    }

    /// The point of it that is nearest to `point`.
    pub fn nearest(&self, point: DVec2) -> Gap {
        let gaps = self.edges.iter().map(|edge| Gap::of(edge.nearest(point), point));
        gaps.reduce(Gap::shorter).unwrap_or(Gap::of(point, point))
    }

    /// The shortest way from it to another loop; 0 where they meet. That one may lie inside the other
    /// makes no difference: it is the web between their edges.
    pub fn gap(&self, other: &Loop) -> Gap {
        let pairs = self.edges.iter().flat_map(|a| other.edges.iter().map(move |b| between(a, b)));
        pairs.reduce(Gap::shorter).unwrap_or(Gap::of(DVec2::ZERO, DVec2::INFINITY))
    }

    /// The first place where it meets itself other than at its corners; `None` if it is a simple loop.
    pub fn self_contact(&self) -> Option<DVec2> {
        let count = self.edges.len();
        for i in 0..count {
            for j in i + 1..count {
                let (a, b) = (&self.edges[i], &self.edges[j]);
                let corners: Vec<DVec2> = [(j == i + 1, a.to()), ((j + 1) % count == i, a.from())]
                    .into_iter()
                    .filter_map(|(adjacent, corner)| adjacent.then_some(corner))
                    .collect();
                let is_corner = |p: &DVec2| corners.iter().any(|c| c.distance(*p) <= CORNER);
                if let Some(point) = crossings(a, b).into_iter().find(|point| !is_corner(point)) {
                    return Some(point);
                }
            }
        }
        None
    }

    /// The same loop travelled the other way.
    pub fn reversed(&self) -> Loop {
        Loop { edges: self.edges.iter().rev().map(Edge::reversed).collect() }
    }

    /// The same loop, running counter-clockwise.
    pub fn counter_clockwise(self) -> Loop {
        if self.area() < 0.0 { self.reversed() } else { self }
    }

    /// The loop turned about the origin by `angle` (rad, counter-clockwise), then moved by `by`.
    pub fn moved(&self, angle: f64, by: DVec2) -> Loop {
        let place = |point: DVec2| if angle == 0.0 { point + by } else { rotated(point, angle) + by };
        self.mapped(place, 1.0)
    }

    /// The loop mirrored in the y axis (x changes its sign), running the way that it ran before.
    pub fn mirrored(&self) -> Loop {
        self.mapped(|point| DVec2::new(-point.x, point.y), -1.0).reversed()
    }

    fn mapped(&self, place: impl Fn(DVec2) -> DVec2, sense: f64) -> Loop {
        let edge = |edge: &Edge| match *edge {
            Edge::Line { from, to } => Edge::Line { from: place(from), to: place(to) },
            Edge::Arc { from, to, centre, radius, turn } => Edge::Arc {
                from: place(from),
                to: place(to),
                centre: place(centre),
                radius,
                turn: sense * turn,
            },
        };
        Loop { edges: self.edges.iter().map(edge).collect() }
    }

    /// Its corners, with points on its arcs so that no chord is further than `tolerance` (mm) from its
    /// arc; the first point is not repeated.
    pub fn points(&self, tolerance: f64) -> Vec<DVec2> {
        let mut points = Vec::new();
        for edge in &self.edges {
            let steps = match *edge {
                Edge::Line { .. } => 1,
                Edge::Arc { radius, turn, .. } => {
                    let step = 2.0 * acos((1.0 - tolerance / radius).clamp(0.0, 1.0));
                    ((turn.abs() / step).ceil() as usize).max(if turn.abs() == TAU { 8 } else { 1 })
                }
            };
            points.extend((0..steps).map(|k| edge.point(k as f64 / steps as f64)));
        }
        points
    }
}

/// How near a corner two neighbouring edges may meet again, mm: where they are tangent, rounding
/// finds their corner this far off (the square root of [`NEAR`] times a radius of a metre).
const CORNER: f64 = 2.0 * 1e-3;

/// Whether the ray from `point` towards +x crosses the part of `edge` between two of its points, a
/// part on which y only grows or only falls.
fn ray_crosses(edge: &Edge, from: DVec2, to: DVec2, point: DVec2) -> bool {
    if (from.y > point.y) == (to.y > point.y) {
        return false;
    }
    let x = match *edge {
        Edge::Line { .. } => from.x + (to.x - from.x) * (point.y - from.y) / (to.y - from.y),
        Edge::Arc { centre, radius, turn, .. } => {
            let height = point.y - centre.y;
            let half = (radius * radius - height * height).max(0.0).sqrt();
            // Counter-clockwise and upwards is the right half of the circle.
            let right = (to.y > from.y) == (turn > 0.0);
            centre.x + if right { half } else { -half }
        }
    };
    x > point.x
}

/// Reports whether consecutive edges meet within [`NEAR`].
pub(crate) fn is_closed(edges: &[Edge]) -> bool {
    let nexts = edges.iter().cycle().skip(1);
    !edges.is_empty() && edges.iter().zip(nexts).all(|(a, b)| a.to().distance(b.from()) <= NEAR)
}
