//! Boxes along the car's axes.

use geom::DVec3;

/// An axis-aligned box, mm; empty where a coordinate of `min` is above that of `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Its least coordinates.
    pub min: DVec3,
    /// Its greatest.
    pub max: DVec3,
}

impl Bounds {
    /// The box of nothing.
    pub const EMPTY: Bounds = Bounds { min: DVec3::INFINITY, max: DVec3::NEG_INFINITY };

    /// The box of some points.
    pub fn of(points: impl IntoIterator<Item = DVec3>) -> Bounds {
        points.into_iter().fold(Bounds::EMPTY, |b, p| Bounds { min: b.min.min(p), max: b.max.max(p) })
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        !self.min.cmple(self.max).all()
    }

    /// The box of both.
    pub fn joined(&self, other: &Bounds) -> Bounds {
        Bounds { min: self.min.min(other.min), max: self.max.max(other.max) }
    }

    /// The box grown by `margin` (mm) on every side.
    pub fn grown(&self, margin: f64) -> Bounds {
        Bounds { min: self.min - margin, max: self.max + margin }
    }

    /// The shortest way between the two boxes, mm; 0 where they meet, infinite where one is empty.
    pub fn distance(&self, other: &Bounds) -> f64 {
        if self.is_empty() || other.is_empty() {
            return f64::INFINITY;
        }
        (other.min - self.max).max(self.min - other.max).max(DVec3::ZERO).length()
    }

    /// Its middle.
    pub fn centre(&self) -> DVec3 {
        0.5 * (self.min + self.max)
    }
}
