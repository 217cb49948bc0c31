//! Binary STL, in single precision, still watertight after rounding.

use std::fmt;
use std::io::Cursor;

use geom::DVec3;
use solids::mesh::{Mesh, MeshFault, edges};
use stl_io::{Normal, Triangle, Vertex};

/// The text of the first 80 bytes. It names no time, so the same part gives the same bytes, and does
/// not begin with "solid", by which readers tell text files.
pub const HEADER: &str = "hotside: binary STL, millimetres";

/// Why bytes are not a binary STL file that can be used.
#[derive(Clone, Debug, PartialEq)]
pub enum StlFault {
    /// The length is not 84 + 50 times the triangle count.
    Length {
        /// Bytes there are.
        found: usize,
        /// Bytes there should be; `None` when there is no count.
        expected: Option<usize>,
    },
    /// A coordinate is not a finite number.
    NotFinite,
    /// The reader refused, with its reason.
    Reader(String),
}

/// A mesh as a binary STL file.
///
/// Errors when the mesh is not a solid that stays closed in single precision.
pub fn stl(mesh: &Mesh) -> Result<Vec<u8>, MeshFault> {
    header_stl(std::slice::from_ref(mesh))
}

/// Meshes as one binary STL file, their closed shells one after another.
///
/// Errors as [`stl`].
pub fn header_stl(meshes: &[Mesh]) -> Result<Vec<u8>, MeshFault> {
    let rounded: Vec<Mesh> = meshes.iter().map(rounded).collect::<Result<_, _>>()?;
    shells(&rounded)
}

/// As [`header_stl`], of meshes that are [`rounded`] already.
///
/// Errors when the file cannot be written.
pub fn shells(meshes: &[Mesh]) -> Result<Vec<u8>, MeshFault> {
    let triangles: Vec<Triangle> = meshes.iter().flat_map(|mesh| mesh.corners().map(triangle)).collect();
    let mut bytes = Vec::with_capacity(84 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter()).map_err(|e| MeshFault::Modeller(e.to_string()))?;
    bytes[..HEADER.len()].copy_from_slice(HEADER.as_bytes());
    Ok(bytes)
}

/// The mesh in single precision: points that round to the same place are one, triangles that lost
/// their area are taken out so that the rest still closes.
///
/// Errors when what is left is not a solid.
pub fn rounded(mesh: &Mesh) -> Result<Mesh, MeshFault> {
    let mut rounded = welded(mesh);
    for _ in 0..ROUNDS {
        if !flatten(&mut rounded) {
            break;
        }
    }
    rounded.check()?;
    Ok(rounded)
}

/// The triangles of a binary STL file, three points each, mm.
///
/// The length is checked against the count before anything is read.
pub fn read_stl(bytes: &[u8]) -> Result<Vec<[DVec3; 3]>, StlFault> {
    let count = bytes.get(80..84).map(|c| u32::from_le_bytes([c[0], c[1], c[2], c[3]]) as usize);
    let expected = count.map(|n| 84 + 50 * n);
    if expected != Some(bytes.len()) {
        return Err(StlFault::Length { found: bytes.len(), expected });
    }
    let mesh = stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|e| StlFault::Reader(e.to_string()))?;
    let points: Vec<DVec3> =
        mesh.vertices.iter().map(|v| DVec3::new(v[0].into(), v[1].into(), v[2].into())).collect();
    if points.iter().any(|p| !p.is_finite()) {
        return Err(StlFault::NotFinite);
    }
    Ok(mesh.faces.iter().map(|f| f.vertices.map(|i| points[i])).collect())
}

/// Points rounded to single precision and merged; triangles with two corners in one point dropped.
fn welded(mesh: &Mesh) -> Mesh {
    let single = |x: f64| x as f32 + 0.0;
    let key = |p: &DVec3| [single(p.x), single(p.y), single(p.z)].map(f32::to_bits);
    let mut order: Vec<([u32; 3], u32)> =
        mesh.points.iter().enumerate().map(|(i, p)| (key(p), i as u32)).collect();
    order.sort_unstable();
    let mut index = vec![0_u32; mesh.points.len()];
    let mut points: Vec<DVec3> = Vec::with_capacity(mesh.points.len());
    let mut before = None;
    for (key, i) in order {
        if before != Some(key) {
            let [x, y, z] = key.map(|bits| f64::from(f32::from_bits(bits)));
            points.push(DVec3::new(x, y, z));
            before = Some(key);
        }
        index[i as usize] = points.len() as u32 - 1;
    }
    let corners = mesh.triangles.iter().map(|t| t.map(|i| index[i as usize]));
    let triangles = corners.filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]).collect();
    Mesh { points, triangles }
}

/// Takes out triangles whose corners came to lie on one line: the corner between the two others
/// splits the neighbour across their side. Whether there was any.
fn flatten(mesh: &mut Mesh) -> bool {
    let flat: Vec<usize> = (0..mesh.triangles.len()).filter(|i| is_flat(mesh, *i)).collect();
    let mut gone = Vec::new();
    for &i in &flat {
        if !is_flat(mesh, i) || gone.contains(&i) {
            continue;
        }
        let t = mesh.triangles[i];
        let at = |k: u32| mesh.points[k as usize];
        let longest = edges(&t)
            .into_iter()
            .max_by(|p, q| at(p[0]).distance(at(p[1])).total_cmp(&at(q[0]).distance(at(q[1]))));
        let Some([from, to]) = longest else { continue };
        let Some(middle) = t.into_iter().find(|k| *k != from && *k != to) else { continue };
        let across = (0..mesh.triangles.len())
            .find(|j| *j != i && !gone.contains(j) && edges(&mesh.triangles[*j]).contains(&[to, from]));
        let Some(j) = across else { continue };
        let apex = mesh.triangles[j].into_iter().find(|k| *k != from && *k != to);
        let Some(apex) = apex else { continue };
        if apex == middle {
            gone.extend([i, j]);
        } else {
            mesh.triangles[i] = [to, middle, apex];
            mesh.triangles[j] = [middle, from, apex];
        }
    }
    gone.sort_unstable();
    for i in gone.into_iter().rev() {
        mesh.triangles.swap_remove(i);
    }
    !flat.is_empty()
}

/// Whether a triangle's corners lie on one line.
fn is_flat(mesh: &Mesh, triangle: usize) -> bool {
    let [a, b, c] = mesh.triangles[triangle].map(|i| mesh.points[i as usize]);
    (b - a).cross(c - a).length() < LEAST_AREA
}

/// A triangle with its unit normal.
fn triangle([a, b, c]: [DVec3; 3]) -> Triangle {
    let normal = (b - a).cross(c - a).try_normalize().unwrap_or(DVec3::ZERO);
    let single = |v: DVec3| [v.x as f32, v.y as f32, v.z as f32];
    Triangle { normal: Normal::new(single(normal)), vertices: [a, b, c].map(|p| Vertex::new(single(p))) }
}

impl fmt::Display for StlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StlFault::Length { found, expected: Some(n) } => {
                write!(f, "a binary STL file of {found} bytes, whose count asks for {n}")
            }
            StlFault::Length { found, expected: None } => {
                write!(f, "{found} bytes are too few for a binary STL file")
            }
            StlFault::NotFinite => write!(f, "a coordinate is not a finite number"),
            StlFault::Reader(reason) => write!(f, "the STL file cannot be read: {reason}"),
        }
    }
}

impl std::error::Error for StlFault {}

/// Twice the area below which a triangle is flat, mm2.
const LEAST_AREA: f64 = 1e-12;

/// How often flat triangles are looked for: taking one out can leave another flat.
const ROUNDS: usize = 8;
