//! Binary STL, in single precision, still watertight after rounding.

use std::fmt;
use std::io::Cursor;

use geom::DVec3;
use solids::{Mesh, MeshFault};
use stl_io::{Normal, Triangle, Vertex};

pub use solids::rounded;

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

/// As [`header_stl`], of meshes that are [`rounded()`] already.
///
/// Errors when the file cannot be written.
pub fn shells(meshes: &[Mesh]) -> Result<Vec<u8>, MeshFault> {
    let triangles: Vec<Triangle> = meshes.iter().flat_map(|mesh| mesh.corners().map(triangle)).collect();
    let mut bytes = Vec::with_capacity(84 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter()).map_err(|e| MeshFault::Modeller(e.to_string()))?;
    bytes[..HEADER.len()].copy_from_slice(HEADER.as_bytes());
    Ok(bytes)
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
