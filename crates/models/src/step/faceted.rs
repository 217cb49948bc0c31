//! A mesh as a solid of flat faces.

use std::collections::BTreeMap;

use geom::Frame;
use solids::Mesh;

use super::brep::{Brep, Edge, Face, Use};
use super::curve::Curve;
use super::fault::SolidFault;
use super::surface::Surface;

/// The solid whose faces are the triangles of `mesh`: for parts that are defined by points, not by surfaces.
///
/// Errors: a mesh that does not close, or a triangle without area.
pub fn faceted(mesh: &Mesh) -> Result<Brep, SolidFault> {
    let mut brep = Brep { vertices: mesh.points.clone(), ..Brep::default() };
    let mut known: BTreeMap<[u32; 2], usize> = BTreeMap::new();
    for [a, b, c] in &mesh.triangles {
        let edges = [[*a, *b], [*b, *c], [*c, *a]].map(|[from, to]| {
            let forward = from < to;
            let edge = *known.entry(if forward { [from, to] } else { [to, from] }).or_insert_with(|| {
                let [from, to] = [from.min(to), from.max(to)].map(|v| v as usize);
                brep.edges.push(Edge { from, to, curve: Curve::Line });
                brep.edges.len() - 1
            });
            Use { edge, forward }
        });
        let [p, q, r] = [a, b, c].map(|v| mesh.points[*v as usize]);
        let frame = Frame::new(p, (q - p).cross(r - p), q - p);
        let frame = frame.ok_or_else(|| SolidFault::Open(format!("a triangle without area near {p:.3}")))?;
        brep.faces.push(Face { surface: Surface::Plane(frame), outward: true, loops: vec![edges.to_vec()] });
    }
    match brep.fault() {
        None => Ok(brep),
        Some(fault) => Err(SolidFault::Open(fault)),
    }
}
