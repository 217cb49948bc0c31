//! Round rods with round ends, and balls.

use geom::{DVec3, Similarity};

use crate::convex::Convex;
use crate::near::{Near, nearer};
use crate::solid::Capsule;
use crate::triangle::{Triangle, on_segment, segments};

impl Capsule {
    pub(crate) fn to_point(&self, p: DVec3) -> Near {
        self.way(on_segment(self.from, self.to, p), p)
    }

    /// The least distance to a triangle: where its line pierces it, at its line's ends, or on an edge.
    pub(crate) fn to_triangle(&self, triangle: &Triangle) -> Near {
        let (from, to) = (self.from, self.to);
        let mut best = Near::FAR;
        let normal = triangle.normal();
        let t = (triangle.corners[0] - from).dot(normal) / (to - from).dot(normal);
        let pierced = if t > 0.0 && t < 1.0 { from + (to - from) * t } else { from };
        for q in [pierced, from, to] {
            best = nearer(best, self.to_point(triangle.nearest(q)));
        }
        for (a, b) in triangle.edges() {
            best = nearer(best, self.to_point(segments(a, b, from, to).0));
        }
        best
    }

    /// The way from `foot` on the line to `p`, less the radius.
    fn way(&self, foot: DVec3, p: DVec3) -> Near {
        let away = foot.distance(p);
        let out = if away > 0.0 { (p - foot) / away } else { (self.to - self.from).any_out() };
        Near {
            distance: away - self.radius,
            on: foot + out * self.radius,
            there: p,
            station: foot.distance(self.from),
        }
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Capsule {
        Capsule { from: by.apply(self.from), to: by.apply(self.to), radius: self.radius * by.scale }
    }
}

impl Convex for Capsule {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let near = self.to_point(p);
        if near.distance <= 0.0 { p } else { near.on }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        let end = if (self.to - self.from).dot(direction) > 0.0 { self.to } else { self.from };
        end + direction.normalize_or_zero() * self.radius
    }
}

/// A direction square to a vector, also to one of no length.
trait AnyOut {
    fn any_out(self) -> DVec3;
}

impl AnyOut for DVec3 {
    fn any_out(self) -> DVec3 {
        if self == DVec3::ZERO { DVec3::Z } else { self.any_orthogonal_vector().normalize() }
    }
}
