//! The cut of a tube that is fitted onto a round body.

use std::f64::consts::{PI, TAU};

use geom::math::{hypot, sin_cos};
use geom::{DVec3, roots};

use crate::cut::{End, WallLine};

/// A round body, cylinder or cone, that a tube is fitted onto.
///
/// A tube that ends on it ends at the first meeting of each wall line with its surface, going
/// downstream; a tube that starts on it starts at the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saddle {
    /// A point on the body's axis, in the cut's coordinates, mm.
    pub at: DVec3,
    /// Unit direction of the body's axis.
    pub along: DVec3,
    /// The radius at `at` of the surface that the tube is fitted onto, mm.
    pub radius: f64,
    /// Growth of that radius for each mm along the body's axis.
    pub slope: f64,
    /// Which end of the tube stands on the body.
    pub end: End,
}

/// A wall line that misses the body that it should be fitted onto.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miss {
    /// Its clock, rad.
    pub clock: f64,
    /// How far outside the body's surface it passes, mm (for a cone about).
    pub by: f64,
}

/// `a z^2 + 2 b z + c`: the squared distance of a line's point at z from the body's axis, less the
/// square of the body's radius there.
#[derive(Clone, Copy)]
struct Quadratic {
    a: f64,
    b: f64,
    c: f64,
}

impl Saddle {
    /// The wall line at radius up to `rho` that misses the body by most, if any does.
    ///
    /// A line that only grazes the surface (by `tolerance` mm) counts as meeting it.
    pub fn miss(&self, rho: f64, tolerance: f64) -> Option<Miss> {
        let worst = self
            .kinks(rho, 0.0)
            .into_iter()
            .map(|clock| {
                let Quadratic { a, b, c } = self.quadratic(WallLine { clock, rho, slope: 0.0 });
                let least = if a.abs() < 1e-12 { f64::INFINITY } else { c - b * b / a };
                let by = least / (self.radius + (self.radius * self.radius + least.max(0.0)).sqrt());
                Miss { clock, by }
            })
            .max_by(|p, q| p.by.total_cmp(&q.by))?;
        (worst.by > tolerance).then_some(worst)
    }

    /// z at which the tube's metal ends (or starts) on `line`; a grazing line meets the surface where
    /// it comes closest.
    pub fn end_of(&self, line: WallLine) -> f64 {
        let quadratic = self.quadratic(line);
        match self.end {
            End::End => quadratic.first(),
            End::Start => quadratic.last(),
        }
    }

    /// How much nearer `line` comes to the surface for each mm along z where it meets it.
    pub(crate) fn crossing(&self, line: WallLine) -> f64 {
        let (s, c) = sin_cos(line.clock);
        let z = self.end_of(line);
        let rho = line.rho + line.slope * z;
        let radius = self.radius + self.slope * (DVec3::new(rho * c, rho * s, z) - self.at).dot(self.along);
        self.quadratic(line).discriminant().max(0.0).sqrt() / (radius * hypot(1.0, self.slope))
    }

    /// Both z at which `line` meets the body's surface, ascending on a cylinder; `None` where it misses.
    pub fn meetings(&self, line: WallLine) -> Option<(f64, f64)> {
        let quadratic = self.quadratic(line);
        (quadratic.discriminant() >= 0.0).then(|| (quadratic.first(), quadratic.last()))
    }

    /// Clocks at which a wall line comes closest to missing the body: where the edge turns sharpest.
    pub fn kinks(&self, rho: f64, slope: f64) -> Vec<f64> {
        const STEPS: u32 = 180;
        let depth = |clock: f64| self.quadratic(WallLine { clock, rho, slope }).discriminant();
        let step = TAU / f64::from(STEPS);
        (0..STEPS)
            .map(|i| f64::from(i) * step)
            .filter(|&clock| depth(clock) <= depth(clock - step) && depth(clock) < depth(clock + step))
            .map(|clock| roots::minimum(depth, clock - step, clock + step, 1e-13))
            .map(|clock| snapped(clock, depth))
            .collect()
    }

    fn quadratic(&self, line: WallLine) -> Quadratic {
        let (s, co) = sin_cos(line.clock);
        let origin = DVec3::new(line.rho * co, line.rho * s, 0.0) - self.at;
        let step = DVec3::new(line.slope * co, line.slope * s, 1.0);
        let (origin_axial, step_axial) = (origin.dot(self.along), step.dot(self.along));
        let (p, q) = (origin - self.along * origin_axial, step - self.along * step_axial);
        let (radius, growth) = (self.radius + self.slope * origin_axial, self.slope * step_axial);
        Quadratic {
            a: q.length_squared() - growth * growth,
            b: p.dot(q) - radius * growth,
            c: p.length_squared() - radius * radius,
        }
    }
}

/// The roots, written so that neither loses digits when `a` or `c` is small.
impl Quadratic {
    fn discriminant(&self) -> f64 {
        self.b * self.b - self.a * self.c
    }

    fn first(&self) -> f64 {
        let Quadratic { a, b, c } = *self;
        let root = self.discriminant().max(0.0).sqrt();
        if b > 0.0 || a <= 0.0 || root == 0.0 { (-b - root) / a } else { c / (-b + root) }
    }

    fn last(&self) -> f64 {
        let Quadratic { a, b, c } = *self;
        let root = self.discriminant().max(0.0).sqrt();
        if b <= 0.0 || root == 0.0 { (-b + root) / a } else { c / (-b - root) }
    }
}

/// A quarter turn is where equal or centred tubes have their corner: prefer it exactly.
fn snapped(clock: f64, depth: impl Fn(f64) -> f64) -> f64 {
    let quarter = (clock / (0.5 * PI)).round() * 0.5 * PI;
    let near = (clock - quarter).abs() < 1e-6;
    if near && depth(quarter) <= depth(clock) { quarter } else { clock }
}
