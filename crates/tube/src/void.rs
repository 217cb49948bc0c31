//! The pointed void around a merge's axis, between the legs' outsides: open upstream where neighbours
//! close its sides, ending in the spike. A plug that fills it is cut to its sections.
//!
//! A plane square to the axis cuts a leg in an ellipse: semi-axes `rho` across and `rho / cos a`
//! towards the axis, its middle on the leg's centreline, `-z tan a` from the axis. The void's
//! section lies outside all ellipses, its corners midway between legs. Formulas derived here.

use geom::math::{atan2, cos, sin, sin_cos, tan};
use geom::quadrature;

use crate::merge::Cluster;

/// The void's section by a plane square to the axis: as many concave sides as there are legs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoidSection {
    /// Distance of its corners from the axis, mm.
    pub corner: f64,
    /// Its area, mm2.
    pub area: f64,
    /// Length of its sides together, mm.
    pub perimeter: f64,
    /// Distance of the middles of the legs' ellipses from the axis, mm.
    pub middle: f64,
    /// Semi-axes of those ellipses: towards the axis, and across, mm.
    pub radii: [f64; 2],
    /// How far round an ellipse its corners are from its point nearest to the axis, rad, as its parameter.
    pub reach: f64,
}

impl VoidSection {
    /// Distance of the middles of its sides from the axis, mm.
    pub fn hollow(&self) -> f64 {
        self.middle - self.radii[0]
    }
}

impl Cluster {
    /// z at which neighbours of radius `rho` close the void's sides: where their ellipses are tangent,
    /// `-sqrt(rho^2 cos^2 h + (rho / cos a)^2 sin^2 h) / (sin h tan a)` with half a sector h. `None` for
    /// two legs, which leave no void.
    pub fn void_from(&self, rho: f64) -> Option<f64> {
        let (s, c) = sin_cos(self.half_sector());
        let radial = rho / cos(self.convergence);
        let middle = (rho * rho * c * c + radial * radial * s * s).sqrt() / s;
        (self.legs > 2).then(|| -middle / tan(self.convergence))
    }

    /// The void's section at `z`, to 1e-9 mm: `None` but from [`Cluster::void_from`] to the spike.
    ///
    /// Area by Green's theorem: `n (m rho sin t - rho^2 t / cos a)`, with the legs' middles m from the
    /// axis and the corner at t around the ellipse from its point nearest to the axis.
    pub fn void_section(&self, z: f64, rho: f64) -> Option<VoidSection> {
        if !(self.void_from(rho)?..=self.spike(rho)).contains(&z) {
            return None;
        }
        let (s, c) = sin_cos(self.half_sector());
        let (radial, middle) = (rho / cos(self.convergence), -z * tan(self.convergence));
        // (d c - middle)^2 / radial^2 + d^2 s^2 / rho^2 = 1: the smaller d, written free of cancellation.
        let a = c * c / (radial * radial) + s * s / (rho * rho);
        let b = c * middle / (radial * radial);
        let d = middle * middle / (radial * radial) - 1.0;
        let corner = d / (b + (b * b - a * d).max(0.0).sqrt());
        let reach = atan2(corner * s / rho, (middle - corner * c) / radial);
        let legs = self.legs as f64;
        let speed = |t: f64| {
            let (s, c) = sin_cos(t);
            (radial * radial * s * s + rho * rho * c * c).sqrt()
        };
        Some(VoidSection {
            corner,
            area: legs * (middle * rho * sin(reach) - rho * radial * reach),
            perimeter: 2.0 * legs * quadrature::integrate(&speed, 0.0, reach, 1e-10),
            middle,
            radii: [radial, rho],
            reach,
        })
    }
}

#[cfg(test)]
mod tests {
    use geom::angle::from_degrees;

    use super::*;

    fn clusters() -> impl Iterator<Item = Cluster> {
        let sizes = [(3, 9.0), (4, 12.0), (5, 20.0), (6, 15.0)];
        sizes
            .map(|(legs, degrees)| Cluster {
                legs,
                convergence: from_degrees(degrees),
                outer: 22.5,
                inner: 21.0,
            })
            .into_iter()
    }

    /// Distance of a point (x, y, z) from the centreline of the leg at azimuth `azimuth`, mm.
    fn from_leg(cluster: &Cluster, azimuth: f64, [x, y, z]: [f64; 3]) -> f64 {
        let (s, c) = sin_cos(azimuth);
        let (out, across) = (x * c + y * s, y * c - x * s);
        let (sa, ca) = sin_cos(cluster.convergence);
        let square = out * ca + z * sa;
        (square * square + across * across).sqrt()
    }

    fn at(cluster: &Cluster, share: f64) -> f64 {
        let (from, spike) = (cluster.void_from(cluster.outer).unwrap(), cluster.spike(cluster.outer));
        from + share * (spike - from)
    }

    #[test]
    fn corners_lie_on_two_legs() {
        for cluster in clusters() {
            for share in [0.0, 0.3, 0.7, 1.0] {
                let z = at(&cluster, share);
                let corner = cluster.void_section(z, cluster.outer).unwrap().corner;
                let (s, c) = sin_cos(cluster.half_sector());
                for azimuth in [0.0, 2.0 * cluster.half_sector()] {
                    let off = from_leg(&cluster, azimuth, [corner * c, corner * s, z]) - cluster.outer;
                    assert!(
                        off.abs() < 1e-6 && (share == 0.0 || off.abs() < 1e-9),
                        "{cluster:?} {share}: {off}"
                    );
                }
            }
        }
    }

    #[test]
    fn area_is_that_of_the_points_outside_all_legs() {
        for cluster in clusters() {
            let half = cluster.half_sector();
            for share in [0.1, 0.5] {
                let z = at(&cluster, share);
                let section = cluster.void_section(z, cluster.outer).unwrap();
                // Rays of half a sector, each followed outwards to the leg by bisection.
                let (rays, mut area) = (4000, 0.0);
                for k in 0..rays {
                    let (s, c) = sin_cos((f64::from(k) + 0.5) / f64::from(rays) * half);
                    let free = |r: f64| from_leg(&cluster, 0.0, [r * c, r * s, z]) > cluster.outer;
                    let step = section.corner / 500.0;
                    let first = (0..).map(|k| f64::from(k) * step).find(|r| !free(*r)).unwrap();
                    let (mut low, mut high) = (first - step, first);
                    for _ in 0..40 {
                        let mid = 0.5 * (low + high);
                        if free(mid) { low = mid } else { high = mid }
                    }
                    area += 0.5 * low * low * half / f64::from(rays);
                }
                let sampled = 2.0 * cluster.legs as f64 * area;
                assert!((sampled / section.area - 1.0).abs() < 1e-4, "{cluster:?}: {sampled} {section:?}");
            }
        }
    }

    #[test]
    fn it_opens_at_the_first_touch_and_ends_in_the_spike() {
        for cluster in clusters() {
            let (from, spike) = (at(&cluster, 0.0), at(&cluster, 1.0));
            assert!(from <= cluster.first_contact(cluster.outer).axial);
            let end = cluster.void_section(spike, cluster.outer).unwrap();
            assert!(end.corner.abs() < 1e-9 && end.area.abs() < 1e-9 && end.perimeter.abs() < 1e-8);
            assert!(cluster.void_section(from - 0.01, cluster.outer).is_none());
            assert!(cluster.void_section(spike + 0.01, cluster.outer).is_none());
        }
        let two = Cluster { legs: 2, convergence: 0.2, outer: 20.0, inner: 18.0 };
        assert_eq!(two.void_from(20.0), None);
    }
}
