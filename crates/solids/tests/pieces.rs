//! Ring meshes against the kernel: closed, and of the kernel's volume at second order.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::angle::from_degrees;
use geom::{DVec3, Frame};
use solids::{Mesh, MeshFault, MeshSettings, part_mesh, piece_mesh};
use tube::merge::{Cluster, LegCut, Outlet, ScallopCut};
use tube::{Body, Centreline, Cut, Piece, Row, Rows, Saddle, Section, Shape, alloy};

fn section(od: f64, wall: f64) -> Section {
    Section { od, wall, alloy: alloy::alloy("304").unwrap() }
}

/// A frame that is square to nothing.
fn askew() -> Frame {
    Frame::new(DVec3::new(310.0, -95.0, 42.0), DVec3::new(0.3, 0.5, -0.8), DVec3::X).unwrap()
}

fn straight(length: f64, section: Section, start: Cut, end: Cut) -> Piece {
    Piece::tube(Centreline::straight(askew(), length), section, start, end).unwrap()
}

fn bent(start: Cut, end: impl Fn(f64) -> Cut) -> Piece {
    let row = |feed, rotate, bend| Row { feed, rotate, bend, radius: 63.5 };
    let rows = Rows { rows: vec![row(70.0, 0.0, 1.2), row(0.0, 0.9, 0.6), row(40.0, -2.0, 2.2)], tail: 60.0 };
    let line = Centreline::from_rows(askew(), &rows);
    let length = line.length();
    Piece::tube(line, section(42.4, 1.5), start, end(length)).unwrap()
}

fn plane(station: f64, degrees: f64, roll: f64) -> Cut {
    Cut { station, roll, shape: Shape::Plane { tilt: from_degrees(degrees) } }
}

/// A branch of `od` fitted onto a host of radius `host`, at `degrees`, its axis passing `offset` mm by.
fn saddle(od: f64, host: f64, degrees: f64, offset: f64) -> Piece {
    let a = from_degrees(degrees);
    let along = DVec3::new(geom::math::sin(a), 0.0, geom::math::cos(a));
    let shape = Shape::Saddle(Saddle { at: DVec3::Y * offset, along, radius: host, slope: 0.0 });
    straight(180.0, section(od, 1.6), Cut::square(0.0), Cut { station: 180.0, roll: 0.7, shape })
}

fn leg(cluster: Cluster, outlet: Outlet) -> Piece {
    let end = Cut { station: 260.0, roll: 0.4, shape: Shape::Leg(LegCut { cluster, outlet }) };
    straight(260.0, section(45.0, 1.2), Cut::square(0.0), end)
}

fn cluster(legs: usize) -> Cluster {
    Cluster { legs, convergence: from_degrees(12.0), outer: 22.5, inner: 21.3 }
}

/// Every kind of piece, with its name.
fn pieces() -> Vec<(String, Piece)> {
    let square = Cut::square;
    let tube = section(45.0, 1.2);
    let tip = 100.0_f64.atan2(45.0).to_degrees();
    let mut all = vec![
        ("straight".into(), straight(200.0, tube, square(0.0), square(200.0))),
        ("bent".into(), bent(square(0.0), square)),
        ("mitred".into(), straight(200.0, tube, plane(0.0, 22.5, 0.3), plane(200.0, -15.0, 2.0))),
        ("bent, mitred".into(), bent(plane(0.0, 20.0, 1.0), |l| plane(l, 30.0, -0.4))),
        ("wedge to a point".into(), straight(100.0, tube, plane(0.0, 0.0, 0.0), plane(50.0, tip / 1.5, 0.0))),
        (
            "wedge that meets itself".into(),
            straight(90.0, tube, plane(0.0, 45.0, PI), plane(45.0, 45.0, 0.0)),
        ),
        ("saddle, near equal".into(), saddle(44.45, 22.3, 90.0, 0.0)),
        ("saddle, offset to the limit".into(), saddle(30.0, 31.75, 60.0, 16.75)),
    ];
    for degrees in [30.0, 45.0, 60.0, 90.0] {
        all.push((format!("saddle {degrees}"), saddle(44.45, 31.75, degrees, 0.0)));
        all.push((format!("equal saddle {degrees}"), saddle(44.45, 22.225, degrees, 0.0)));
    }
    for legs in 2..=6 {
        let c = cluster(legs);
        let saw = 0.4 * c.spike(c.outer);
        all.push((format!("leg of {legs}, sawn"), leg(c, Outlet::Sawn(saw))));
        let od = if legs == 2 { 45.0 } else { 0.5 * (45.0 + 45.0 / geom::math::sin(c.half_sector())) };
        let Ok(outlet) = c.fitted_outlet(od.max(45.01), 0.0) else { continue };
        if legs > 2 {
            all.push((format!("leg of {legs}, fitted"), leg(c, outlet)));
            let Outlet::Round { from, .. } = outlet else { continue };
            let shape = Shape::Scallop(ScallopCut { cluster: c });
            let start = Cut { station: -from, roll: 0.0, shape };
            all.push((
                format!("outlet onto {legs}"),
                straight(150.0, section(od, 1.6), start, square(150.0)),
            ));
            let cone = cone(od, 0.8 * od, 160.0);
            let shape = Shape::Scallop(ScallopCut { cluster: c });
            let start = Cut { station: -from, roll: 0.0, shape };
            all.push((format!("cone onto {legs}"), Piece::cone(cone, start).unwrap()));
        }
    }
    all.push(("cone".into(), Piece::cone(cone(80.0, 63.5, 90.0), square(0.0)).unwrap()));
    all
}

fn cone(start_od: f64, end_od: f64, length: f64) -> Body {
    let alloy = alloy::alloy("304").unwrap();
    Body::Cone { frame: askew(), start_od, end_od, length, wall: 1.6, alloy }
}

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
