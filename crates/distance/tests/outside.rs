//! Against an outside library: parry3d-f64 0.31 (docs.rs/parry3d-f64), its distances of points from a mesh.

mod common;

use common::Dice;
use distance::Tree;
use geom::DVec3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::TriMesh;

#[test]
fn points_from_a_mesh_of_100_000_triangles() {
    let side = 224_u32;
    let mut dice = Dice(9);
    let place = |k: u32| DVec3::new(f64::from(k % (side + 1)), f64::from(k / (side + 1)), 0.0) * 4.0;
    let points: Vec<DVec3> = (0..(side + 1) * (side + 1)).map(|k| place(k) + dice.vector(2.0)).collect();
    let corner = |i: u32, j: u32| j * (side + 1) + i;
    let cells = (0..side).flat_map(|j| (0..side).map(move |i| (i, j)));
    let triangles: Vec<[u32; 3]> = cells
        .flat_map(|(i, j)| {
            let [a, b, c, d] = [corner(i, j), corner(i + 1, j), corner(i + 1, j + 1), corner(i, j + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect();
    let vector = |p: DVec3| Vector::new(p.x, p.y, p.z);
    let mesh = TriMesh::new(points.iter().map(|&p| vector(p)).collect(), triangles.clone()).expect("a mesh");
    let tree = Tree::new(points, triangles, Vec::new());
    for _ in 0..3000 {
        let p = DVec3::new(450.0, 450.0, 0.0) + dice.vector(1.0) * DVec3::new(600.0, 600.0, 80.0);
        let ours = tree.nearest_to_point(p, f64::INFINITY).expect("a triangle").distance;
        let theirs = mesh.distance_to_local_point(vector(p), false);
        assert!((ours - theirs).abs() < 1e-6, "{p}: {ours}, parry says {theirs}");
    }
}
