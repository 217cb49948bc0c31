//! The geometry of a merge: equal legs, evenly round an axis, all aimed at one point of it.
//!
//! Lengths along the axis (z) and along a leg (s) are measured from the apex, the point in which the
//! legs' centrelines meet, downstream positive. Angles around a leg (phi) are measured from the
//! outward radial direction; around the axis (azimuth) from leg 1. Formulas: each leg is cut by the
//! two half-planes through the axis midway to its neighbours; derived here, and checked against
//! mesh slicing in the tests.

use std::f64::consts::{PI, TAU};

use geom::angle::wrap_signed;
use geom::math::{asin, atan2, cos, hypot, sin, sin_cos, tan};
use geom::{quadrature, roots};

use crate::cut::WallLine;

/// Legs of one section around an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cluster {
    /// Number of legs, at least 2.
    pub legs: usize,
    /// Angle between a leg and the axis, rad; above 0, under PI / 2.
    pub convergence: f64,
    /// Outside radius of a leg, mm.
    pub outer: f64,
    /// Bore radius of a leg, mm.
    pub inner: f64,
}

/// The place furthest upstream where neighbouring legs touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstContact {
    /// Along the leg's centreline, mm.
    pub along_leg: f64,
    /// Along the axis, mm.
    pub axial: f64,
    /// Around the leg, rad in `(0, PI]`.
    pub phi: f64,
}

/// Why an outlet does not suit a cluster.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutletError {
    /// Larger than the largest outside diameter (held here, mm) that the cluster has metal for.
    TooLarge(f64),
    /// Smaller than the smallest outside diameter (held here, mm) that the cluster narrows to.
    TooSmall(f64),
    /// The cone narrows as fast as the legs converge, or faster: they never land on it.
    TooSteep,
}

/// A leg's downstream end: cut by its two bisectors, then by the outlet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegCut {
    /// The cluster that the leg belongs to.
    pub cluster: Cluster,
    /// What ends the leg where no neighbour does.
    pub outlet: Outlet,
}

/// What ends a leg beyond its neighbours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outlet {
    /// Sawn square to the axis at this z, mm.
    Sawn(f64),
    /// The outside of a round outlet, on which the legs' outer halves land. A leg's wall that reaches
    /// inside where the outlet's own begins ends beside it, on the plane through the leg's axis.
    Round {
        /// z of the mouth, where the radius is given, mm.
        from: f64,
        /// Outside radius at `from`, mm.
        radius: f64,
        /// Growth of the radius for each mm downstream (a cone that narrows: below 0).
        slope: f64,
    },
}

/// The upstream end of a fitted outlet: the wall runs on, sector by sector, to the legs' bores.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScallopCut {
    /// The cluster that it runs into.
    pub cluster: Cluster,
}

impl Cluster {
    /// Half the angle between neighbours' azimuths, rad.
    pub fn half_sector(&self) -> f64 {
        PI / self.legs as f64
    }

    /// z of the spike, the point of the axis where all legs' surfaces of radius `rho` meet:
    /// `-rho / sin(convergence)`.
    pub fn spike(&self, rho: f64) -> f64 {
        -rho / sin(self.convergence)
    }

    /// s of the merge tip: the point of the leg's centreline abreast of the spike, the foot of the
    /// square from the spike onto the centreline, `-outer cos / sin(convergence)`.
    pub fn tip(&self) -> f64 {
        self.spike(self.outer) * cos(self.convergence)
    }

    /// Where the surfaces of radius `rho` of two neighbours first touch.
    pub fn first_contact(&self, rho: f64) -> FirstContact {
        let (s, c) = sin_cos(self.convergence);
        let cot = self.cot();
        let phi = PI - atan2(cot, c);
        let along_leg = -(rho / s) * (c * c + cot * cot).sqrt();
        FirstContact { along_leg, axial: along_leg * c + rho * cos(phi) * s, phi }
    }

    /// s at which neighbours' square-cut rims stand `gap` mm apart, outside to outside.
    ///
    /// The rim is a circle; its nearest point to the bisector plane, whose normal leans against the
    /// leg by `asin(sin(convergence) sin(PI / legs))`, is half the gap away. At gap 0 it is the first
    /// contact.
    pub fn inlet_for_gap(&self, gap: f64) -> f64 {
        let lean = sin(self.convergence) * sin(self.half_sector());
        -(0.5 * gap + self.outer * (1.0 - lean * lean).sqrt()) / lean
    }

    /// The gap between neighbours' rims at inlet faces at `s`, mm; the inverse of
    /// [`Cluster::inlet_for_gap`].
    pub fn gap_at(&self, s: f64) -> f64 {
        let lean = sin(self.convergence) * sin(self.half_sector());
        2.0 * (-s * lean - self.outer * (1.0 - lean * lean).sqrt())
    }

    /// Distance from the axis of the valley between neighbours, at `z` and wall radius `rho`: the outer
    /// meeting of the bisector plane with the leg's elliptical section. `None` where they do not meet: never
    /// between the spike and as far behind the apex, where the axis lies within every leg.
    pub fn valley_radius(&self, z: f64, rho: f64) -> Option<f64> {
        let (s, c) = sin_cos(self.half_sector());
        let centre = -z * tan(self.convergence);
        let radial = rho / cos(self.convergence);
        // (d c - centre)^2 / radial^2 + d^2 s^2 / rho^2 = 1, a quadratic in d.
        let a = c * c / (radial * radial) + s * s / (rho * rho);
        let b = -c * centre / (radial * radial);
        let root = b * b - a * (centre * centre / (radial * radial) - 1.0);
        (root >= 0.0).then(|| (-b + root.sqrt()) / a)
    }

    /// Distance from the axis of the middle of a leg's outline at `z`, mm.
    pub fn lobe_radius(&self, z: f64, rho: f64) -> f64 {
        -z * tan(self.convergence) + rho / cos(self.convergence)
    }

    /// Perimeter of the outline of all legs' surfaces of radius `rho`, sawn square at `z`, mm, to
    /// 1e-9 mm: the line around them all, without what the legs leave open around the axis upstream of
    /// the spike. Where no neighbours meet yet ([`Cluster::valley_radius`]) the sum of their sections.
    pub fn outline_perimeter(&self, z: f64, rho: f64) -> f64 {
        let (radial, centre) = (rho / cos(self.convergence), -z * tan(self.convergence));
        // Points of the section: (centre + radial cos t, rho sin t); t to where it meets the bisector.
        let half = self.half_sector();
        let reach = |t: f64| rho * sin(t) * cos(half) < (centre + radial * cos(t)) * sin(half);
        // The section is nearest to the bisector, or furthest beyond it, at this t; it may come back after.
        let nearest = PI - atan2(rho * cos(half), radial * sin(half));
        let last = if reach(nearest) { PI } else { roots::threshold(reach, 0.0, nearest) };
        let speed = |t: f64| {
            let (s, c) = sin_cos(t);
            (radial * radial * s * s + rho * rho * c * c).sqrt()
        };
        2.0 * self.legs as f64 * quadrature::integrate(&speed, 0.0, last, 1e-10)
    }

    /// z of the saw cut at which the outline is as long as the circumference of a tube of outside
    /// diameter `od` mm.
    ///
    /// The outline shrinks from the spike to the apex; an outlet beyond either end is refused.
    pub fn saw_plane(&self, od: f64) -> Result<f64, OutletError> {
        let spike = self.spike(self.outer);
        let excess = |z: f64| self.outline_perimeter(z, self.outer) - PI * od;
        if excess(spike) < 0.0 {
            return Err(OutletError::TooLarge(self.outline_perimeter(spike, self.outer) / PI));
        }
        if excess(0.0) > 0.0 {
            return Err(OutletError::TooSmall(self.outline_perimeter(0.0, self.outer) / PI));
        }
        roots::bracketed(excess, spike, 0.0, 1e-12).ok_or(OutletError::TooLarge(od))
    }

    /// The round outlet of outside diameter `od` at its start that runs on to the legs' bores, its
    /// radius growing by `slope` for each mm downstream.
    ///
    /// It begins where the points that it runs up into the valleys end. The largest is the legs'
    /// outside diameter over `sin(PI / legs)`: a wider one leaves holes between the legs.
    pub fn fitted_outlet(&self, od: f64, slope: f64) -> Result<Outlet, OutletError> {
        let half = self.half_sector();
        let largest = 2.0 * self.outer / sin(half);
        if od > largest {
            return Err(OutletError::TooLarge(largest));
        }
        if od < 2.0 * self.outer {
            return Err(OutletError::TooSmall(2.0 * self.outer));
        }
        if -slope >= tan(self.convergence) {
            return Err(OutletError::TooSteep);
        }
        let radius = 0.5 * od;
        let across = radius * sin(half);
        let up = (self.inner * self.inner - across * across).max(0.0).sqrt();
        let from = (up - radius * cos(half) * cos(self.convergence)) / sin(self.convergence);
        Ok(Outlet::Round { from, radius, slope })
    }

    /// Cotangent of half the sector; exactly 0 for two legs.
    fn cot(&self) -> f64 {
        if self.legs == 2 { 0.0 } else { 1.0 / tan(self.half_sector()) }
    }
}

impl LegCut {
    /// s at which the wall line ends.
    pub(crate) fn end_of(&self, line: WallLine) -> f64 {
        self.bisector(line.clock, line.rho).min(self.outlet_end(line.clock, line.rho))
    }

    /// Corners at wall radius `rho`: between the bisectors, and where they give way to the outlet.
    pub(crate) fn kinks(&self, rho: f64) -> Vec<f64> {
        let (begin, end) = self.seam(rho);
        let mut side = vec![begin];
        side.extend(self.lands_again(rho, begin));
        side.extend((end < PI).then_some(end));
        let mut kinks = vec![0.0, PI];
        kinks.extend(side.iter().flat_map(|phi| [*phi, TAU - phi]));
        kinks
    }

    /// Near the bore an outlet may come first again beyond the seam's begin, up to the plane through the
    /// leg's axis, where it ends: from where, and that plane.
    fn lands_again(&self, rho: f64, begin: f64) -> Vec<f64> {
        let first = |phi: f64| self.bisector(phi, rho) - self.outlet_end(phi, rho);
        let plane = 0.5 * PI;
        if begin >= plane || first(plane) <= 0.0 {
            return Vec::new();
        }
        let between = roots::minimum(first, begin, plane, 1e-9);
        vec![roots::threshold(|phi| first(phi) > 0.0, plane, between), plane]
    }

    /// The angle around the leg, in `(0, PI)`, beyond which it is its neighbour that ends it.
    pub fn seam_begin(&self, rho: f64) -> f64 {
        self.seam(rho).0
    }

    /// The angles around the leg, in `(0, PI]`, between which it is its neighbour that ends it; equal
    /// where no neighbour does. The second is under `PI` where a saw cuts off the tip at the axis, as it
    /// does at the bore when it passes between the spikes of outside and bore.
    pub fn seam(&self, rho: f64) -> (f64, f64) {
        let outlet_first = |phi| self.outlet_end(phi, rho) < self.bisector(phi, rho);
        let contact = self.cluster.first_contact(rho).phi;
        (roots::threshold(outlet_first, 0.0, contact), roots::threshold(outlet_first, PI, contact))
    }

    /// `(rho / sin a)(cos phi cos a - |sin phi| cot(PI / n))`.
    fn bisector(&self, phi: f64, rho: f64) -> f64 {
        let (s, c) = sin_cos(self.cluster.convergence);
        let (sp, cp) = sin_cos(phi);
        rho / s * (cp * c - sp.abs() * self.cluster.cot())
    }

    /// How much nearer the wall line comes to what ends it for each mm along the leg.
    pub(crate) fn crossing(&self, line: WallLine) -> f64 {
        let (sa, ca) = sin_cos(self.cluster.convergence);
        let (phi, rho) = (line.clock, line.rho);
        let end = self.outlet_end(phi, rho);
        if end >= self.bisector(phi, rho) {
            return sa * sin(self.cluster.half_sector());
        }
        match self.outlet {
            Outlet::Sawn(_) => ca,
            Outlet::Round { from, radius, slope } => {
                let (a, b, d) = self.outlet_quadratic(phi, rho, (from, radius, slope));
                let there = radius + slope * (end * ca + rho * cos(phi) * sa - from);
                (b * b - a * d).max(0.0).sqrt() / (there * hypot(1.0, slope))
            }
        }
    }

    /// Where the wall line meets the outlet; infinite where it does not.
    fn outlet_end(&self, phi: f64, rho: f64) -> f64 {
        let (s, c) = sin_cos(self.cluster.convergence);
        let cp = cos(phi);
        match self.outlet {
            Outlet::Sawn(z) => (z - rho * cp * s) / c,
            Outlet::Round { from, radius, slope } => {
                let (a, b, d) = self.outlet_quadratic(phi, rho, (from, radius, slope));
                let disc = b * b - a * d;
                if disc < 0.0 {
                    return f64::INFINITY;
                }
                let meeting = if b > 0.0 { (-b - disc.sqrt()) / a } else { d / (-b + disc.sqrt()) };
                // The outlet's wall begins where it leaves a leg's bore, ahead of the leg's middle plane:
                // only the leg's outer half can land on it.
                if cp >= -1e-12 { meeting } else { f64::INFINITY }
            }
        }
    }

    /// Coefficients of `a s^2 + 2 b s + d`: the squared distance of the wall line at s from the axis, less
    /// the square of the outlet's radius there.
    fn outlet_quadratic(&self, phi: f64, rho: f64, outlet: (f64, f64, f64)) -> (f64, f64, f64) {
        let (from, radius, slope) = outlet;
        let (s, c) = sin_cos(self.cluster.convergence);
        let (sp, cp) = sin_cos(phi);
        let (u, v, z) = (rho * cp * c, rho * sp, rho * cp * s);
        let (r, k) = (radius + slope * (z - from), slope * c);
        (s * s - k * k, -(u * s + r * k), u * u + v * v - r * r)
    }
}

impl ScallopCut {
    /// z at which the outlet's wall line begins: where it leaves the bore of the leg of its sector.
    /// A line that passes outside the bore, through the leg's wall, begins where it comes closest.
    pub(crate) fn end_of(&self, line: WallLine) -> f64 {
        let (a, b, root) = self.bore_quadratic(line);
        (-b + root.sqrt()) / a
    }

    /// How much further the wall line goes from what it begins on for each mm along the axis: from the
    /// bore; beyond it, from the plane through the leg's axis.
    pub(crate) fn crossing(&self, line: WallLine) -> f64 {
        let (a, _, root) = self.bore_quadratic(line);
        if root > 0.0 { root.sqrt() / self.cluster.inner } else { a.sqrt() }
    }

    /// `a`, `b` and `b^2 - a d` of `a z^2 + 2 b z + d`: the squared distance of the line at z from the axis
    /// of the leg of its sector, less the square of that leg's bore. The last is 0 where the line passes
    /// outside the bore, and where it grazes it within [`GRAZE`]: the root of what rounding leaves there
    /// would be a thousandth of a micron.
    fn bore_quadratic(&self, line: WallLine) -> (f64, f64, f64) {
        let half = self.cluster.half_sector();
        let azimuth = wrap_signed(line.clock);
        let azimuth = azimuth - 2.0 * half * (azimuth / (2.0 * half)).round();
        let (sa, ca) = sin_cos(self.cluster.convergence);
        let (s, c) = sin_cos(azimuth);
        let (p, p_step) = (line.rho * c * ca, line.slope * c * ca + sa);
        let (q, q_step) = (line.rho * s, line.slope * s);
        let a = p_step * p_step + q_step * q_step;
        // b^2 - a d is inner^2 a - (p q' - q p')^2 (Lagrange's identity): nothing of z is left to cancel.
        let (reach, off) = (self.cluster.inner * a.sqrt(), (p * q_step - q * p_step).abs());
        let root = if off < reach * (1.0 - GRAZE) { (reach - off) * (reach + off) } else { 0.0 };
        (a, p * p_step + q * q_step, root)
    }

    /// Corners: at the middle of each sector none; in each valley one, and beside it where the line
    /// passes from a bore into the wall.
    pub(crate) fn kinks(&self, rho: f64, slope: f64) -> Vec<f64> {
        let half = self.cluster.half_sector();
        let mut kinks = Vec::new();
        for leg in 0..self.cluster.legs {
            let middle = 2.0 * half * leg as f64;
            kinks.push(middle + half);
            let grazes = self.cluster.inner / rho;
            if slope == 0.0 && grazes < sin(half) {
                kinks.extend([middle - asin(grazes), middle + asin(grazes)]);
            }
        }
        kinks
    }
}

/// A line as near as this to grazing a bore, as a part of the bore, grazes it: some last bits of a clock.
const GRAZE: f64 = 4e-14;

#[cfg(test)]
mod tests {
    use geom::angle::from_degrees;

    use super::*;

    /// Distance from the axis of the outermost point of any leg's section on a ray: walked in from outside.
    fn outermost(cluster: &Cluster, z: f64, rho: f64, azimuth: f64) -> f64 {
        let (radial, centre) = (rho / cos(cluster.convergence), -z * tan(cluster.convergence));
        let inside = |r: f64| {
            (0..cluster.legs).any(|leg| {
                let (s, c) = sin_cos(azimuth - 2.0 * cluster.half_sector() * leg as f64);
                hypot((r * c - centre) / radial, r * s / rho) <= 1.0
            })
        };
        let mut r = 2.0 * (centre + radial);
        while !inside(r) {
            r -= 0.02;
        }
        roots::threshold(inside, r, r + 0.02)
    }

    /// Between the spike and as far behind the apex; upstream of the ellipse that the bisector plane cuts out of a leg they
    /// do not.
    #[test]
    fn neighbours_meet_everywhere_downstream_of_the_spike() {
        for legs in 2..=8 {
            for degrees in [1.0, 4.0, 8.0, 15.0, 30.0, 60.0] {
                let cluster = Cluster { legs, convergence: from_degrees(degrees), outer: 22.5, inner: 21.3 };
                let spike = cluster.spike(cluster.outer);
                for k in 0..=200 {
                    let z = spike * (1.0 - 1e-9) * (1.0 - f64::from(k) / 100.0);
                    let valley = cluster.valley_radius(z, cluster.outer);
                    assert!(valley.is_some_and(|d| d > 0.0), "{legs} {degrees} {z}");
                }
                // Upstream end of the ellipse in which the bisector plane cuts a leg.
                let cot = 1.0 / tan(cluster.half_sector()) / tan(cluster.convergence);
                let end = -hypot(spike, cluster.outer * cot);
                assert!(cluster.valley_radius(end * 0.9999, cluster.outer).is_some(), "{legs} {degrees}");
                assert!(cluster.valley_radius(end * 1.0001, cluster.outer).is_none(), "{legs} {degrees}");
            }
        }
    }

    #[test]
    fn an_outline_is_the_line_around_all_legs_also_upstream_of_the_spike() {
        let cluster = Cluster { legs: 4, convergence: from_degrees(8.0), outer: 22.5, inner: 21.3 };
        let mouth = cluster.saw_plane(90.0).unwrap();
        assert!(cluster.spike(cluster.outer) < mouth && mouth < cluster.spike(cluster.inner));
        for rho in [cluster.outer, cluster.inner] {
            const RAYS: usize = 2880;
            let point = |k: usize| {
                let azimuth = TAU * k as f64 / RAYS as f64;
                let (s, c) = sin_cos(azimuth);
                let r = outermost(&cluster, mouth, rho, azimuth);
                (r * c, r * s)
            };
            let points: Vec<(f64, f64)> = (0..=RAYS).map(point).collect();
            let around: f64 = points.windows(2).map(|w| hypot(w[1].0 - w[0].0, w[1].1 - w[0].1)).sum();
            let told = cluster.outline_perimeter(mouth, rho);
            assert!((told - around).abs() < 0.01, "{rho}: {told} and {around}");
        }
    }

    #[test]
    fn an_outlet_that_grazes_a_bore_begins_on_the_plane_through_its_axis() {
        let cluster = Cluster { legs: 6, convergence: from_degrees(14.0), outer: 19.0, inner: 17.5 };
        let cut = ScallopCut { cluster };
        let (sa, ca) = sin_cos(cluster.convergence);
        for rho in [36.5, 37.1, 38.0] {
            for leg in 0..6 {
                let off = asin(cluster.inner / rho);
                let clock = (2.0 * cluster.half_sector() * f64::from(leg) + off).rem_euclid(TAU);
                let z = cut.end_of(WallLine { clock, rho, slope: 0.0 });
                let away = z * sa + rho * cos(off) * ca;
                assert!(away.abs() < 1e-9, "{rho} {leg}: {away:e}");
            }
        }
    }
}
