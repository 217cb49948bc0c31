//! Transcendental functions with the same bits on every machine.
//!
//! `std`'s call the platform's mathematics library, whose last digit differs between systems;
//! these are the `libm` crate's, compiled from the same source everywhere.

pub use libm::{acos, asin, atan, atan2, cos, exp, hypot, log as ln, pow, sin, tan};

/// Sine and cosine of an angle in radians.
pub fn sin_cos(x: f64) -> (f64, f64) {
    libm::sincos(x)
}
