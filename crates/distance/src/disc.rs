//! Flat ends: round where a tube ends square, elliptic where a plane cuts it askew.

use geom::DVec3;

use crate::convex::Convex;

/// A flat ellipse.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Disc {
    pub centre: DVec3,
    /// Unit vector out of the body.
    pub out: DVec3,
    /// Unit vector along the longer half axis.
    pub along: DVec3,
    /// Unit vector along the shorter.
    pub across: DVec3,
    /// The half axes, mm: the longer and the shorter.
    pub half: [f64; 2],
}

impl Disc {
    /// A round one; `along` is any unit vector square to `out`.
    pub fn round(centre: DVec3, out: DVec3, along: DVec3, radius: f64) -> Disc {
        Disc { centre, out, along, across: out.cross(along), half: [radius, radius] }
    }

    /// Where a plane square to `out` cuts a round tube about `axis` (a unit vector).
    pub fn cut(centre: DVec3, out: DVec3, axis: DVec3, inside: DVec3, radius: f64) -> Disc {
        let lean = axis.dot(out);
        match (axis - out * lean).try_normalize() {
            Some(along) if (1.0 - lean.abs()) > 1e-15 => {
                Disc { centre, out, along, across: out.cross(along), half: [radius / lean.abs(), radius] }
            }
            _ => Disc::round(centre, out, (inside - out * inside.dot(out)).normalize(), radius),
        }
    }

    /// The point of the rim at `turn` (rad), counted from the longer half axis, and how it moves with the turn.
    pub fn rim(&self, turn: f64) -> (DVec3, DVec3) {
        let (s, c) = geom::math::sin_cos(turn);
        let (x, y) = (self.along * self.half[0], self.across * self.half[1]);
        (self.centre + x * c + y * s, y * c - x * s)
    }

    /// How far the rim can come against a unit direction, from a place where it moves by `way` for each radian,
    /// within `turn` (rad).
    pub fn approach(&self, direction: DVec3, way: DVec3, turn: f64) -> f64 {
        let (x, y) = (direction.dot(self.along) * self.half[0], direction.dot(self.across) * self.half[1]);
        direction.dot(way).abs() * turn + 0.5 * (x * x + y * y).sqrt() * turn * turn
    }

    /// Where the point (x, y) in the disc's own plane has its nearest point of the disc.
    fn flat(&self, x: f64, y: f64) -> [f64; 2] {
        let [a, b] = self.half;
        if a == b {
            let away = (x * x + y * y).sqrt();
            return if away <= a { [x, y] } else { [x * a / away, y * a / away] };
        }
        if (x / a) * (x / a) + (y / b) * (y / b) <= 1.0 {
            return [x, y];
        }
        let [u, v] = outside_ellipse(a, b, x.abs(), y.abs());
        [u.copysign(x), v.copysign(y)]
    }
}

impl Convex for Disc {
    fn nearest(&self, p: DVec3) -> DVec3 {
        let d = p - self.centre;
        let [x, y] = self.flat(d.dot(self.along), d.dot(self.across));
        self.centre + self.along * x + self.across * y
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        let x = direction.dot(self.along) * self.half[0];
        let y = direction.dot(self.across) * self.half[1];
        let size = (x * x + y * y).sqrt();
        if size == 0.0 {
            return self.centre;
        }
        self.centre + self.along * (self.half[0] * x / size) + self.across * (self.half[1] * y / size)
    }
}

/// The point of an ellipse with half axes `a >= b` nearest to (x, y), which lies outside it, x and y 0 or more.
///
/// The foot is (a^2 x / (t + a^2), b^2 y / (t + b^2)) for the one root t > 0 of the ellipse's equation, which
/// falls and is convex there: Newton's steps from below never pass it (Eberly, "Distance from a point to an
/// ellipse", 2013, derives the equation).
fn outside_ellipse(a: f64, b: f64, x: f64, y: f64) -> [f64; 2] {
    let mut t = (a * x - a * a).max(b * y - b * b).max(0.0);
    for _ in 0..60 {
        let (p, q) = (t + a * a, t + b * b);
        let (u, v) = (a * x / p, b * y / q);
        let value = u * u + v * v - 1.0;
        let slope = -2.0 * (u * u / p + v * v / q);
        let next = t - value / slope;
        if next <= t || !next.is_finite() {
            break;
        }
        t = next;
    }
    [a * a * x / (t + a * a), b * b * y / (t + b * b)]
}
