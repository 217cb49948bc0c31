//! Angles in radians: conversion from degrees and wrapping.

use std::f64::consts::{PI, TAU};

/// Degrees to radians.
pub fn from_degrees(degrees: f64) -> f64 {
    degrees * (PI / 180.0)
}

/// Radians to degrees.
pub fn to_degrees(radians: f64) -> f64 {
    radians * (180.0 / PI)
}

/// The same direction in `(-PI, PI]`: the range of a rotate.
pub fn wrap_signed(radians: f64) -> f64 {
    let turn = wrap_turn(radians);
    if turn > PI { turn - TAU } else { turn }
}

/// The same direction in `[0, TAU)`: the range of a clock.
pub fn wrap_turn(radians: f64) -> f64 {
    let turn = radians % TAU;
    let turn = if turn < 0.0 { turn + TAU } else { turn };
    if turn >= TAU { 0.0 } else { turn }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrapping_keeps_the_ends_of_the_ranges() {
        assert_eq!(wrap_signed(PI), PI);
        assert_eq!(wrap_signed(-PI), PI);
        assert_eq!(wrap_turn(-1e-30), 0.0);
        assert_eq!(wrap_turn(TAU), 0.0);
        assert!((wrap_signed(1.5 * PI) + 0.5 * PI).abs() < 1e-15);
    }
}
