//! A change of place and size, mirrored or not: from a scan's axes and units into the car's.

use glam::{DMat3, DVec3};

use crate::math::sin_cos;

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

    /// Where `point` came from.
    pub fn undo(&self, point: DVec3) -> DVec3 {
        self.linear.transpose() * (point - self.shift) / (self.scale * self.scale)
    }

    /// It, and `next` after it.
    pub fn then(&self, next: &Similarity) -> Similarity {
        Similarity {
            linear: next.linear * self.linear,
            shift: next.apply(self.shift),
            scale: self.scale * next.scale,
        }
    }

    /// Everything turned by `angle` (rad, right-handed) about the unit direction `axis` through `at`.
    pub fn turning(at: DVec3, axis: DVec3, angle: f64) -> Similarity {
        let (s, c) = sin_cos(angle);
        let turned = |v: DVec3| v * c + axis.cross(v) * s + axis * (axis.dot(v) * (1.0 - c));
        let linear = DMat3::from_cols(turned(DVec3::X), turned(DVec3::Y), turned(DVec3::Z));
        Similarity { linear, shift: at - linear * at, scale: 1.0 }
    }

    /// Whether it turns left into right.
    pub fn mirrors(&self) -> bool {
        self.linear.determinant() < 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn a_quarter_turn_about_a_line_is_undone() {
        let turn = Similarity::turning(DVec3::new(1.0, 2.0, 3.0), DVec3::Z, FRAC_PI_2);
        let moved = turn.apply(DVec3::new(4.0, 2.0, 7.0));
        assert!((moved - DVec3::new(1.0, 5.0, 7.0)).length() < 1e-15, "{moved}");
        let both = Similarity::scaling(25.4).then(&turn);
        let point = DVec3::new(0.3, -4.0, 2.0);
        assert!((both.apply(point) - turn.apply(point * 25.4)).length() < 1e-12);
        assert!((both.undo(both.apply(point)) - point).length() < 1e-13);
    }
}
