//! Closed surfaces of triangles.

use geom::math::atan2;
use geom::{DVec3, Similarity};

use crate::bounds::Bounds;
use crate::near::{Near, nearer};
use crate::solid::Shell;
use crate::triangle::Triangle;

impl Shell {
    pub(crate) fn faces(&self) -> impl Iterator<Item = Triangle> + '_ {
        self.triangles.iter().map(|t| Triangle { corners: t.map(|i| self.points[i as usize]) })
    }

    /// The nearest place of its surface; the distance is 0 inside.
    pub(crate) fn to_point(&self, p: DVec3) -> Near {
        let near = self.faces().fold(Near::FAR, |best, t| nearer(best, Near::between(t.nearest(p), p, 0.0)));
        if self.contains(p) { Near { distance: 0.0, ..near } } else { near }
    }

    /// The least distance to a triangle; 0 where the triangle is inside.
    pub(crate) fn to_triangle(&self, triangle: &Triangle) -> Near {
        let (middle, reach) = triangle.ball();
        let near = self.faces().fold(Near::FAR, |best, face| {
            let (at, radius) = face.ball();
            if at.distance(middle) - radius - reach > best.distance {
                return best;
            }
            let [on, there] = face.to_triangle(triangle);
            nearer(best, Near::between(on, there, 0.0))
        });
        let inside = near.distance > 0.0 && self.contains(triangle.corners[0]);
        if inside { Near { distance: 0.0, ..near } } else { near }
    }

    /// Whether a point is inside: the faces' solid angles about it add up to a whole sphere (van Oosterom and
    /// Strackee, "The solid angle of a plane triangle", 1983).
    pub(crate) fn contains(&self, p: DVec3) -> bool {
        let bounds = Bounds::of(self.points.iter().copied());
        if p.cmplt(bounds.min).any() || p.cmpgt(bounds.max).any() {
            return false;
        }
        let angle: f64 = self
            .faces()
            .map(|t| {
                let [a, b, c] = t.corners.map(|q| q - p);
                let (la, lb, lc) = (a.length(), b.length(), c.length());
                let below = la * lb * lc + a.dot(b) * lc + a.dot(c) * lb + b.dot(c) * la;
                2.0 * atan2(a.dot(b.cross(c)), below)
            })
            .sum();
        angle > std::f64::consts::TAU
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Shell {
        Shell {
            points: self.points.iter().map(|&p| by.apply(p)).collect(),
            triangles: self.triangles.clone(),
        }
    }

    pub(crate) fn support(&self, direction: DVec3) -> DVec3 {
        let further = |a: DVec3, b: DVec3| if b.dot(direction) > a.dot(direction) { b } else { a };
        self.points.iter().copied().reduce(further).unwrap_or(DVec3::NAN)
    }
}
