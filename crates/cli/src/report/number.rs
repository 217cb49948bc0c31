//! Numbers as the report prints them.

use geom::{DVec3, Frame};
use serde::ser::Error;
use serde::{Serialize, Serializer};

/// A number in mm, degrees, kg or mm2: printed to 6 decimals, never as -0.
#[derive(Clone, Copy, Debug)]
pub struct Num(pub f64);

/// A component of a unit vector: printed to 9 decimals, never as -0.
#[derive(Clone, Copy, Debug)]
pub struct Unit(pub f64);

/// A point, mm.
pub type Point = [Num; 3];

/// A place with a direction of travel and the side of clock 0.
#[derive(Debug, Serialize)]
pub struct Pose {
    /// The point, mm.
    pub at: Point,
    /// The unit direction of travel.
    pub along: [Unit; 3],
    /// The unit vector square to it at clock 0.
    pub inside: [Unit; 3],
}

impl Num {
    /// An angle in degrees, of radians.
    pub fn degrees(radians: f64) -> Num {
        Num(radians.to_degrees())
    }
}

impl Pose {
    /// The pose of a frame.
    pub fn of(frame: &Frame) -> Pose {
        Pose { at: point(frame.at), along: unit(frame.along), inside: unit(frame.inside) }
    }
}

/// A point of the report.
pub fn point(v: DVec3) -> Point {
    v.to_array().map(Num)
}

/// A unit vector of the report.
pub fn unit(v: DVec3) -> [Unit; 3] {
    v.to_array().map(Unit)
}

impl Serialize for Num {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        rounded(self.0, 1e6, serializer)
    }
}

impl Serialize for Unit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        rounded(self.0, 1e9, serializer)
    }
}

/// `value` to one part in `scale`. Errors: it is not finite, which JSON cannot say.
fn rounded<S: Serializer>(value: f64, scale: f64, serializer: S) -> Result<S::Ok, S::Error> {
    if !value.is_finite() {
        return Err(S::Error::custom("a number is not finite"));
    }
    // Adding 0 turns -0 into 0.
    serializer.serialize_f64((value * scale).round() / scale + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_and_never_minus_zero() {
        assert_eq!(serde_json::to_string(&Num(-1e-9)).unwrap(), "0.0");
        assert_eq!(serde_json::to_string(&Num(1.234_567_89)).unwrap(), "1.234568");
        assert_eq!(serde_json::to_string(&Unit(-0.123_456_789_12)).unwrap(), "-0.123456789");
        assert!(serde_json::to_string(&Num(f64::NAN)).is_err());
    }
}
