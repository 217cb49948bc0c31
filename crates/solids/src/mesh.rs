//! A triangle mesh and what makes it a solid.

use std::fmt;

use geom::DVec3;
use tube::HoleFault;

/// Triangles over shared points; seen from outside each triangle runs anticlockwise.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Points, mm.
    pub points: Vec<DVec3>,
    /// Indices into `points`.
    pub triangles: Vec<[u32; 3]>,
}

/// Why a mesh is not a solid, or none could be made.
#[derive(Clone, Debug, PartialEq)]
pub enum MeshFault {
    /// An index beyond the points, or a point that is not finite.
    Broken,
    /// A triangle without area: its index.
    Degenerate(usize),
    /// An edge not used exactly once in each direction: its points.
    Open(u32, u32),
    /// The mesh encloses no volume, or is inside out: its volume, mm3.
    InsideOut(f64),
    /// The two ends of the piece cross: the clock (rad) and by how much (mm).
    Crossed {
        /// Clock at which they cross, rad.
        clock: f64,
        /// How far the start cut reaches past the end cut, mm.
        by: f64,
    },
    /// A cut that is not square reaches into a bend by this much, mm.
    IntoBend(f64),
    /// A hole that cannot be cut: its number from 0, and why.
    Hole(usize, HoleFault),
    /// The wall beside a hole could not be divided into triangles at this clock, rad.
    Undivided(f64),
    /// A solid whose volume (mm3) is not its closed form's (mm3).
    Volume {
        /// As meshed, mm3.
        meshed: f64,
        /// By the closed form, mm3.
        exact: f64,
    },
    /// The solid modeller refused, with its reason.
    Modeller(String),
}

impl Mesh {
    /// Volume enclosed, mm3: the sum of signed tetrahedra on the first point.
    pub fn volume(&self) -> f64 {
        let Some(&origin) = self.points.first() else { return 0.0 };
        let six: f64 = self.corners().map(|[a, b, c]| (a - origin).dot((b - origin).cross(c - origin))).sum();
        six / 6.0
    }

    /// Area of all triangles, mm2.
    pub fn area(&self) -> f64 {
        self.corners().map(|[a, b, c]| 0.5 * (b - a).cross(c - a).length()).sum()
    }

    /// That the mesh is a solid: every edge used once in each direction, no triangle without area,
    /// outside out. Several closed shells side by side pass too.
    pub fn check(&self) -> Result<(), MeshFault> {
        let count = self.points.len();
        if self.triangles.iter().flatten().any(|i| *i as usize >= count)
            || self.points.iter().any(|p| !p.is_finite())
        {
            return Err(MeshFault::Broken);
        }
        if let Some(flat) = self.corners().position(|[a, b, c]| flatness(a, b, c) < LEAST_HEIGHT) {
            return Err(MeshFault::Degenerate(flat));
        }
        self.check_edges()?;
        let volume = self.volume();
        if volume > 0.0 { Ok(()) } else { Err(MeshFault::InsideOut(volume)) }
    }

    /// The corners of every triangle.
    pub fn corners(&self) -> impl Iterator<Item = [DVec3; 3]> + '_ {
        self.triangles.iter().map(|t| t.map(|i| self.points[i as usize]))
    }

    /// Every edge once in each direction: edges bucketed by their first point, so in linear time.
    fn check_edges(&self) -> Result<(), MeshFault> {
        let mut begin = vec![0_u32; self.points.len() + 1];
        for &i in self.triangles.iter().flatten() {
            begin[i as usize + 1] += 1;
        }
        for i in 1..begin.len() {
            begin[i] += begin[i - 1];
        }
        let mut next = begin.clone();
        let mut heads = vec![0_u32; 3 * self.triangles.len()];
        for [a, b] in self.triangles.iter().flat_map(edges) {
            heads[next[a as usize] as usize] = b;
            next[a as usize] += 1;
        }
        let uses = |from: u32, to: u32| {
            let bucket = begin[from as usize] as usize..begin[from as usize + 1] as usize;
            heads[bucket].iter().filter(|h| **h == to).count()
        };
        match self.triangles.iter().flat_map(edges).find(|&[a, b]| uses(a, b) != 1 || uses(b, a) != 1) {
            Some([a, b]) => Err(MeshFault::Open(a, b)),
            None => Ok(()),
        }
    }
}

/// The three directed edges of a triangle.
pub fn edges(triangle: &[u32; 3]) -> [[u32; 2]; 3] {
    let [a, b, c] = *triangle;
    [[a, b], [b, c], [c, a]]
}

/// Height of a triangle over its longest side, mm; 0 when it has no area.
pub fn flatness(a: DVec3, b: DVec3, c: DVec3) -> f64 {
    let longest = (b - a).length().max((c - b).length()).max((a - c).length());
    if longest == 0.0 { 0.0 } else { (b - a).cross(c - a).length() / longest }
}

/// Height below which a triangle counts as degenerate, mm: about the rounding of a coordinate.
pub const LEAST_HEIGHT: f64 = 1e-12;

impl fmt::Display for MeshFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MeshFault::Broken => write!(f, "the mesh holds a point that does not exist or is not finite"),
            MeshFault::Degenerate(i) => write!(f, "triangle {i} of the mesh has no area"),
            MeshFault::Open(a, b) => write!(f, "the mesh is open at the edge from point {a} to {b}"),
            MeshFault::InsideOut(v) => write!(f, "the mesh encloses {v:.3} mm3"),
            MeshFault::Crossed { clock, by } => write!(
                f,
                "the two ends cross by {by:.3} mm at clock {:.1} degrees",
                geom::angle::to_degrees(*clock)
            ),
            MeshFault::IntoBend(by) => write!(f, "a cut reaches {by:.3} mm into a bend"),
            MeshFault::Hole(number, fault) => write!(f, "hole {}: {fault}", number + 1),
            MeshFault::Undivided(clock) => write!(
                f,
                "the wall beside a hole cannot be divided into triangles at clock {:.1} degrees",
                geom::angle::to_degrees(*clock)
            ),
            MeshFault::Volume { meshed, exact } => {
                write!(f, "the mesh encloses {meshed:.3} mm3 instead of {exact:.3} mm3")
            }
            MeshFault::Modeller(reason) => write!(f, "the solid modeller refused: {reason}"),
        }
    }
}

impl std::error::Error for MeshFault {}
