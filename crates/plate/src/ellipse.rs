//! Ellipses as arcs of circles: what machines cut, and drawings hold, without a spline.

use geom::math::{atan2, sin_cos};
use glam::DVec2;

use crate::edge::Edge;

/// An ellipse; mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its middle.
    pub centre: DVec2,
    /// The unit direction of its first semi-axis; the second stands 90 degrees counter-clockwise of it.
    pub along: DVec2,
    /// Its two semi-axes.
    pub radii: [f64; 2],
}

impl Ellipse {
    /// The point at `t` (rad): `radii[0] cos t` along the first axis, `radii[1] sin t` along the second.
    pub fn point(&self, t: f64) -> DVec2 {
        let (s, c) = sin_cos(t);
        self.centre + self.along * (self.radii[0] * c) + self.along.perp() * (self.radii[1] * s)
    }

    /// Arcs from the point at `from` to that at `to`, at most half a turn away: as few of equal parts as
    /// leave no point of the ellipse further than `tolerance` mm from its arc. Each passes through its
    /// part's ends and middle.
    pub fn arcs(&self, from: f64, to: f64, tolerance: f64) -> Vec<Edge> {
        let parts = |count: usize| {
            let at = move |k: usize| from + (to - from) * k as f64 / count as f64;
            (0..count).map(move |k| (at(k), at(k + 1)))
        };
        let fits = |count: &usize| parts(*count).all(|part| self.deviation(part) <= tolerance);
        let count = (1..MOST_ARCS).find(fits).unwrap_or(MOST_ARCS);
        parts(count).map(|part| self.arc(part)).collect()
    }

    /// The arc through the ends and the middle of a part: its turn is twice that between the two chords.
    fn arc(&self, (from, to): (f64, f64)) -> Edge {
        let [a, middle, b] = [from, 0.5 * (from + to), to].map(|t| self.point(t));
        let (first, second) = (middle - a, b - middle);
        Edge::arc_between(a, b, 2.0 * atan2(first.perp_dot(second), first.dot(second)))
    }

    /// How far points of the ellipse lie off the part's arc at most, mm.
    fn deviation(&self, part: (f64, f64)) -> f64 {
        let Edge::Arc { centre, radius, .. } = self.arc(part) else { return f64::INFINITY };
        let at = |k: usize| part.0 + (part.1 - part.0) * k as f64 / SAMPLES as f64;
        (0..=SAMPLES).map(|k| (self.point(at(k)).distance(centre) - radius).abs()).fold(0.0, f64::max)
    }
}

/// More arcs than any tolerance that can be made needs.
const MOST_ARCS: usize = 1000;

/// Points of a part that are held against its arc.
const SAMPLES: usize = 16;

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    /// Distance of a point from the ellipse, the nearest of many of its points.
    fn off(ellipse: &Ellipse, point: DVec2) -> f64 {
        let around = (0..=200_000).map(|k| PI * f64::from(k) / 200_000.0);
        around.map(|t| ellipse.point(t).distance(point)).fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn a_circle_is_one_arc() {
        let circle = Ellipse { centre: DVec2::new(3.0, 1.0), along: DVec2::Y, radii: [20.0, 20.0] };
        let arcs = circle.arcs(2.0, -0.5, 0.005);
        let [Edge::Arc { centre, radius, turn, .. }] = arcs[..] else { panic!("{arcs:?}") };
        assert!(centre.distance(circle.centre) < 1e-12 && (radius - 20.0).abs() < 1e-12);
        assert!((turn + 2.5).abs() < 1e-12);
    }

    #[test]
    fn arcs_keep_to_the_ellipse_and_are_few() {
        let ellipse = Ellipse { centre: DVec2::ZERO, along: DVec2::X, radii: [27.0, 23.0] };
        let arcs = ellipse.arcs(0.1, 1.3, 0.005);
        assert!(arcs.len() > 1 && arcs.len() < 8, "{}", arcs.len());
        assert!(arcs[0].from().distance(ellipse.point(0.1)) < 1e-12);
        assert!(arcs[arcs.len() - 1].to().distance(ellipse.point(1.3)) < 1e-12);
        for arc in &arcs {
            for k in 0..=10 {
                let off = off(&ellipse, arc.point(f64::from(k) / 10.0));
                assert!(off < 0.0051, "{off}");
            }
        }
    }
}
