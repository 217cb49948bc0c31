//! Tubes that pass, reach into or stay clear of the holes of scans; by hand.

mod scene;

use clearance::{Clearance, Placed, check};
use geom::DVec3;
use scan::Scan;
use scene::{close, laid, obstacle, run};
use spec::Level;

/// A band of triangles between rings of four corners each; its front is at the left of the rings' run.
fn band(rings: &[[DVec3; 4]]) -> Scan {
    let points = rings.concat();
    let quad = |[a, b, c, d]: [u32; 4]| [[a, b, c], [a, c, d]];
    let around = (0..4 * (rings.len() as u32 - 1)).map(|k| {
        let next = k / 4 * 4 + (k + 1) % 4;
        [k, next, next + 4, k + 4]
    });
    Scan { points, triangles: around.flat_map(quad).collect(), ..Scan::default() }
}

/// A square across the x axis, `half` from it to either side, its middle at `at`.
fn square(at: DVec3, half: f64) -> [DVec3; 4] {
    [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|[y, z]| at + half * DVec3::new(0.0, y, z))
}

/// A wall across the x axis at `x` with a hole about the axis; its front looks toward -x.
fn wall(x: f64, hole: f64) -> Scan {
    band(&[square(DVec3::X * x, 300.0), square(DVec3::X * x, hole)].map(|mut ring| {
        ring.reverse();
        ring
    }))
}

fn checked(path: &str, scan: Scan, more: &str) -> Clearance {
    let form = "file = \"none.stl\"\nunits = \"mm\"\nplace = \"as scanned\"";
    let design = run(path, 20.0, &obstacle("scan", form, more));
    check(&design, &laid(&design), &[Some(Placed::of(scan, Scan::default()))])
}

fn levels(found: &Clearance) -> Vec<Level> {
    found.findings.iter().filter(|f| f.code == "scan-hole").map(|f| f.level).collect()
}

const STRAIGHT: &str = "[{ straight = 300 }]";
const FRONT: &str = "seen = \"front\"";

#[test]
fn a_tube_goes_through_a_hole() {
    let turned = |mut scan: Scan| {
        scan.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        scan
    };
    for (scan, more, level) in [
        (wall(200.0, 60.0), FRONT, Level::Failure),
        (turned(wall(200.0, 60.0)), FRONT, Level::Failure),
        (wall(200.0, 60.0), "", Level::Warning),
    ] {
        let found = checked(STRAIGHT, scan, more);
        assert_eq!(levels(&found), [level], "{more}");
        let [hole] = &found.holes[..] else { panic!("{:?}", found.holes) };
        assert!(hole.through && hole.clock.is_none());
        close(hole.station.unwrap(), 200.0, 1e-9);
        assert!(hole.at.distance(DVec3::X * 200.0) < 1e-9);
        close(hole.across, 120.0 * 2_f64.sqrt(), 1e-9);
    }
}

/// A bend that ends beyond a wall: its centreline passes it where it is 100 off, a third of the way through the turn.
#[test]
fn a_bend_goes_through_a_hole() {
    let mut design = "[{ bend = 90, radius = 200 }]".to_owned();
    design += "\ninside = [0, 1, 0]";
    let found = checked(&design, wall(100.0, 90.0), FRONT);
    let [hole] = &found.holes[..] else { panic!("{:?}", found.holes) };
    let turn = std::f64::consts::FRAC_PI_6;
    close(hole.station.unwrap(), 200.0 * turn, 0.02);
    assert!(hole.at.distance(DVec3::new(100.0, 200.0 - 100.0 * 3_f64.sqrt(), 0.0)) < 0.02, "{hole:?}");
}

/// A wall beside the tube, 15 from its middle, with a hole along all of it: the tube reaches in by 5, and the
/// centreline stays in front. One 25 from its middle is clear of the hole too.
#[test]
fn a_tube_reaches_into_a_hole() {
    for (off, level) in [(15.0, Some(Level::Warning)), (25.0, None)] {
        let corner = |x: f64, y: f64| DVec3::new(150.0 + x, y, -off);
        let ring =
            |half: f64| [corner(-half, -half), corner(half, -half), corner(half, half), corner(-half, half)];
        let found = checked(STRAIGHT, band(&[ring(400.0), ring(250.0)]), FRONT);
        assert_eq!(levels(&found), level.into_iter().collect::<Vec<_>>(), "{off}");
        assert!(
            found.holes.iter().all(|hole| !hole.through
                && hole.at.distance(DVec3::new(hole.station.unwrap(), 0.0, -20.0)) < 1e-6)
        );
    }
}

/// A tunnel about the tube, a funnel that it comes out of, and a wall that ends beside it have no holes.
#[test]
fn where_a_surface_ends_is_no_hole() {
    let ring = |x: f64, half: f64| square(DVec3::X * x, half);
    for rings in [[ring(50.0, 60.0), ring(200.0, 60.0)], [ring(50.0, 60.0), ring(200.0, 160.0)]] {
        for scan in [band(&rings), band(&[rings[1], rings[0]])] {
            assert_eq!(levels(&checked(STRAIGHT, scan, FRONT)), []);
        }
    }
    let plate = Scan {
        points: square(DVec3::new(150.0, 0.0, 0.0), 10.0).to_vec(),
        triangles: vec![[0, 1, 2], [0, 2, 3]],
        ..Scan::default()
    };
    assert_eq!(levels(&checked(STRAIGHT, plate, "")), []);
}

/// The face of a head has a hole where the port is: the tube stands on it.
#[test]
fn a_port_is_a_hole_that_is_meant() {
    let found = checked(STRAIGHT, wall(0.0, 18.0), "on = \"engine\"");
    assert_eq!(levels(&found), []);
    let found = checked(STRAIGHT, wall(30.0, 28.0), "on = \"engine\"");
    assert_eq!(levels(&found), [Level::Warning]);
}
