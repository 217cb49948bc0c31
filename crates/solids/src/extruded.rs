//! Plates: an outline with holes, as thick as it is.

use geom::{DVec3, Frame};
use plate::{DVec2, Outline};
use spade::{ConstrainedDelaunayTriangulation, InsertionError, Point2, Triangulation};

use crate::mesh::{Mesh, MeshFault};
use crate::rings::MeshSettings;

/// The closed mesh of `outline` drawn at `frame` (x along `inside`, y along [`Frame::side`]), extruded from
/// `reach[0]` to `reach[1]` mm along its travel.
///
/// Arcs become chords, their points on the arc. The flats are divided by a constrained Delaunay
/// triangulation, which uses every point of the edges and adds none. Errors: an outline that does not
/// divide; a mesh that is not closed.
pub fn extruded_mesh(
    outline: &Outline,
    frame: &Frame,
    reach: [f64; 2],
    settings: MeshSettings,
) -> Result<Mesh, MeshFault> {
    let loops: Vec<Vec<DVec2>> = outline.loops().map(|one| one.points(settings.chord)).collect();
    let flat: Vec<DVec2> = loops.concat();
    let count = flat.len() as u32;
    let mut mesh = Mesh::default();
    for station in reach {
        mesh.points.extend(flat.iter().map(|p| place(frame, *p, station)));
    }
    for [a, b, c] in divided(&loops)? {
        mesh.triangles.push([a, c, b]);
        mesh.triangles.push([a + count, b + count, c + count]);
    }
    let mut first = 0;
    for points in &loops {
        let own = points.len() as u32;
        for k in 0..own {
            // Material is at the left of each edge, so its wall looks to the right.
            let (a, b) = (first + k, first + (k + 1) % own);
            mesh.triangles.push([a, b, b + count]);
            mesh.triangles.push([a, b + count, a + count]);
        }
        first += own;
    }
    mesh.check()?;
    Ok(mesh)
}

fn place(frame: &Frame, point: DVec2, station: f64) -> DVec3 {
    frame.at + frame.inside * point.x + frame.side() * point.y + frame.along * station
}

/// Triangles between the loops, anticlockwise, as numbers of the loops' points in order. What an even number of
/// loops goes around is left out. Every point is used, and none is added. Errors: loops that cross.
pub fn divided(loops: &[Vec<DVec2>]) -> Result<Vec<[u32; 3]>, MeshFault> {
    let refused = |error: InsertionError| MeshFault::Modeller(error.to_string());
    let mut all = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    for points in loops {
        let mut handles = Vec::with_capacity(points.len());
        for point in points {
            handles.push(all.insert(Point2::new(point.x, point.y)).map_err(refused)?);
        }
        for (k, from) in handles.iter().enumerate() {
            let to = handles[(k + 1) % handles.len()];
            if !all.can_add_constraint(*from, to) {
                return Err(MeshFault::Modeller("two edges of the plate cross".to_owned()));
            }
            all.add_constraint(*from, to);
        }
    }
    let mut triangles = Vec::new();
    for face in all.inner_faces() {
        let corners = face.vertices();
        let middle = corners.iter().map(|v| DVec2::new(v.position().x, v.position().y)).sum::<DVec2>() / 3.0;
        let around: usize = loops.iter().map(|points| crossings(points, middle)).sum();
        if around % 2 == 1 {
            triangles.push(corners.map(|v| v.index() as u32));
        }
    }
    Ok(triangles)
}

/// How often a ray from `point` towards +x crosses a polygon.
fn crossings(points: &[DVec2], point: DVec2) -> usize {
    let sides = points.iter().zip(points.iter().cycle().skip(1));
    let crossed = |(a, b): &(&DVec2, &DVec2)| {
        (a.y > point.y) != (b.y > point.y) && {
            let x = a.x + (b.x - a.x) * (point.y - a.y) / (b.y - a.y);
            x > point.x
        }
    };
    sides.filter(crossed).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use plate::{Loop, hull};

    /// The mesh's volume nears the outline's exact one, from below outside and from above in holes.
    #[test]
    fn a_plate_is_closed_and_as_large_as_its_outline() {
        let at = DVec2::new;
        let outer = hull(&[(at(0.0, 0.0), 40.0), (at(120.0, 0.0), 40.0), (at(60.0, 70.0), 12.0)]).unwrap();
        let mut holes = vec![Loop::circle(at(0.0, 0.0), 22.0), Loop::circle(at(120.0, 0.0), 22.0)];
        holes.push(Loop::d(30.0, 26.0, 4.0).unwrap().moved(0.4, at(60.0, 10.0)));
        holes.push(Loop::slot(at(60.0, 60.0), 8.5, 3.0, 1.0).unwrap());
        let outline = Outline::new(outer, holes);
        let frame = Frame::new(DVec3::new(5.0, -3.0, 8.0), DVec3::new(1.0, 2.0, -0.5), DVec3::Z).unwrap();
        let exact = outline.area() * 10.0;
        let mut last = f64::INFINITY;
        for chord in [0.2, 0.05, 0.0125] {
            let mesh = extruded_mesh(&outline, &frame, [-10.0, 0.0], MeshSettings { chord }).unwrap();
            let off = (mesh.volume() - exact).abs() / exact;
            assert!(off < last && off < chord / 20.0, "{chord}: {off}");
            last = off;
            for point in &mesh.points {
                let z = frame.local_point(*point).z;
                assert!(z.abs() < 1e-9 || (z + 10.0).abs() < 1e-9);
            }
        }
    }
}
