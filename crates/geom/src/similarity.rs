//! A change of place and size, mirrored or not: from a scan's axes and units into the car's.

use glam::{DMat3, DVec3};

/// `p -> linear p + shift`, where `linear` is a rotation, mirrored or not, times `scale`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Similarity {
    /// Rotation, mirror and scale.
    pub linear: DMat3,
    /// Where the origin goes, mm.
    pub shift: DVec3,
    /// How much every length grows: mm for each unit of the scan.
    pub scale: f64,
}

impl Similarity {
    /// Every length `scale` times as long, nothing turned or moved.
    pub fn scaling(scale: f64) -> Similarity {
        Similarity { linear: DMat3::from_diagonal(DVec3::splat(scale)), shift: DVec3::ZERO, scale }
    }

    /// Where `point` goes.
    pub fn apply(&self, point: DVec3) -> DVec3 {
        self.linear * point + self.shift
    }

    /// Whether it turns left into right.
    pub fn mirrors(&self) -> bool {
        self.linear.determinant() < 0.0
    }
}
