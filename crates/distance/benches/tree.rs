//! The tree on 2 million triangles: building it, a tube's and a map's questions; parry3d beside it.

use criterion::{Criterion, criterion_group, criterion_main};
use distance::{Bend, Cylinder, Solid, Tree};
use geom::math::sin;
use geom::{DVec3, Frame};
use parry3d_f64::math::{Pose, Rotation, Vector};
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::{Cylinder as ParryCylinder, TriMesh};

/// A wavy floor of `2 side^2` triangles a millimetre wide, and 2,000 boxes on it.
fn bay(side: usize) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let height = |x: f64, y: f64| {
        20.0 * sin(x * 0.013) + 15.0 * sin(y * 0.017 + x * 0.003) + 0.4 * sin(x * 1.7 + y * 2.3)
    };
    let mut points = Vec::new();
    for j in 0..=side {
        points.extend((0..=side).map(|i| DVec3::new(i as f64, j as f64, height(i as f64, j as f64))));
    }
    let at = |i: usize, j: usize| (j * (side + 1) + i) as u32;
    let mut triangles = Vec::new();
    for j in 0..side {
        for i in 0..side {
            triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    for k in 0..2000_u32 {
        let at = DVec3::new(f64::from(k * 7919 % side as u32), f64::from(k * 104_729 % side as u32), 30.0);
        let first = points.len() as u32;
        points.extend(
            (0..8)
                .map(|c| at + 12.0 * DVec3::new(f64::from(c & 1), f64::from(c >> 1 & 1), f64::from(c >> 2))),
        );
        for [a, b, c, d] in
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]]
        {
            triangles.push([a, b, c].map(|i| first + i));
            triangles.push([a, c, d].map(|i| first + i));
        }
    }
    (points, triangles)
}

/// A tube of 900 mm with four bends, above the floor.
fn tube() -> Vec<Solid> {
    let mut frame = Frame { at: DVec3::new(300.0, 350.0, 140.0), along: DVec3::X, inside: DVec3::Y };
    let (mut solids, radius) = (Vec::new(), 20.0);
    for (length, turn, clr, angle) in [
        (120.0, 0.0, 60.0, 1.2),
        (90.0, 1.9, 60.0, 0.8),
        (110.0, -2.4, 75.0, 1.5),
        (140.0, 0.7, 60.0, 0.9),
        (160.0, 0.0, 60.0, 0.0),
    ] {
        solids.push(Solid::Cylinder(Cylinder::square(frame, length, radius)));
        frame = frame.advanced(length).turned(turn);
        if angle > 0.0 {
            solids.push(Solid::Bend(Bend { frame, clr, angle, radius }));
            frame = frame.bent(clr, angle);
        }
    }
    solids
}

/// Places on the tubes' outsides, as a map has them.
fn places(solids: &[Solid]) -> Vec<DVec3> {
    let mut found = Vec::new();
    for solid in solids {
        for i in 0..100 {
            for k in 0..24 {
                let (share, clock) = (f64::from(i) / 100.0, f64::from(k) * 0.261_799);
                found.push(match solid {
                    Solid::Cylinder(c) => c.frame.point(c.length * share, clock, c.radius),
                    Solid::Bend(b) => b.frame.bent(b.clr, b.angle * share).point(0.0, clock, b.radius),
                    _ => unreachable!("a tube has straights and bends"),
                });
            }
        }
    }
    found
}

fn vector(p: DVec3) -> Vector {
    Vector::new(p.x, p.y, p.z)
}

fn parry_mesh(points: &[DVec3], triangles: &[[u32; 3]]) -> TriMesh {
    TriMesh::new(points.iter().map(|&p| vector(p)).collect(), triangles.to_vec()).expect("a mesh")
}

/// The nearest of the straights alone, as parry answers for a cylinder.
fn parry_straights(mesh: &TriMesh, solids: &[Solid]) -> f64 {
    let straights = solids.iter().filter_map(|s| match s {
        Solid::Cylinder(c) => Some(c),
        _ => None,
    });
    straights.fold(f64::INFINITY, |best, c| {
        let middle = c.frame.point(0.5 * c.length, 0.0, 0.0);
        let turn = Rotation::from_rotation_arc(Vector::Y, vector(c.frame.along));
        let pose = Pose::from_parts(vector(middle), turn);
        let shape = ParryCylinder::new(0.5 * c.length, c.radius);
        let d =
            parry3d_f64::query::distance(&Pose::IDENTITY, mesh, &pose, &shape).expect("a distance").distance;
        best.min(d)
    })
}

fn bench(c: &mut Criterion) {
    let (points, triangles) = bay(1000);
    let solids = tube();
    let places = places(&solids);
    let mut group = c.benchmark_group("2 million triangles");
    group.sample_size(10);
    group.bench_function("tree", |b| {
        b.iter_with_setup(
            || (points.clone(), triangles.clone()),
            |(points, triangles)| Tree::new(points, triangles, Vec::new()),
        )
    });
    group.bench_function("parry's tree", |b| b.iter(|| parry_mesh(&points, &triangles)));
    let tree = Tree::new(points.clone(), triangles.clone(), Vec::new());
    let mesh = parry_mesh(&points, &triangles);
    println!("nearest: {:?}", tree.nearest(&solids, f64::INFINITY));
    println!(
        "straights: {:?}, parry {}",
        tree.nearest(&straights(&solids), f64::INFINITY).map(|h| h.near.distance),
        parry_straights(&mesh, &solids)
    );
    group.bench_function("tube of 4 bends", |b| b.iter(|| tree.nearest(&solids, f64::INFINITY)));
    group.bench_function("its straights", |b| b.iter(|| tree.nearest(&straights(&solids), f64::INFINITY)));
    group.bench_function("parry, its straights", |b| b.iter(|| parry_straights(&mesh, &solids)));
    group.bench_function("21,600 places", |b| {
        b.iter(|| {
            places
                .iter()
                .map(|&p| tree.nearest_to_point(p, f64::INFINITY).map_or(0.0, |t| t.distance))
                .sum::<f64>()
        })
    });
    let below = vec![f64::INFINITY; places.len()];
    group.bench_function("21,600 places, together", |b| b.iter(|| tree.nearest_to_points(&places, &below)));
    group.bench_function("parry, 21,600 places", |b| {
        b.iter(|| places.iter().map(|&p| mesh.distance_to_local_point(vector(p), false)).sum::<f64>())
    });
    group.finish();
}

fn straights(solids: &[Solid]) -> Vec<Solid> {
    solids.iter().filter(|s| matches!(s, Solid::Cylinder(_))).cloned().collect()
}

criterion_group!(benches, bench);
criterion_main!(benches);
