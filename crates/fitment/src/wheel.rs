//! A skeleton's ring as a wheel: a rim, spokes, and a hub around the rod.

use std::f64::consts::{PI, TAU};

use geom::math::{asin, sin_cos};
use plate::DVec2;

use crate::profile::Profile;
use crate::sweep::limits;

/// A ring of a sweep that has windows right through it. Stations in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wheel {
    /// Where it begins: the outside steps up there.
    pub from: f64,
    /// Where it ends: the outside steps down there.
    pub to: f64,
    /// Width of its rim and of its spokes, mm; its hub is half of that.
    pub bar: f64,
}

impl Wheel {
    /// The outlines of its windows in a sweep of radius `outside`, each anticlockwise, x toward clock 0, y toward clock 90,
    /// mm; none where they would be narrower than its bars.
    pub fn windows(&self, outside: &Profile) -> Vec<Vec<DVec2>> {
        let [[before, first], [last, behind]] = [self.from, self.to].map(|s| limits(outside, s));
        let within = outside.points.iter().filter(|p| p.0 > self.from && p.0 < self.to).map(|p| p.1);
        let rim = within.fold(first.min(last), f64::min) - self.bar;
        let hub = before.max(behind) + 0.5 * self.bar;
        let spokes = (TAU * rim / BRIDGE).ceil().max(LEAST_SPOKES);
        // Half of what a window takes around the rod: spokes have parallel sides.
        let half = |radius: f64| PI / spokes - asin((0.5 * self.bar / radius).min(1.0));
        if rim - hub < self.bar || 2.0 * half(hub) * hub < self.bar {
            return Vec::new();
        }
        let arc = |middle: f64, radius: f64, way: f64| {
            let steps = (2.0 * half(radius) * radius / FLAT).ceil().max(2.0);
            let clock = move |k: u32| middle + way * half(radius) * (2.0 * f64::from(k) / steps - 1.0);
            (0..=steps as u32).map(clock).map(move |c| DVec2::new(sin_cos(c).1, sin_cos(c).0) * radius)
        };
        let window = |k: u32| {
            let middle = TAU * (f64::from(k) + 0.5) / spokes;
            arc(middle, rim, 1.0).chain(arc(middle, hub, -1.0)).collect()
        };
        (0..spokes as u32).map(window).collect()
    }
}

/// The widest window along the rim, mm, and the fewest spokes (common practice, no source).
const BRIDGE: f64 = 35.0;
/// See [`BRIDGE`].
const LEAST_SPOKES: f64 = 4.0;

/// Length of the flats along a window's round sides, mm.
const FLAT: f64 = 4.0;
