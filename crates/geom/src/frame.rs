//! A frame that travels along a tube.

use glam::DVec3;

use crate::math::{atan2, sin_cos};

/// A place on a tube's centreline: where it is, which way the gas goes, and which way clock 0 looks.
///
/// Invariant: `along` and `inside` are unit vectors square to each other. The third axis,
/// [`Frame::side`], is `along x inside`; clocks grow from `inside` towards it, which is clockwise
/// seen looking downstream (the right-hand rule about the direction of travel).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Point on the centreline, mm.
    pub at: DVec3,
    /// Unit direction of travel.
    pub along: DVec3,
    /// Unit vector square to travel: the direction of clock 0.
    pub inside: DVec3,
}

impl Frame {
    /// The frame at `at` that travels along `along`, with clock 0 as near to `towards` as can be.
    ///
    /// `along` and `towards` need not be unit vectors. `None` when `along` is zero or not finite,
    /// or when `towards` lies along it (within about 1e-9 of its length).
    pub fn new(at: DVec3, along: DVec3, towards: DVec3) -> Option<Frame> {
        let along = along.try_normalize()?;
        let across = towards - along * towards.dot(along);
        if !at.is_finite() || across.length() <= 1e-9 * towards.length() {
            return None;
        }
        let inside = across.try_normalize()?;
        let inside = (inside - along * inside.dot(along)).try_normalize()?;
        Some(Frame { at, along, inside })
    }

    /// The frame with clock 0 nearest to +z, or to +x where travel is vertical.
    ///
    /// `None` when `along` is zero or not finite.
    pub fn upright(at: DVec3, along: DVec3) -> Option<Frame> {
        Frame::new(at, along, DVec3::Z).or_else(|| Frame::new(at, along, DVec3::X))
    }

    /// `along x inside`: the direction of clock 90 degrees.
    pub fn side(&self) -> DVec3 {
        self.along.cross(self.inside)
    }

    /// The unit vector square to travel at `clock`, rad.
    pub fn outward(&self, clock: f64) -> DVec3 {
        let (s, c) = sin_cos(clock);
        self.inside * c + self.side() * s
    }

    /// The point `station` downstream (mm), at `clock` (rad) and distance `rho` (mm) from the axis.
    pub fn point(&self, station: f64, clock: f64, rho: f64) -> DVec3 {
        self.at + self.along * station + self.outward(clock) * rho
    }

    /// The frame `length` mm further along a straight.
    pub fn advanced(&self, length: f64) -> Frame {
        Frame { at: self.at + self.along * length, ..*self }
    }

    /// The frame turned by `angle` (rad) about the direction of travel, right-handed.
    pub fn turned(&self, angle: f64) -> Frame {
        let inside = self.outward(angle);
        let inside = (inside - self.along * inside.dot(self.along)).normalize();
        Frame { inside, ..*self }
    }

    /// The frame after a bend of `angle` (rad) towards `inside`, on a centreline radius of `radius` mm.
    ///
    /// The frame moves rigidly with the bend, so clock 0 stays at the inside of the bend.
    pub fn bent(&self, radius: f64, angle: f64) -> Frame {
        let (s, c) = sin_cos(angle);
        let along = (self.along * c + self.inside * s).normalize();
        let inside = self.inside * c - self.along * s;
        Frame {
            at: self.at + self.along * (radius * s) + self.inside * (radius * (1.0 - c)),
            along,
            inside: (inside - along * inside.dot(along)).normalize(),
        }
    }

    /// The clock (rad, in `(-PI, PI]`) at which `direction` is seen; only its part square to travel counts.
    pub fn clock_of(&self, direction: DVec3) -> f64 {
        atan2(direction.dot(self.side()), direction.dot(self.inside))
    }

    /// `point` in this frame's own coordinates: x towards clock 0, y towards clock 90, z downstream.
    pub fn local_point(&self, point: DVec3) -> DVec3 {
        self.local_vector(point - self.at)
    }

    /// `vector` in this frame's own coordinates, see [`Frame::local_point`].
    pub fn local_vector(&self, vector: DVec3) -> DVec3 {
        DVec3::new(vector.dot(self.inside), vector.dot(self.side()), vector.dot(self.along))
    }

    /// The same place travelled the other way, with the same clock 0.
    pub fn reversed(&self) -> Frame {
        Frame { along: -self.along, ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn clocks_grow_clockwise_looking_downstream() {
        // Travel away from the viewer (-z), clock 0 up (+y): clockwise from up is right (+x).
        let frame = Frame::new(DVec3::ZERO, DVec3::NEG_Z, DVec3::Y).unwrap();
        assert!((frame.outward(FRAC_PI_2) - DVec3::X).length() < 1e-15);
    }

    #[test]
    fn a_quarter_bend_ends_where_a_compass_puts_it() {
        let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap().bent(60.0, FRAC_PI_2);
        assert!((frame.at - DVec3::new(60.0, 0.0, 60.0)).length() < 1e-12);
        assert!((frame.along - DVec3::Z).length() < 1e-15);
        assert!((frame.inside + DVec3::X).length() < 1e-15);
    }

    #[test]
    fn a_frame_needs_two_directions() {
        assert!(Frame::new(DVec3::ZERO, DVec3::X, DVec3::X * 3.0).is_none());
        assert!(Frame::new(DVec3::ZERO, DVec3::ZERO, DVec3::X).is_none());
        assert_eq!(Frame::upright(DVec3::ZERO, DVec3::Z).unwrap().inside, DVec3::X);
    }
}
