//! A second, independent geometry: truck-modeling's own sweep of a bent tube, tessellated by
//! truck-meshalgo, against the ring mesh and the kernel.

use std::collections::BTreeMap;

use geom::{DVec3, Frame};
use solids::mesh::edges;
use solids::{Mesh, MeshSettings, piece_mesh};
use truck_meshalgo::prelude::*;
use truck_modeling::{Face, Point3, Rad, Solid, Vector3, Wire, builder};
use tube::{Centreline, Cut, Piece, Row, Rows, Section, alloy};

/// truck's unit in mm is `1 / SCALE`: in mm it drops faces of swept bends, by its fixed tolerances.
const SCALE: f64 = 0.01;

/// Half the cross-section at the origin, square to z, on the side of `y` (1 or -1).
///
/// Halves, because the tessellation leaves a face with a hole open.
fn half_annulus(section: &Section, y: f64) -> Face {
    let at = |x: f64, y: f64| Point3::new(x * SCALE, y * SCALE, 0.0);
    let (outer, inner) = (section.outer(), section.inner());
    let [a, b, c, d] = [outer, -outer, -inner, inner].map(|x| builder::vertex(at(x, 0.0)));
    let wire: Wire = [
        builder::circle_arc(&a, &b, at(0.0, y * outer)),
        builder::line(&b, &c),
        builder::circle_arc(&c, &d, at(0.0, y * inner)),
        builder::line(&d, &a),
    ]
    .into_iter()
    .collect();
    builder::try_attach_plane(&[if y > 0.0 { wire } else { wire.inverse() }]).unwrap()
}

/// Volume of a solid as tessellated, mm3, which must be a closed mesh.
fn volume(solid: &Solid, chord: f64) -> f64 {
    let polygon = solid.triangulation(chord * SCALE).to_polygon();
    let mut mesh = Mesh::default();
    for triangle in polygon.faces().triangle_iter() {
        let t = triangle.map(|v| {
            let p = polygon.positions()[v.pos];
            let p = DVec3::new(p.x, p.y, p.z) / SCALE;
            // Neighbouring faces meet within truck's tolerance only, 1e-6 of its units: 1e-4 mm.
            mesh.points.iter().position(|q| q.distance(p) < 1e-3).unwrap_or_else(|| {
                mesh.points.push(p);
                mesh.points.len() - 1
            }) as u32
        });
        if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
            mesh.triangles.push(t);
        }
    }
    let mut balance: BTreeMap<[u32; 2], i32> = BTreeMap::new();
    for [a, b] in mesh.triangles.iter().flat_map(edges) {
        *balance.entry([a.min(b), a.max(b)]).or_default() += if a < b { 1 } else { -1 };
    }
    assert!(balance.values().all(|n| *n == 0), "truck's mesh is open");
    mesh.volume()
}

#[test]
fn trucks_sweep_of_a_bent_tube_has_the_volume_of_the_ring_mesh() {
    let section = Section { od: 42.4, wall: 1.5, alloy: alloy::alloy("304").unwrap() };
    let (feed, bend, radius, tail, chord) = (60.0, 1.3, 63.5, 45.0, 0.05);
    let swept = |face: Face| -> f64 {
        let straight = |length: f64| builder::tsweep(&face, Vector3::unit_z() * length * SCALE);
        // Bent toward +x, about the line through (radius, 0, 0) along y.
        let centre = Point3::new(radius * SCALE, 0.0, 0.0);
        let arc = builder::rsweep(&face, centre, Vector3::unit_y(), Rad(bend));
        [straight(feed), arc, straight(tail)].iter().map(|s| volume(s, chord)).sum()
    };
    let swept: f64 = [1.0, -1.0].map(|y| swept(half_annulus(&section, y))).iter().sum();

    let start = Frame::new(DVec3::ZERO, DVec3::Z, DVec3::X).unwrap();
    let rows = Rows { rows: vec![Row { feed, rotate: 0.0, bend, radius }], tail };
    let line = Centreline::from_rows(start, &rows);
    let length = line.length();
    let piece = Piece::tube(line, section, Cut::square(0.0), Cut::square(length)).unwrap();
    let rings = piece_mesh(&piece, MeshSettings { chord }).unwrap().volume();
    let allowed = piece.outside_area() * chord;
    println!("swept {swept:.3}, rings {rings:.3}, kernel {:.3} mm3", piece.volume());
    assert!((swept - piece.volume()).abs() < allowed, "{swept} against {}", piece.volume());
    assert!((swept - rings).abs() < allowed, "{swept} against {rings}");
}
