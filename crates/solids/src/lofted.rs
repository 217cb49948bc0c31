//! Transitions: walls ruled from a shape to a circle.

use layout::Transition;

use crate::mesh::{Mesh, MeshFault};

/// The closed mesh of a transition, of its own points. Errors: surfaces that cross.
pub fn transition_mesh(part: &Transition) -> Result<Mesh, MeshFault> {
    let mut mesh = Mesh::default();
    let count = part.rings[0].len() as u32;
    for (ring, station) in part.rings.iter().zip([0.0, 0.0, part.length, part.length]) {
        mesh.points.extend(ring.iter().map(|p| part.place(*p, station)));
    }
    // Rings that bound a surface, so that it is seen from outside: inside, far end, outside, near end.
    for (a, b) in [(0, 2), (2, 3), (3, 1), (1, 0)] {
        for k in 0..count {
            let next = (k + 1) % count;
            let [a0, a1, b0, b1] = [a * count + k, a * count + next, b * count + k, b * count + next];
            mesh.triangles.push([a0, b0, b1]);
            mesh.triangles.push([a0, b1, a1]);
        }
    }
    if mesh.volume() < 0.0 {
        mesh.triangles.iter_mut().for_each(|triangle| triangle.swap(1, 2));
    }
    mesh.check()?;
    Ok(mesh)
}
