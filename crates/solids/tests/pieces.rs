//! Ring meshes against the kernel: closed, and of the kernel's volume at second order.

use std::f64::consts::{FRAC_PI_2, PI};

use solids::{Mesh, MeshFault, MeshSettings, part_mesh, piece_mesh};
use tube::{Body, Centreline, Cut, Piece, Row, Rows};

use fixture::{askew, bent, cone, pieces, plane, section, straight};

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
