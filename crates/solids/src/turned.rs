//! Turned parts as B-rep solids: truck-modeling revolves the profile, truck-meshalgo tessellates it.
//!
//! truck's modeller and its tessellation compare against fixed tolerances of 1e-6, so the solid is
//! built in units of 100 mm. They use the platform's trigonometry, whose last digit differs between
//! machines, so points are snapped to [`GRID`]; every mesh is checked before it is given out.

use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

use geom::Frame;
use truck_meshalgo::prelude::*;
use truck_modeling::{Point3, Rad, Solid, Vector3, Wire, builder};

use crate::mesh::{Mesh, MeshFault};
use crate::rings::MeshSettings;

/// A plain cone (or sleeve) with square ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Its axis at its start.
    pub frame: Frame,
    /// Outside radius at the start, mm.
    pub start: f64,
    /// Outside radius at the end, mm.
    pub end: f64,
    /// Wall measured square to the axis, mm; less than both radii.
    pub across: f64,
    /// Length along the axis, mm.
    pub length: f64,
}

/// Points of turned meshes lie on a grid of this spacing, mm.
pub const GRID: f64 = 1e-5;

impl Cone {
    /// Volume of metal, mm3: two frustums, `PI length (a^2 + a b + b^2) / 3` each.
    pub fn volume(&self) -> f64 {
        let frustum = |a: f64, b: f64| PI * self.length * (a * a + a * b + b * b) / 3.0;
        frustum(self.start, self.end) - frustum(self.start - self.across, self.end - self.across)
    }

    /// Its outside area, mm2: `PI (a + b) times the length along the wall`.
    fn outside_area(&self) -> f64 {
        let slant = geom::math::hypot(self.length, self.end - self.start);
        PI * (self.start + self.end) * slant
    }
}

/// The mesh of a cone, turned and tessellated by truck.
///
/// Errors when truck refuses, or when its mesh is not closed, not positive, or not of the closed
/// form's volume within outside area times chord.
pub fn cone_mesh(cone: Cone, settings: MeshSettings) -> Result<Mesh, MeshFault> {
    let polygon = turned(&cone)?.triangulation(settings.chord * SCALE).to_polygon();
    let mesh = snapped(&polygon, cone.frame);
    mesh.check()?;
    let (meshed, exact) = (mesh.volume(), cone.volume());
    if (meshed - exact).abs() > cone.outside_area() * settings.chord {
        return Err(MeshFault::Volume { meshed, exact });
    }
    Ok(mesh)
}

/// The solid of revolution about z, in units of 100 mm.
fn turned(cone: &Cone) -> Result<Solid, MeshFault> {
    let corner = |rho: f64, z: f64| builder::vertex(Point3::new(rho * SCALE, 0.0, z * SCALE));
    let corners = [
        corner(cone.start, 0.0),
        corner(cone.start - cone.across, 0.0),
        corner(cone.end - cone.across, cone.length),
        corner(cone.end, cone.length),
    ];
    let sides = (0..4).map(|i| builder::line(&corners[i], &corners[(i + 1) % 4]));
    let wire: Wire = sides.collect();
    let profile = builder::try_attach_plane(&[wire]).map_err(|e| MeshFault::Modeller(e.to_string()))?;
    Ok(builder::rsweep(&profile, Point3::new(0.0, 0.0, 0.0), Vector3::unit_z(), Rad(TAU + 1.0)))
}

/// The triangles on the grid, in the frame; points on one grid point, or on neighbours, become one:
/// truck gives a shared point twice, a little apart, and the two may round to either side.
fn snapped(polygon: &PolygonMesh, frame: Frame) -> Mesh {
    let mut known: BTreeMap<[i64; 3], u32> = BTreeMap::new();
    let mut mesh = Mesh::default();
    let mut index = |p: &Point3| {
        let key = [p.x, p.y, p.z].map(|x| (x / SCALE / GRID).round() as i64);
        if let Some(same) = around(key).find_map(|near| known.get(&near).copied()) {
            return same;
        }
        let [x, y, z] = key.map(|k| k as f64 * GRID);
        mesh.points.push(frame.at + frame.inside * x + frame.side() * y + frame.along * z);
        let new = mesh.points.len() as u32 - 1;
        known.insert(key, new);
        new
    };
    let positions = polygon.positions();
    let corners = polygon.faces().triangle_iter().map(|t| t.map(|v| index(&positions[v.pos])));
    let triangles: Vec<[u32; 3]> = corners.filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0]).collect();
    mesh.triangles = triangles;
    mesh
}

/// A grid point, and the 26 around it.
fn around(key: [i64; 3]) -> impl Iterator<Item = [i64; 3]> {
    let offsets = (0..27).map(|i| [i % 3, i / 3 % 3, i / 9].map(|step| [0, -1, 1][step]));
    offsets.map(move |[x, y, z]: [i64; 3]| [key[0] + x, key[1] + y, key[2] + z])
}

/// truck's unit in mm is `1 / SCALE`.
const SCALE: f64 = 0.01;
