//! Straight lengths of tube.

use geom::{DVec3, Frame, Similarity};

use crate::convex::{Convex, on_triangle};
use crate::disc::Disc;
use crate::near::{Near, nearer};
use crate::solid::{Cylinder, carried_frame};
use crate::triangle::Triangle;

/// A cylinder with what its distances need.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tube {
    /// Where its axis ends.
    pub axis: [DVec3; 2],
    pub along: DVec3,
    inside: DVec3,
    pub length: f64,
    pub radius: f64,
    /// Its flat ends.
    pub discs: [Disc; 2],
    /// Whether both ends are square.
    pub square: bool,
}

impl Cylinder {
    /// A tube with square ends, its begin at `frame`.
    pub fn square(frame: Frame, length: f64, radius: f64) -> Cylinder {
        Cylinder { frame, length, radius, ends: [-frame.along, frame.along] }
    }

    pub(crate) fn tube(&self) -> Tube {
        let f = &self.frame;
        let axis = [f.at, f.at + f.along * self.length];
        let askew = |i: usize, out: DVec3| (self.ends[i] - out).length_squared() > 1e-24;
        Tube {
            axis,
            along: f.along,
            inside: f.inside,
            length: self.length,
            radius: self.radius,
            discs: [0, 1].map(|i| Disc::cut(axis[i], self.ends[i], f.along, f.inside, self.radius)),
            square: !askew(0, -f.along) && !askew(1, f.along),
        }
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Cylinder {
        Cylinder {
            frame: carried_frame(&self.frame, by),
            length: self.length * by.scale,
            radius: self.radius * by.scale,
            ends: self.ends.map(|e| (by.linear * e).normalize()),
        }
    }
}

impl Tube {
    /// The nearest point of its outside, or the way through it: see [`Near::distance`].
    pub fn to_point(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        if self.square {
            if station >= 0.0 && station <= self.length {
                return self.beside(p);
            }
            let end = usize::from(station > 0.0);
            let shift = if away > self.radius { across * (self.radius / away) } else { across };
            return Near::between(self.axis[end] + shift, p, self.length * end as f64);
        }
        let beside = self.beside(p);
        if self.between_ends(if away <= self.radius { p } else { beside.on }) {
            return beside;
        }
        let ends = [0, 1].map(|i| self.to_end(i, p));
        nearer(ends[0], ends[1])
    }

    /// The same tube with another radius.
    pub fn thinned(&self, radius: f64) -> Tube {
        let share = if self.radius > 0.0 { radius / self.radius } else { 0.0 };
        let disc = |d: &Disc| Disc { half: d.half.map(|h| h * share), ..*d };
        Tube { radius, discs: self.discs.each_ref().map(disc), ..*self }
    }

    /// How much thinner it has to be made to draw back 1 mm: least where the tip of an askew end goes.
    pub fn thinning(&self) -> f64 {
        let lean = self.discs.each_ref().map(|d| self.along.dot(d.out).abs());
        lean[0].min(lean[1])
    }

    /// Its axis, as far as an askew end reaches past it.
    pub fn whole_axis(&self) -> [DVec3; 2] {
        let past = |d: &Disc| (d.half[0] * d.half[0] - d.half[1] * d.half[1]).max(0.0).sqrt();
        let [first, last] = self.discs.each_ref().map(past);
        [self.axis[0] - self.along * first, self.axis[1] + self.along * last]
    }

    /// The way from an end to a point.
    fn to_end(&self, end: usize, p: DVec3) -> Near {
        Near::between(self.discs[end].nearest(p), p, self.length * end as f64)
    }

    /// How far a point is inside an end's plane.
    fn height(&self, end: usize, p: DVec3) -> f64 {
        (self.axis[end] - p).dot(self.discs[end].out)
    }

    /// The least distance to a triangle.
    pub fn to_triangle(&self, triangle: &Triangle) -> Near {
        let beside = self.least_beside(triangle);
        if !self.square {
            let met = beside.filter(|near| near.distance <= 0.0);
            let apart =
                || on_triangle(self, triangle).map(|p| self.to_point(p)).into_iter().fold(Near::FAR, nearer);
            return met.unwrap_or_else(apart);
        }
        let mut best = beside.unwrap_or(Near::FAR);
        for end in 0..2 {
            if triangle.corners.iter().any(|&p| self.height(end, p) < 0.0) {
                let places = on_triangle(&self.discs[end], triangle);
                best = places.into_iter().map(|p| self.to_end(end, p)).fold(best, nearer);
            }
        }
        best
    }

    /// The place of the triangle between the end planes that is nearest to the axis.
    fn least_beside(&self, triangle: &Triangle) -> Option<Near> {
        let polygon = triangle.polygon().above(|p| self.height(0, p)).above(|p| self.height(1, p));
        let on_edges = polygon.edges().map(|(a, b)| {
            let (from, to) = (self.split(a).1, self.split(b).1);
            let t = -from.dot(to - from) / (to - from).length_squared();
            if t > 0.0 { a + (b - a) * t.min(1.0) } else { a }
        });
        let normal = triangle.normal();
        let t = (triangle.corners[0] - self.axis[0]).dot(normal) / self.along.dot(normal);
        let pierced = (t >= 0.0 && t <= self.length)
            .then(|| triangle.nearest(self.axis[0] + self.along * t))
            .filter(|&p| self.between_ends(p));
        on_edges.chain(pierced).map(|p| self.beside(p)).reduce(nearer)
    }

    /// The way from the side to a point between the end planes.
    pub fn beside(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        let out = if away > 0.0 { across / away } else { self.inside };
        let on = self.axis[0] + self.along * station + out * self.radius;
        Near { distance: away - self.radius, on, there: p, station: station.clamp(0.0, self.length) }
    }

    /// The station of a point's foot on the axis, and the way from there to the point.
    fn split(&self, p: DVec3) -> (f64, DVec3) {
        let d = p - self.axis[0];
        let station = d.dot(self.along);
        (station, d - self.along * station)
    }

    fn between_ends(&self, p: DVec3) -> bool {
        self.height(0, p) >= 0.0 && self.height(1, p) >= 0.0
    }

    pub fn contains(&self, p: DVec3) -> bool {
        self.between_ends(p) && self.split(p).1.length() <= self.radius
    }
}

impl Convex for Tube {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let near = self.to_point(p);
        if near.distance <= 0.0 { p } else { near.on }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        furthest(&self.discs, direction)
    }
}

/// The furthest point of two flat ends in a direction.
pub(crate) fn furthest(discs: &[Disc; 2], direction: DVec3) -> DVec3 {
    let [a, b] = discs.each_ref().map(|d| d.support(direction));
    if a.dot(direction) >= b.dot(direction) { a } else { b }
}
