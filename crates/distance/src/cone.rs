//! Plain cones.

use geom::{DVec3, Similarity};

use crate::convex::{Convex, on_triangle};
use crate::cylinder::furthest;
use crate::disc::Disc;
use crate::near::{Near, nearer};
use crate::solid::{Cone, carried_frame};
use crate::triangle::Triangle;

/// A cone with what its distances need.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frustum {
    /// Where its axis ends.
    pub axis: [DVec3; 2],
    pub along: DVec3,
    inside: DVec3,
    pub length: f64,
    pub radii: [f64; 2],
    /// Its flat ends.
    pub discs: [Disc; 2],
    /// How much the radius grows for each mm along.
    growth: f64,
    /// The cosine of the side's slope.
    pub cosine: f64,
}

impl Cone {
    pub(crate) fn frustum(&self) -> Frustum {
        let (f, [first, last]) = (&self.frame, self.radii);
        let axis = [f.at, f.at + f.along * self.length];
        let ends = [(-f.along, first), (f.along, last)];
        let rise = last - first;
        Frustum {
            axis,
            along: f.along,
            inside: f.inside,
            length: self.length,
            radii: self.radii,
            discs: [0, 1].map(|i| Disc::round(axis[i], ends[i].0, f.inside, ends[i].1)),
            growth: rise / self.length,
            cosine: self.length / (self.length * self.length + rise * rise).sqrt(),
        }
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Cone {
        Cone {
            frame: carried_frame(&self.frame, by),
            length: self.length * by.scale,
            radii: self.radii.map(|r| r * by.scale),
        }
    }
}

impl Frustum {
    pub fn to_point(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        let out = if away > 0.0 { across / away } else { self.inside };
        let [first, last] = self.radii;
        let rise = last - first;
        let along = station * self.length + (away - first) * rise;
        let square = self.length * self.length + rise * rise;
        let t = if square > 0.0 { (along / square).clamp(0.0, 1.0) } else { 0.0 };
        let side = |t: f64| self.axis[0] + self.along * (t * self.length) + out * (first + t * rise);
        if station < 0.0 && away <= first {
            return Near::between(self.axis[0] + across, p, 0.0);
        }
        if station > self.length && away <= last {
            return Near::between(self.axis[1] + across, p, self.length);
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
        (across.length() - self.radii[0] - self.growth * station) * self.cosine
    }

    /// The least distance to a triangle.
    pub fn to_triangle(&self, triangle: &Triangle) -> Near {
        match self.deepest(triangle) {
            Some(near) if near.distance <= 0.0 => near,
            _ => on_triangle(self, triangle).map(|p| self.to_point(p)).into_iter().fold(Near::FAR, nearer),
        }
    }

    /// The place of the triangle between the end planes that is deepest in the endless cone: on an edge, or
    /// where the axis pierces it, because the depth is in proportion to the distance from the tip.
    fn deepest(&self, triangle: &Triangle) -> Option<Near> {
        let station = |p: DVec3| (p - self.axis[0]).dot(self.along);
        let polygon = triangle.polygon().above(station).above(|p| self.length - station(p));
        let normal = triangle.normal();
        let t = (triangle.corners[0] - self.axis[0]).dot(normal) / self.along.dot(normal);
        let pierced = (t >= 0.0 && t <= self.length)
            .then(|| triangle.nearest(self.axis[0] + self.along * t))
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
        let gain = self.growth * (s_b - s_a);
        if square <= gain * gain {
            return if gain > 0.0 { b } else { a };
        }
        let foot = -a_across.dot(way) / square;
        let least = (a_across + way * foot).length();
        let t = foot + least * gain / (square * (square - gain * gain)).sqrt();
        if t > 0.0 { a + (b - a) * t.min(1.0) } else { a }
    }

    /// How much thinner it has to be made to draw back 1 mm: least where a rim goes, or a tip.
    pub fn thinning(&self) -> f64 {
        let sine = self.growth.abs() * self.cosine;
        if sine > 0.0 { self.cosine.min(sine) } else { self.cosine }
    }

    /// What of it is at least `by` deep; where one end has none of it left it begins at the tip.
    pub fn thinned(&self, by: f64) -> Frustum {
        let radii = self.radii.map(|r| r - by / self.cosine);
        let tip = (-radii[0] / self.growth).clamp(0.0, self.length);
        let station = |end: usize| if radii[end] < -1e-12 { tip } else { self.length * end as f64 };
        let axis = [0, 1].map(|i| self.axis[0] + self.along * station(i));
        let radii = radii.map(|r| r.max(0.0));
        let disc = |i: usize| Disc { centre: axis[i], half: [radii[i]; 2], ..self.discs[i] };
        Frustum { axis, length: station(1) - station(0), radii, discs: [disc(0), disc(1)], ..*self }
    }

    /// The way from the side to a point inside.
    pub fn sunk(&self, p: DVec3) -> Near {
        Near { distance: self.depth(p), ..self.to_point(p) }
    }

    fn split(&self, p: DVec3) -> (f64, DVec3) {
        let d = p - self.axis[0];
        let station = d.dot(self.along);
        (station, d - self.along * station)
    }

    pub fn contains(&self, p: DVec3) -> bool {
        let station = self.split(p).0;
        station >= 0.0 && station <= self.length && self.depth(p) <= 0.0
    }
}

impl Convex for Frustum {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let near = self.to_point(p);
        if near.distance <= 0.0 { p } else { near.on }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        furthest(&self.discs, direction)
    }
}
