//! Full solids of blocks: cylinders, lofts, tubes' ends fitted onto bodies.

use std::f64::consts::TAU;

use geom::{DVec3, Frame};
use solids::rings::step_angle;
use solids::{Mesh, MeshFault};
use tube::{Cut, WallLine};

/// A round tube's end, filled.
pub(super) struct Fitted<'a> {
    /// What it is cut to, in stations of the tube.
    pub cut: &'a Cut,
    /// The frame of the tube at `from`.
    pub frame: Frame,
    /// Where it begins, square, mm.
    pub from: f64,
    /// Its radius, mm.
    pub radius: f64,
    /// How far beyond the cut it goes, mm.
    pub beyond: f64,
}

/// The closed mesh of a cylinder of `length` mm from `frame`.
pub(super) fn cylinder(frame: &Frame, length: f64, radius: f64, chord: f64) -> Result<Mesh, MeshFault> {
    let clocks = clocks(radius, chord);
    let ring = |station: f64| clocks.iter().map(|c| frame.point(station, *c, radius)).collect::<Vec<_>>();
    lofted(&[ring(0.0), ring(length)])
}

/// The closed mesh between rings of equally many points, each seen from its middle; its ends are fans.
pub(super) fn lofted(rings: &[Vec<DVec3>]) -> Result<Mesh, MeshFault> {
    let mut mesh = Mesh::default();
    let count = rings[0].len() as u32;
    mesh.points.extend(rings.iter().flatten());
    for ring in 1..rings.len() as u32 {
        for k in 0..count {
            let next = (k + 1) % count;
            let (low, high) = ((ring - 1) * count, ring * count);
            mesh.triangles.push([low + k, low + next, high + next]);
            mesh.triangles.push([low + k, high + next, high + k]);
        }
    }
    for (ring, is_last) in [(0, false), (rings.len() - 1, true)] {
        let middle = mesh.points.len() as u32;
        mesh.points.push(rings[ring].iter().sum::<DVec3>() / f64::from(count));
        let first = ring as u32 * count;
        for k in 0..count {
            let (a, b) = (first + k, first + (k + 1) % count);
            mesh.triangles.push(if is_last { [a, b, middle] } else { [b, a, middle] });
        }
    }
    if mesh.volume() < 0.0 {
        mesh.triangles.iter_mut().for_each(|triangle| triangle.swap(1, 2));
    }
    mesh.check()?;
    Ok(mesh)
}

impl Fitted<'_> {
    /// Its closed mesh: rings across the end, from the rim to the axis, follow what it is fitted onto.
    pub fn mesh(&self, chord: f64) -> Result<Mesh, MeshFault> {
        let mut clocks = clocks(self.radius, chord);
        clocks.extend(self.cut.kinks(self.radius, 0.0));
        clocks.sort_by(f64::total_cmp);
        clocks.dedup_by(|b, a| *b - *a < LEAST_GAP);
        let at = |clock: f64, rho: f64| {
            let end = self.cut.end_of(WallLine { clock, rho, slope: 0.0 }) + self.beyond;
            self.frame.point(end - self.from, clock, rho)
        };
        // The end is as curved as what it stands on, which is no narrower than the tube.
        let levels = (self.radius / step_width(self.radius, chord)).ceil().max(2.0);
        let mut rings =
            vec![clocks.iter().map(|c| self.frame.point(0.0, *c, self.radius)).collect::<Vec<_>>()];
        for level in 0..levels as u32 {
            let rho = self.radius * (1.0 - f64::from(level) / levels);
            rings.push(clocks.iter().map(|c| at(*c, rho)).collect());
        }
        let mesh = lofted(&rings)?;
        Ok(mesh)
    }
}

/// Clocks around a round of `radius` mm, half a step away from clock 0 where strands have theirs, so that two
/// rounds on one axis cross each other squarely.
fn clocks(radius: f64, chord: f64) -> Vec<f64> {
    let count = (TAU / step_angle(radius, 0.5 * chord)).ceil();
    (0..count as u32).map(|k| TAU * (f64::from(k) + 0.5) / count).collect()
}

/// The length of a chord that leaves a round of `radius` mm by half of `chord`.
fn step_width(radius: f64, chord: f64) -> f64 {
    radius * step_angle(radius, 0.5 * chord)
}

/// Clocks are at least this far apart, rad.
const LEAST_GAP: f64 = 1e-3;
