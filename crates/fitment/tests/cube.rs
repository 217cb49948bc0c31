//! The test cube: flat where it is measured, sockets that are as much wider than the spigot as they say.

mod shared;

use distance::Tree;
use fitment::{NoStore, cube};
use geom::DVec3;
use shared::solid;
use spec::shop::Printer;

#[test]
fn the_cube_measures_fifty_each_way() {
    let test = cube(&Printer::default(), 0.02, &NoStore).unwrap();
    solid(&test.cube);
    solid(&test.spigot);
    let span = |axis: DVec3| {
        let along = test.cube.points.iter().map(|p| p.dot(axis));
        (along.clone().fold(f64::INFINITY, f64::min), along.fold(f64::NEG_INFINITY, f64::max))
    };
    assert_eq!(span(DVec3::X), (-25.0, 25.0));
    assert_eq!(span(DVec3::Y), (-25.0, 25.0));
    assert_eq!(span(DVec3::Z), (0.0, 50.0));
    let top = test.spigot.points.iter().map(|p| p.z).fold(0.0, f64::max);
    assert!((top - 20.0).abs() < 1e-9, "a foot of 8 and a spigot of 12 mm");
    assert_eq!(test.gaps, [0.1, 0.2, 0.3, 0.4, 0.5]);
}

/// The loose spigot, put over each socket in turn until its shoulder meets the top: an exact search among the
/// cube's triangles finds the gap over the middle of every flat.
#[test]
fn each_socket_has_its_gap() {
    let test = cube(&Printer::default(), 0.02, &NoStore).unwrap();
    let tree = Tree::new(test.cube.points.clone(), test.cube.triangles.clone(), Vec::new());
    let places = [(-14.0, 14.0), (14.0, 14.0), (0.0, 0.0), (-14.0, -14.0), (14.0, -14.0)];
    for (gap, (x, y)) in test.gaps.iter().zip(places) {
        let mut flats = 0;
        for triangle in test.spigot.corners().filter(|t| t.iter().all(|p| p.z > 8.0 - 1e-9)) {
            if triangle.iter().all(|p| p.z < 8.0 + 1e-9) {
                continue;
            }
            // Turned upside down about x, its rib stays at +x.
            let into = |p: DVec3| DVec3::new(p.x + x, y - p.y, 50.0 - (p.z - 8.0));
            let middle = (into(triangle[0]) + into(triangle[1]) + into(triangle[2])) / 3.0;
            let distance = tree.nearest_to_point(middle, 5.0).unwrap().distance;
            assert!((distance - gap).abs() < 1e-5, "{gap}: {distance}");
            flats += 1;
        }
        assert!(flats > 60, "{flats}");
    }
}
