//! Straight lengths of tube.

use geom::{DVec3, Frame, Similarity};

use crate::convex::{Convex, on_triangle};
use crate::disc::Disc;
use crate::near::{Near, nearer};
use crate::solid::{Cylinder, carried_frame};
use crate::triangle::Triangle;

impl Cylinder {
    /// A tube with square ends, its begin at `frame`.
    pub fn square(frame: Frame, length: f64, radius: f64) -> Cylinder {
        Cylinder { frame, length, radius, ends: [-frame.along, frame.along] }
    }

    pub(crate) fn is_square(&self) -> bool {
        let along = self.frame.along;
        (self.ends[0] + along).length_squared() < 1e-24 && (self.ends[1] - along).length_squared() < 1e-24
    }

    /// Where its axis ends.
    pub(crate) fn axis(&self) -> [DVec3; 2] {
        [self.frame.at, self.frame.at + self.frame.along * self.length]
    }

    /// Its flat ends.
    pub(crate) fn discs(&self) -> [Disc; 2] {
        let (axis, f) = (self.axis(), &self.frame);
        [0, 1].map(|i| Disc::cut(axis[i], self.ends[i], f.along, f.inside, self.radius))
    }

    /// The nearest point of its outside, or the way through it: see [`Near::distance`].
    pub(crate) fn to_point(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        if self.is_square() {
            if station >= 0.0 && station <= self.length {
                return self.beside(p);
            }
            let end = station.clamp(0.0, self.length);
            let shift = if away > self.radius { across * (self.radius / away) } else { across };
            return Near::between(self.frame.at + self.frame.along * end + shift, p, end);
        }
        let beside = self.beside(p);
        if self.between_ends(if away <= self.radius { p } else { beside.on }) {
            return beside;
        }
        let discs = self.discs();
        let ends = [0, 1].map(|i| Near::between(discs[i].nearest(p), p, self.length * i as f64));
        nearer(ends[0], ends[1])
    }

    /// The least distance to a triangle.
    pub(crate) fn to_triangle(&self, triangle: &Triangle) -> Near {
        let axis = self.axis();
        let height = |i: usize| move |p: DVec3| -(p - axis[i]).dot(self.ends[i]);
        let beside = self.least_beside(triangle, height(0), height(1));
        if !self.is_square() {
            return match beside {
                Some(near) if near.distance <= 0.0 => near,
                _ => {
                    on_triangle(self, triangle).map(|p| self.to_point(p)).into_iter().fold(Near::FAR, nearer)
                }
            };
        }
        let mut best = beside.unwrap_or(Near::FAR);
        for (i, disc) in self.discs().iter().enumerate() {
            if triangle.corners.iter().any(|&p| height(i)(p) < 0.0) {
                for p in on_triangle(disc, triangle) {
                    best = nearer(best, Near::between(disc.nearest(p), p, self.length * i as f64));
                }
            }
        }
        best
    }

    /// The place of the triangle between the end planes that is nearest to the axis.
    fn least_beside(
        &self,
        triangle: &Triangle,
        first: impl Fn(DVec3) -> f64,
        last: impl Fn(DVec3) -> f64,
    ) -> Option<Near> {
        let polygon = triangle.polygon().above(&first).above(&last);
        let mut best: Option<Near> = None;
        let mut offer = |p: DVec3| {
            let near = self.beside(p);
            best = Some(best.map_or(near, |b| nearer(b, near)));
        };
        for (a, b) in polygon.edges() {
            let (a_across, b_across) = (self.split(a).1, self.split(b).1);
            let way = b_across - a_across;
            let t = -a_across.dot(way) / way.length_squared();
            offer(if t > 0.0 { a + (b - a) * t.min(1.0) } else { a });
        }
        let normal = triangle.normal();
        let [from, _] = self.axis();
        let t = (triangle.corners[0] - from).dot(normal) / self.frame.along.dot(normal);
        if t >= 0.0 && t <= self.length {
            let crossing = triangle.nearest(from + self.frame.along * t);
            if first(crossing) >= 0.0 && last(crossing) >= 0.0 {
                offer(crossing);
            }
        }
        best
    }

    /// The way from the side to a point between the end planes.
    pub(crate) fn beside(&self, p: DVec3) -> Near {
        let (station, across) = self.split(p);
        let away = across.length();
        let out = if away > 0.0 { across / away } else { self.frame.inside };
        let on = self.frame.at + self.frame.along * station + out * self.radius;
        Near { distance: away - self.radius, on, there: p, station: station.clamp(0.0, self.length) }
    }

    /// The station of a point's foot on the axis, and the way from there to the point.
    fn split(&self, p: DVec3) -> (f64, DVec3) {
        let d = p - self.frame.at;
        let station = d.dot(self.frame.along);
        (station, d - self.frame.along * station)
    }

    fn between_ends(&self, p: DVec3) -> bool {
        let axis = self.axis();
        (0..2).all(|i| (p - axis[i]).dot(self.ends[i]) <= 0.0)
    }

    pub(crate) fn contains(&self, p: DVec3) -> bool {
        self.between_ends(p) && self.split(p).1.length() <= self.radius
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

impl Convex for Cylinder {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let near = self.to_point(p);
        if near.distance <= 0.0 { p } else { near.on }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        let [a, b] = self.discs().map(|d| d.support(direction));
        if a.dot(direction) >= b.dot(direction) { a } else { b }
    }
}
