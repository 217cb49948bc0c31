//! Ring meshes against the kernel: closed, and of the kernel's volume at second order.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::DVec3;
use solids::{Mesh, MeshFault, MeshSettings, part_mesh, piece_mesh};
use tube::{Body, Centreline, Cut, HoleFault, Piece, Row, Rows};

use fixture::{askew, bent, cone, holed, holed_pieces, pieces, plane, section, straight};

mod fixture;

fn mesh(piece: &Piece, chord: f64) -> Mesh {
    piece_mesh(piece, MeshSettings { chord }).unwrap()
}

#[test]
fn every_mesh_is_closed_and_of_the_kernels_volume() {
    for (name, piece) in pieces() {
        for chord in [0.2, 0.05] {
            let mesh = mesh(&piece, chord);
            assert_eq!(mesh.check(), Ok(()), "{name} at {chord}");
            let error = (mesh.volume() - piece.volume()).abs();
            assert!(error <= piece.outside_area() * chord, "{name} at {chord}: off by {error} mm3");
        }
    }
}

#[test]
fn volumes_converge_at_second_order() {
    // A quarter of the chord: half the spacing, so a quarter of the error where it is of second order.
    // Measured over two steps, because whole numbers of divisions make single steps uneven.
    for (name, piece) in pieces() {
        let exact = piece.volume();
        let error = |chord: f64| (mesh(&piece, chord).volume() - exact).abs();
        let (rough, fine) = (error(0.05), error(0.05 / 16.0));
        println!(
            "{name}: {rough:.4} {:.4} {fine:.5} of {exact:.3}, {:.2} a step",
            error(0.0125),
            (rough / fine).sqrt()
        );
        assert!(rough / fine > 9.0 || fine < 1e-7 * exact, "{name}: {rough} mm3, then {fine} mm3");
    }
}

#[test]
fn every_holed_mesh_is_closed_and_of_the_kernels_volume() {
    for (name, piece) in holed_pieces() {
        assert_eq!(piece.hole_faults(), vec![], "{name}");
        let exact = piece.volume();
        for chord in [0.2, 0.05, 0.01] {
            let mesh = mesh(&piece, chord);
            assert_eq!(mesh.check(), Ok(()), "{name} at {chord}");
            let error = (mesh.volume() - exact).abs();
            println!(
                "{name} at {chord}: {} triangles, off by {error:.4} of {exact:.1}",
                mesh.triangles.len()
            );
            assert!(error <= piece.outside_area() * chord, "{name} at {chord}: off by {error} mm3");
        }
        let (rough, fine) = (0.05, 0.05 / 64.0);
        let error = |chord: f64| (mesh(&piece, chord).volume() - exact).abs();
        assert!(error(fine) < error(rough) / 20.0, "{name}: {} {}", error(rough), error(fine));
    }
}

/// Corners lie on a surface of the piece, and the middles of triangles and of their sides nearly.
#[test]
fn a_holed_mesh_stays_within_the_chord() {
    let chord = 0.05;
    for (name, piece) in holed_pieces() {
        let bent = piece.rows().rows.len() > 1;
        if bent || piece.start.kind() != "square" {
            continue;
        }
        let off = |point: DVec3| {
            let local = piece.frame_at(0.0).local_point(point);
            let rho = geom::math::hypot(local.x, local.y);
            let lean = (1.0 + piece.line(0.0, 1.0).slope * piece.line(0.0, 1.0).slope).sqrt();
            let wall = |depth: f64| {
                let line = piece.line(0.0, depth);
                (rho - line.rho - line.slope * local.z).abs() / lean
            };
            let holes = piece.holes.iter().map(|hole| {
                let around = hole.axis(&piece).local_point(point);
                (geom::math::hypot(around.x, around.y) - hole.radius).abs()
            });
            let ends = local.z.abs().min((piece.length() - local.z).abs());
            holes.fold(wall(0.0).min(wall(1.0)).min(ends), f64::min)
        };
        let mesh = mesh(&piece, chord);
        let corner = mesh.points.iter().map(|p| off(*p)).fold(0.0, f64::max);
        assert!(corner < 1e-5, "{name}: a corner {corner} mm off");
        let inside = mesh.corners().map(|[a, b, c]| {
            let middles = [(a + b + c) / 3.0, 0.5 * (a + b), 0.5 * (b + c), 0.5 * (c + a)];
            middles.map(off).into_iter().fold(0.0, f64::max)
        });
        let inside = inside.fold(0.0, f64::max);
        assert!(inside <= chord, "{name}: a triangle {inside} mm off");
    }
}

#[test]
fn a_hole_that_cannot_be_cut_is_refused() {
    let tube = || straight(100.0, section(45.0, 1.2), Cut::square(0.0), Cut::square(100.0));
    let piece = holed(tube(), &[(90.0, 0.0, 0.5, 0.0, 8.0)]);
    let fault = piece_mesh(&piece, MeshSettings::default());
    assert!(matches!(fault, Err(MeshFault::Hole(0, HoleFault::OverEnd { .. }))), "{fault:?}");
}

#[test]
fn points_lie_on_the_piece() {
    let piece = bent(Cut::square(0.0), Cut::square);
    let mesh = mesh(&piece, 0.05);
    let Body::Tube { centreline, section } = &piece.body else { panic!("a tube") };
    let spans = centreline.spans();
    for point in mesh.points {
        let off = spans.iter().map(|s| {
            // Nearest point of the span by golden-section search.
            let near = geom::roots::minimum(|t| s.frame_at(t).at.distance(point), 0.0, s.to - s.from, 1e-10);
            s.frame_at(near).at.distance(point)
        });
        let off = off.fold(f64::INFINITY, f64::min);
        let best = (off - section.outer()).abs().min((off - section.inner()).abs());
        assert!(best < 1e-6, "{best} mm off the wall");
    }
}

#[test]
fn a_miter_keeps_the_volume_of_its_mesh_near_the_square_ones() {
    let tube = section(45.0, 1.2);
    let square = straight(200.0, tube, Cut::square(0.0), Cut::square(200.0));
    let line = Centreline::straight(askew(), 200.0);
    let mitred = Piece::tube(line, tube, Cut::square(0.0), plane(200.0, 25.0, 1.0)).unwrap();
    let difference = mesh(&mitred, 0.01).volume() - mesh(&square, 0.01).volume();
    assert!(difference.abs() < 1e-4 * square.volume(), "{difference}");
}

#[test]
fn ends_that_cross_are_refused() {
    let piece = straight(30.0, section(45.0, 1.2), plane(0.0, 45.0, PI), plane(30.0, 45.0, 0.0));
    let fault = piece_mesh(&piece, MeshSettings::default());
    assert!(matches!(fault, Err(MeshFault::Crossed { .. })), "{fault:?}");
}

#[test]
fn a_miter_in_a_bend_is_refused() {
    let rows =
        Rows { rows: vec![Row { feed: 50.0, rotate: 0.0, bend: FRAC_PI_2, radius: 60.0 }], tail: 30.0 };
    let line = Centreline::from_rows(askew(), &rows);
    let length = line.length();
    let piece = Piece::tube(line, section(45.0, 1.2), Cut::square(0.0), plane(length - 20.0, 30.0, 0.0));
    let fault = piece_mesh(&piece.unwrap(), MeshSettings::default());
    assert!(matches!(fault, Err(MeshFault::IntoBend(_))), "{fault:?}");
}

#[test]
fn a_square_cone_is_turned_and_agrees_with_its_ring_mesh() {
    let piece = Piece::cone(cone(80.0, 63.5, 90.0), Cut::square(0.0)).unwrap();
    let settings = MeshSettings::default();
    let (turned, rings) = (part_mesh(&piece, settings).unwrap(), piece_mesh(&piece, settings).unwrap());
    assert_ne!(turned, rings);
    assert_eq!(turned.check(), Ok(()));
    let allowed = piece.outside_area() * settings.chord;
    assert!((turned.volume() - piece.volume()).abs() < allowed);
    assert!((turned.volume() - rings.volume()).abs() < allowed);
}

#[test]
fn a_cone_that_widens_is_turned_too() {
    let piece = Piece::cone(cone(50.0, 76.2, 110.0), Cut::square(0.0)).unwrap();
    let mesh = part_mesh(&piece, MeshSettings::default()).unwrap();
    assert_eq!(mesh.check(), Ok(()));
}
