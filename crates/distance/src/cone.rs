//! Plain cones.

use geom::{DVec3, Similarity};

use crate::convex::{Convex, on_triangle};
use crate::disc::Disc;
use crate::near::{Near, nearer};
use crate::solid::{Cone, carried_frame};
use crate::triangle::Triangle;

impl Cone {
    pub(crate) fn axis(&self) -> [DVec3; 2] {
        [self.frame.at, self.frame.at + self.frame.along * self.length]
    }

    /// Its flat ends.
    pub(crate) fn discs(&self) -> [Disc; 2] {
        let (axis, f) = (self.axis(), &self.frame);
        [0, 1].map(|i| Disc::round(axis[i], if i == 0 { -f.along } else { f.along }, f.inside, self.radii[i]))
    }

    /// How much the radius grows for each mm along, and the cosine of the side's slope.
    fn slope(&self) -> (f64, f64) {
        let rise = self.radii[1] - self.radii[0];
        (rise / self.length, self.length / (self.length * self.length + rise * rise).sqrt())
    }

    pub(crate) fn to_point(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        let out = if away > 0.0 { across / away } else { self.frame.inside };
        let [first, last] = self.radii;
        let rise = last - first;
        let along = station * self.length + (away - first) * rise;
        let t = (along / (self.length * self.length + rise * rise)).clamp(0.0, 1.0);
        let side = |t: f64| self.frame.at + self.frame.along * (t * self.length) + out * (first + t * rise);
        if station < 0.0 && away <= first {
            return Near::between(self.frame.at + across, p, 0.0);
        }
        if station > self.length && away <= last {
            return Near::between(self.axis()[1] + across, p, self.length);
        }
        let depth = self.depth(p);
        if depth <= 0.0 && station >= 0.0 && station <= self.length {
            return Near { distance: depth, on: side(t), there: p, station };
        }
        Near::between(side(t), p, t * self.length)
    }

    /// The distance of a point from the endless cone, negative inside.
    fn depth(&self, p: DVec3) -> f64 {
        let (station, across) = self.split(p);
        let (growth, cosine) = self.slope();
        (across.length() - self.radii[0] - growth * station) * cosine
    }

    /// The least distance to a triangle.
    pub(crate) fn to_triangle(&self, triangle: &Triangle) -> Near {
        match self.deepest(triangle) {
            Some(near) if near.distance <= 0.0 => near,
            _ => on_triangle(self, triangle).map(|p| self.to_point(p)).into_iter().fold(Near::FAR, nearer),
        }
    }

    /// The place of the triangle between the end planes that is deepest in the endless cone: on an edge, or
    /// where the axis pierces it, because the depth is in proportion to the distance from the tip.
    fn deepest(&self, triangle: &Triangle) -> Option<Near> {
        let station = |p: DVec3| (p - self.frame.at).dot(self.frame.along);
        let polygon = triangle.polygon().above(station).above(|p| self.length - station(p));
        let normal = triangle.normal();
        let t = (triangle.corners[0] - self.frame.at).dot(normal) / self.frame.along.dot(normal);
        let pierced = (t >= 0.0 && t <= self.length)
            .then(|| triangle.nearest(self.frame.at + self.frame.along * t))
            .filter(|&p| station(p) >= 0.0 && station(p) <= self.length);
        let on_edges = polygon.edges().map(|(a, b)| self.deepest_on(a, b));
        let deepest =
            on_edges.chain(pierced).map(|p| (self.depth(p), p)).reduce(|a, b| if b.0 < a.0 { b } else { a });
        Some(self.sunk(deepest?.1))
    }

    /// The deepest place of a segment: the hyperbola sqrt(m^2 + (w t)^2) - growth t has one lowest point.
    fn deepest_on(&self, a: DVec3, b: DVec3) -> DVec3 {
        let ((s_a, a_across), (s_b, b_across)) = (self.split(a), self.split(b));
        let way = b_across - a_across;
        let square = way.length_squared();
        let gain = self.slope().0 * (s_b - s_a);
        if square <= gain * gain {
            return if gain > 0.0 { b } else { a };
        }
        let foot = -a_across.dot(way) / square;
        let least = (a_across + way * foot).length();
        let t = foot + least * gain / (square * (square - gain * gain)).sqrt();
        if t > 0.0 { a + (b - a) * t.min(1.0) } else { a }
    }

    /// The way from the side to a point inside.
    pub(crate) fn sunk(&self, p: DVec3) -> Near {
        Near { distance: self.depth(p), ..self.to_point(p) }
    }

    fn split(&self, p: DVec3) -> (f64, DVec3) {
        let d = p - self.frame.at;
        let station = d.dot(self.frame.along);
        (station, d - self.frame.along * station)
    }

    pub(crate) fn contains(&self, p: DVec3) -> bool {
        let station = self.split(p).0;
        station >= 0.0 && station <= self.length && self.depth(p) <= 0.0
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Cone {
        Cone {
            frame: carried_frame(&self.frame, by),
            length: self.length * by.scale,
            radii: self.radii.map(|r| r * by.scale),
        }
    }
}

impl Convex for Cone {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let near = self.to_point(p);
        if near.distance <= 0.0 { p } else { near.on }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        let [a, b] = self.discs().map(|d| d.support(direction));
        if a.dot(direction) >= b.dot(direction) { a } else { b }
    }
}
