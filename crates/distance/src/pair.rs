//! Solid against solid.

use geom::DVec3;
use geom::roots::minimum;

use crate::near::{Near, nearer};
use crate::solid::Solid;

impl Solid {
    /// The least distance to another solid.
    pub fn to_solid(&self, other: &Solid) -> Near {
        if let Solid::Shell(shell) = other {
            return shell.faces().fold(Near::FAR, |best, face| nearer(best, self.to_triangle(face.corners)));
        }
        let (length, at) = self.line();
        let value = |s: f64| other.to_point(at(s)).distance;
        let steps = 64;
        let best =
            (0..=steps).map(|i| length * i as f64 / steps as f64).fold((f64::INFINITY, 0.0), |b, s| {
                let d = value(s);
                if d < b.0 { (d, s) } else { b }
            });
        let step = length / steps as f64;
        let s = minimum(value, (best.1 - step).max(0.0), (best.1 + step).min(length), 1e-9);
        let s = if value(s) < best.0 { s } else { best.1 };
        let there = other.to_point(at(s));
        self.to_point(if there.distance < 0.0 { at(s) } else { there.on })
    }

    /// [`Solid::to_solid`] where it is less than `below` (mm).
    pub fn to_solid_below(&self, other: &Solid, below: f64) -> Option<Near> {
        if self.bounds().distance(&other.bounds()) >= below {
            return None;
        }
        Some(self.to_solid(other)).filter(|near| near.distance < below)
    }

    fn line(&self) -> (f64, Box<dyn Fn(f64) -> DVec3 + '_>) {
        match self {
            Solid::Cylinder(c) => (c.length, Box::new(|s| c.frame.point(s, 0.0, 0.0))),
            Solid::Cone(c) => (c.length, Box::new(|s| c.frame.point(s, 0.0, 0.0))),
            Solid::Bend(b) => (b.clr * b.angle, Box::new(|s| b.frame.bent(b.clr, s / b.clr).at)),
            Solid::Capsule(c) => {
                (c.from.distance(c.to), Box::new(|s| c.from + (c.to - c.from).normalize_or_zero() * s))
            }
            Solid::Shell(s) => (0.0, Box::new(|_| s.points[0])),
        }
    }
}
