//! Where two things come nearest.

use geom::DVec3;

/// The shortest way between a solid and something else.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// Its length, mm: 0 where they touch; negative where the other reaches into a tube's or cone's side, by
    /// how far it passes its outside.
    pub distance: f64,
    /// The point on the solid's outside.
    pub on: DVec3,
    /// The point on the other.
    pub there: DVec3,
    /// How far along the solid's centreline that is from its begin, mm; 0 for a shell.
    pub station: f64,
}

impl Near {
    /// Nothing near.
    pub(crate) const FAR: Near =
        Near { distance: f64::INFINITY, on: DVec3::ZERO, there: DVec3::ZERO, station: 0.0 };

    /// The straight way between two points.
    pub(crate) fn between(on: DVec3, there: DVec3, station: f64) -> Near {
        Near { distance: on.distance(there), on, there, station }
    }
}

/// The nearer of two, the first where they are equally near.
pub(crate) fn nearer(a: Near, b: Near) -> Near {
    if b.distance < a.distance { b } else { a }
}
