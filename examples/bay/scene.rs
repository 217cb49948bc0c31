//! A bay as its scanner saw it: patches become points and triangles, with the scanner's noise.

use geom::{DVec3, Frame};

use crate::patch::Patch;
use crate::random::Random;

/// The surfaces of a bay, and the file that its scan stands in.
pub struct Scene {
    /// The spec that it belongs to.
    pub spec: &'static str,
    pub seed: u64,
    /// Largest width of a cell, mm.
    pub spacing: f64,
    pub format: Format,
    pub scanner: Scanner,
    pub patches: Vec<Patch>,
    /// Points in mid-air that a scanner makes of dust and gloss.
    pub stray: Vec<[f64; 3]>,
}

/// The axes and the unit of a scan's numbers.
pub struct Scanner {
    /// x of the scan looks along `inside`, z along `along`.
    pub frame: Frame,
    /// mm in one of its units.
    pub unit: f64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Triangles, binary STL.
    Stl,
    /// Triangles, binary PLY.
    Ply,
    /// Points, binary PLY.
    PlyPoints,
    /// Points, text.
    Xyz,
}

/// What is written, in the scanner's unit and axes.
#[derive(Default)]
pub struct Surface {
    pub points: Vec<DVec3>,
    /// Three indices into the points each.
    pub triangles: Vec<[u32; 3]>,
}

impl Scene {
    /// The width of cells that gives about this many triangles, or points of a cloud, mm.
    pub fn spacing_for(&self, format: Format, count: f64) -> f64 {
        let area: f64 = self.patches.iter().map(|patch| patch.size[0] * patch.size[1]).sum();
        let each = if format.is_cloud() { 1.0 } else { 2.0 };
        (each * area * SEEN / count).sqrt()
    }

    pub fn surface(&self, spacing: f64) -> Surface {
        let mut surface = Surface::default();
        for (number, patch) in self.patches.iter().enumerate() {
            self.scan(patch, number as u64, spacing, &mut surface);
        }
        surface.points.extend(self.stray.iter().map(|p| self.scanner.sees(DVec3::from(*p))));
        surface
    }

    /// Adds a patch: its grid, each point moved a little along the surface and by the scan's noise off it.
    fn scan(&self, patch: &Patch, number: u64, spacing: f64, surface: &mut Surface) {
        let [columns, rows] = patch.cells(spacing);
        let mut random = Random::new(self.seed, number);
        let seed = self.seed.wrapping_mul(1000).wrapping_add(number);
        let place = |i: f64, j: f64| [patch.size[0] * i / columns as f64, patch.size[1] * j / rows as f64];
        let mut grid = Vec::with_capacity((columns + 1) * (rows + 1));
        for j in 0..=rows {
            for i in 0..=columns {
                let mut moved = |k: usize, last: usize| {
                    let by = JITTER * random.signed();
                    if k == 0 || k == last { k as f64 } else { k as f64 + by }
                };
                let at = place(moved(i, columns), moved(j, rows));
                grid.push(patch.point(at, patch.height(seed, at) + NOISE * random.normal()));
            }
        }
        let mut index = vec![u32::MAX; grid.len()];
        for j in 0..rows {
            for i in 0..columns {
                if !patch.seen(seed, place(i as f64 + 0.5, j as f64 + 0.5)) {
                    continue;
                }
                let corner = j * (columns + 1) + i;
                let cell = [corner, corner + 1, corner + columns + 2, corner + columns + 1];
                let [a, b, c, d] = cell.map(|k| {
                    if index[k] == u32::MAX {
                        index[k] = surface.points.len() as u32;
                        surface.points.push(self.scanner.sees(grid[k]));
                    }
                    index[k]
                });
                // The diagonals change like a weave, so that no direction is favoured.
                let halves = if (i + j) % 2 == 0 { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
                surface.triangles.extend(halves);
            }
        }
    }
}

impl Scanner {
    /// The car's own axes, in mm.
    pub fn aligned() -> Scanner {
        Scanner { frame: Frame { at: DVec3::ZERO, along: DVec3::Z, inside: DVec3::X }, unit: 1.0 }
    }

    fn sees(&self, point: DVec3) -> DVec3 {
        let from = point - self.frame.at;
        let axes = [self.frame.inside, self.frame.side(), self.frame.along];
        DVec3::from(axes.map(|axis| from.dot(axis) / self.unit))
    }
}

impl Format {
    pub fn is_cloud(self) -> bool {
        matches!(self, Format::PlyPoints | Format::Xyz)
    }

    pub fn ending(self) -> &'static str {
        match self {
            Format::Stl => "stl",
            Format::Ply | Format::PlyPoints => "ply",
            Format::Xyz => "xyz",
        }
    }

    /// The surface as a file's bytes.
    pub fn bytes(self, surface: &Surface) -> Vec<u8> {
        match self {
            Format::Stl => stl(surface),
            Format::Ply => ply(surface, true),
            Format::PlyPoints => ply(surface, false),
            Format::Xyz => xyz(surface),
        }
    }
}

fn stl(surface: &Surface) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    let head = b"invented bay, binary STL";
    bytes[..head.len()].copy_from_slice(head);
    bytes.extend((surface.triangles.len() as u32).to_le_bytes());
    for triangle in &surface.triangles {
        let [a, b, c] = triangle.map(|k| surface.points[k as usize]);
        let normal = (b - a).cross(c - a).normalize_or_zero();
        [normal, a, b, c].into_iter().for_each(|v| push(&mut bytes, v));
        bytes.extend([0; 2]);
    }
    bytes
}

fn ply(surface: &Surface, faces: bool) -> Vec<u8> {
    let mut head = format!(
        "ply\nformat binary_little_endian 1.0\ncomment an invented bay\nelement vertex {}\nproperty float x\n\
         property float y\nproperty float z\n",
        surface.points.len()
    );
    if faces {
        let count = surface.triangles.len();
        head.push_str(&format!("element face {count}\nproperty list uchar uint vertex_indices\n"));
    }
    head.push_str("end_header\n");
    let mut bytes = head.into_bytes();
    surface.points.iter().for_each(|p| push(&mut bytes, *p));
    if faces {
        for triangle in &surface.triangles {
            bytes.push(3);
            triangle.iter().for_each(|k| bytes.extend(k.to_le_bytes()));
        }
    }
    bytes
}

/// Three numbers a line, to a 1000 in or finer.
fn xyz(surface: &Surface) -> Vec<u8> {
    let mut text = String::new();
    for p in &surface.points {
        text.push_str(&format!("{:.3} {:.3} {:.3}\n", p.x + 0.0, p.y + 0.0, p.z + 0.0));
    }
    text.into_bytes()
}

fn push(bytes: &mut Vec<u8>, v: DVec3) {
    v.to_array().into_iter().for_each(|x| bytes.extend((x as f32).to_le_bytes()));
}

/// Deviation of the scan off the surface, mm.
const NOISE: f64 = 0.3;

/// How far a point may stand off its place in the grid, in cells.
const JITTER: f64 = 0.22;

/// The share of the surfaces that is seen, roughly.
const SEEN: f64 = 0.93;
