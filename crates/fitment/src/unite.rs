//! Solids put together and taken away by exact booleans.
//!
//! The one place where the modeller `manifold-rust` is used for that. Its results depend on the meshes and their
//! order only; they are brought into single precision and into a fixed order of points and triangles.

use geom::DVec3;
use manifold_rust::linalg::Vec3;
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{BooleanEngine, Error, MeshGL, MeshGLP, OpType};
use solids::{Mesh, MeshFault, rounded};

use crate::store::{Store, key};

/// All of `adds` as one solid, less all of `takes`; points in single precision, mm.
///
/// `takes` may be empty. A result that was kept in `store` is not computed again. Errors when a mesh is not a solid,
/// when nothing is left, or when what is left is no solid in single precision.
pub fn combined(adds: &[&Mesh], takes: &[&Mesh], store: &dyn Store) -> Result<Mesh, MeshFault> {
    let key = key(adds, takes);
    if let Some(kept) = store.get(&key).filter(|kept| kept.check().is_ok()) {
        return Ok(kept);
    }
    let solids = |meshes: &[&Mesh]| meshes.iter().map(|m| solid(m)).collect::<Result<Vec<_>, _>>();
    let (adds, takes) = (solids(adds)?, solids(takes)?);
    let made = |engine: BooleanEngine| {
        let mut all = united(&adds, engine)?;
        if !takes.is_empty() {
            all = all.boolean_with_engine(&united(&takes, engine)?, OpType::Subtract, engine);
        }
        single(&all)
    };
    let crossed = adds.iter().chain(&takes).any(Manifold::has_self_intersections);
    let mesh = if crossed { made(BooleanEngine::Auto) } else { quick(made) }?;
    store.put(&key, &mesh);
    Ok(mesh)
}

/// What the fast engine makes of solids none of which crosses itself; only where that is no solid is every step looked
/// at for crossings again, which takes longer than all the rest.
fn quick(made: impl Fn(BooleanEngine) -> Result<Mesh, MeshFault>) -> Result<Mesh, MeshFault> {
    made(BooleanEngine::Exact).or_else(|_| made(BooleanEngine::Auto))
}

/// One solid of several: halves of the list first, so that large ones are gone through few times.
fn united(solids: &[Manifold], engine: BooleanEngine) -> Result<Manifold, MeshFault> {
    match solids {
        [] => Err(MeshFault::InsideOut(0.0)),
        [one] => Ok(one.clone()),
        several => {
            let (first, second) = several.split_at(several.len() / 2);
            let (first, second) = (united(first, engine)?, united(second, engine)?);
            Ok(first.boolean_with_engine(&second, OpType::Add, engine))
        }
    }
}

/// A mesh as the modeller takes it.
///
/// Errors when it is not a solid to the modeller.
pub(crate) fn solid(mesh: &Mesh) -> Result<Manifold, MeshFault> {
    let gl = MeshGLP::<f64, u32> {
        num_prop: 3,
        vert_properties: mesh.points.iter().flat_map(|p| p.to_array()).collect(),
        tri_verts: mesh.triangles.iter().flatten().copied().collect(),
        ..MeshGLP::default()
    };
    checked(Manifold::from_mesh_glp(&gl))
}

/// What the modeller made, in single precision: rounded, taken in again so that it mends what rounding folded, and
/// rounded once more; then points and triangles in order.
///
/// Errors as those of [`rounded()`], and when the modeller refuses.
pub(crate) fn single(solid: &Manifold) -> Result<Mesh, MeshFault> {
    let fine = checked(solid.simplify(SMALLEST))?;
    let again = checked(Manifold::from_mesh_gl(&fine.get_mesh_gl(-1)))?;
    let MeshGL { num_prop, vert_properties, tri_verts, .. } = again.get_mesh_gl(-1);
    let points = vert_properties.chunks_exact(num_prop as usize);
    let points = points.map(|p| DVec3::new(p[0].into(), p[1].into(), p[2].into())).collect();
    let triangles = tri_verts.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect();
    let mesh = Mesh { points, triangles };
    rounded(&mesh).or_else(|_| rounded(&parted(&mesh))).map(ordered)
}

/// The mesh with points that stand in the same place moved apart, each into the material of its own, and by another
/// multiple of [`PARTED`]: where two surfaces touch in an edge or a point, they would become one in a file that has no
/// other names for points.
fn parted(mesh: &Mesh) -> Mesh {
    let mut normals = vec![DVec3::ZERO; mesh.points.len()];
    for triangle in &mesh.triangles {
        let [a, b, c] = triangle.map(|i| mesh.points[i as usize]);
        triangle.iter().for_each(|i| normals[*i as usize] += (b - a).cross(c - a));
    }
    let mut order: Vec<usize> = (0..mesh.points.len()).collect();
    let key = |i: &usize| (mesh.points[*i] + DVec3::ZERO).to_array().map(f64::to_bits);
    order.sort_by_key(key);
    let mut points = mesh.points.clone();
    for same in order.chunk_by(|a, b| key(a) == key(b)).filter(|same| same.len() > 1) {
        for (far, i) in same.iter().enumerate() {
            points[*i] -= normals[*i].normalize_or_zero() * PARTED * (1 + far) as f64;
        }
    }
    Mesh { points, triangles: mesh.triangles.clone() }
}

/// The same mesh whatever order its triangles came in: each begins at its first point, then sorted.
fn ordered(mut mesh: Mesh) -> Mesh {
    for triangle in &mut mesh.triangles {
        let first = (0..3).min_by_key(|i| triangle[*i]).unwrap_or(0);
        triangle.rotate_left(first);
    }
    mesh.triangles.sort_unstable();
    mesh
}

fn checked(solid: Manifold) -> Result<Manifold, MeshFault> {
    match solid.status() {
        Error::NoError => Ok(solid),
        error => Err(MeshFault::Modeller(format!("{error:?}"))),
    }
}

/// A point as the modeller has it.
pub(crate) fn vector(point: DVec3) -> Vec3 {
    Vec3::new(point.x, point.y, point.z)
}

/// Edges and heights of triangles below this are closed up after a boolean, mm: eight steps of single precision a metre
/// away, and far less than any printer shows.
const SMALLEST: f64 = 5e-4;

/// How far points that fell together are moved apart, mm.
const PARTED: f64 = 2e-3;

#[cfg(test)]
pub(crate) mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::store::NoStore;
    use geom::Frame;
    use plate::{DVec2, Loop, Outline};
    use solids::{MeshSettings, extruded_mesh};

    pub(crate) fn disc(frame: &Frame, radius: f64, reach: [f64; 2]) -> Mesh {
        let outline = Outline::new(Loop::circle(DVec2::ZERO, radius), Vec::new());
        extruded_mesh(&outline, frame, reach, MeshSettings { chord: 0.002 }).unwrap()
    }

    /// Two equal cylinders that cross at right angles share 16 r^3 / 3 (Archimedes, The Method, proposition 15).
    #[test]
    fn crossing_cylinders_share_the_solid_of_archimedes() {
        let radius = 20.0;
        let one = Frame::new(DVec3::new(300.0, 200.0, -100.0), DVec3::X, DVec3::Z).unwrap();
        let other = Frame::new(one.at, DVec3::new(0.0, 3.0, 4.0), DVec3::X).unwrap();
        let (one, other) = (disc(&one, radius, [-50.0, 50.0]), disc(&other, radius, [-50.0, 50.0]));
        let shared = 16.0 / 3.0 * radius.powi(3);
        let alone = PI * radius * radius * 100.0;
        let both = combined(&[&one, &other], &[], &NoStore).unwrap();
        let rest = combined(&[&one], &[&other], &NoStore).unwrap();
        for (volume, exact) in [(both.volume(), 2.0 * alone - shared), (rest.volume(), alone - shared)] {
            assert!((volume / exact - 1.0).abs() < 3e-4, "{volume} {exact}");
        }
        // The same solids meshed alike: what is shared is counted once, to the last digits.
        let balance = both.volume() - rest.volume() - other.volume();
        assert!(balance.abs() < 1e-6 * alone, "{balance}");
    }

    /// A result is in single precision, and again the same after a second rounding.
    #[test]
    fn results_stay_closed_in_single_precision() {
        let frame = Frame::new(DVec3::new(711.3, -402.7, 55.1), DVec3::new(1.0, 0.3, 0.2), DVec3::Z).unwrap();
        let one = disc(&frame, 21.0, [0.0, 80.0]);
        let other =
            disc(&Frame { at: frame.point(40.0, 1.0, 12.0), ..frame.turned(0.4) }, 21.0, [-10.0, 90.0]);
        let both = combined(&[&one, &other], &[], &NoStore).unwrap();
        let exact = |x: f64| f64::from(x as f32) == x;
        assert!(both.points.iter().all(|p| p.to_array().into_iter().all(exact)));
        assert_eq!(rounded(&both).unwrap().triangles.len(), both.triangles.len());
    }

    /// Two prisms that touch along an edge stay a solid, though both have the edge's points.
    #[test]
    fn what_touches_along_an_edge_stays_closed() {
        let square = |x: f64, y: f64| {
            let outline = Outline::new(Loop::rectangle(10.0, 10.0, 0.0).unwrap(), Vec::new());
            let frame = Frame::new(DVec3::new(x, y, 0.0), DVec3::Z, DVec3::X).unwrap();
            extruded_mesh(&outline, &frame, [0.0, 20.0], MeshSettings { chord: 0.1 }).unwrap()
        };
        let both = combined(&[&square(0.0, 0.0), &square(10.0, 10.0)], &[], &NoStore).unwrap();
        assert!((both.volume() - 4000.0).abs() < 1.0, "{}", both.volume());
    }

    /// Gives back one mesh under every key.
    struct Kept(Mesh);

    impl Store for Kept {
        fn get(&self, _: &str) -> Option<Mesh> {
            Some(self.0.clone())
        }

        fn put(&self, _: &str, _: &Mesh) {}
    }

    /// What is kept is given back; what is kept and no solid is made anew.
    #[test]
    fn only_solids_are_taken_from_a_store() {
        let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let (small, large) = (disc(&frame, 5.0, [0.0, 10.0]), disc(&frame, 9.0, [0.0, 10.0]));
        assert_eq!(combined(&[&small], &[], &Kept(large.clone())).unwrap(), large);
        let fresh = combined(&[&small], &[], &NoStore).unwrap();
        let mut open = large;
        open.triangles.pop();
        assert_eq!(combined(&[&small], &[], &Kept(open)).unwrap(), fresh);
    }

    /// Nothing is left where all is taken away.
    #[test]
    fn nothing_left_is_an_error() {
        let frame = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let (small, large) = (disc(&frame, 5.0, [0.0, 10.0]), disc(&frame, 9.0, [-1.0, 11.0]));
        assert!(combined(&[&small], &[&large], &NoStore).is_err());
        assert!(combined(&[], &[], &NoStore).is_err());
    }
}
