//! Meshes in single precision, still closed.

use geom::DVec3;

use crate::mesh::{Mesh, MeshFault, edges};

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

/// Twice the area below which a triangle is flat, mm2.
const LEAST_AREA: f64 = 1e-12;

/// How often flat triangles are looked for: taking one out can leave another flat.
const ROUNDS: usize = 8;
