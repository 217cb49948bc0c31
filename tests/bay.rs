//! The bay of tests/fixtures/bay.toml: its scans are made here, and stand where the spec puts them.
//! `HOTSIDE_BLESS=1` writes the scans anew.

#[path = "hotside/stl.rs"]
mod stl;

use std::fs;
use std::path::PathBuf;

use geom::DVec3;
use hotside_tests::{lay, root};
use scan::{Format, Scan};
use spec::Design;
use spec::design::{Form, ScanFile};
use stl::binary_stl;

fn fixture(name: &str) -> PathBuf {
    root().join("tests/fixtures").join(name)
}

fn design() -> Design {
    lay(&fixture("bay.toml")).unwrap_or_else(|fault| panic!("{fault}")).0
}

fn scan_called<'a>(design: &'a Design, name: &str) -> &'a ScanFile {
    let obstacle = design.bay.obstacles.iter().find(|o| o.name == name);
    match obstacle.map(|o| &o.form) {
        Some(Form::Scan(file)) => file,
        other => panic!("{name}: {other:?}"),
    }
}

/// The scan's points where the spec puts them.
fn placed(design: &Design, name: &str) -> Scan {
    let file = scan_called(design, name);
    let bytes = fs::read(fixture(&file.file)).unwrap_or_else(|e| panic!("{}: {e}", file.file));
    scan::read(&bytes, file.format).unwrap_or_else(|fault| panic!("{fault}")).placed(&file.placement)
}

/// An inner wing, 0.6 by 0.4 m, bulged by z = 0.2 x (0.6 - x); its front looks toward -z.
fn wing() -> Vec<u8> {
    let (columns, rows) = (12, 12);
    let corner = |column: u32, row: u32| {
        let (x, y) = (0.6 * f64::from(column) / f64::from(columns), 0.4 * f64::from(row) / f64::from(rows));
        [x, y, 0.2 * x * (0.6 - x)].map(|value| value as f32)
    };
    let mut triangles = Vec::new();
    for (column, row) in (0..columns).flat_map(|column| (0..rows).map(move |row| (column, row))) {
        let [a, b] = [corner(column, row), corner(column + 1, row)];
        let [c, d] = [corner(column + 1, row + 1), corner(column, row + 1)];
        triangles.extend([[a, c, b], [a, d, c]]);
    }
    binary_stl(&triangles)
}

/// A hose along y, 20 in long and an inch thick, in steps of 0.2 in; and three strays beside the tubes.
fn hose() -> String {
    let around = [[0.5, 0.0], [0.0, 0.5], [-0.5, 0.0], [0.0, -0.5]];
    let mut text = "# a hose, inches (invented)\n".to_owned();
    for step in 0..100 {
        let y = 0.2 * f64::from(step);
        for [x, z] in around {
            text += &format!("{:.3} {y:.3} {z:.3}\n", 2.0 + x);
        }
    }
    text + "8.5 12 -2\n8.5 15 -5\n9 4 -9\n"
}

fn check(name: &str, made: &[u8]) {
    let path = fixture(name);
    if std::env::var_os("HOTSIDE_BLESS").is_some() {
        fs::write(&path, made).unwrap_or_else(|e| panic!("{name}: {e}"));
    }
    let stored = fs::read(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert!(stored == made, "{name} is stale: run the test once with HOTSIDE_BLESS=1");
    assert!(stored.len() < 50_000, "{name} holds {} bytes", stored.len());
}

#[test]
fn the_scans_are_made_to_the_byte() {
    check("bay-wing.stl", &wing());
    check("bay-hose.xyz", hose().as_bytes());
}

#[test]
fn matched_points_put_the_wing_into_the_car() {
    let design = design();
    let file = scan_called(&design, "wing");
    assert_eq!((file.format, file.one_sided, file.placement.scale), (Format::Stl, true, 1000.0));
    assert!(file.residual.is_some_and(|mm| mm > 0.1 && mm < 0.5), "{:?}", file.residual);
    let scan = placed(&design, "wing");
    assert_eq!((scan.points.len(), scan.triangles.len()), (169, 288));
    for point in &scan.points {
        // x = 200 - 1000 u, so the bulge is 0.2 u (0.6 - u) behind y = 400.
        let u = (200.0 - point.x) / 1000.0;
        let behind = point.y - 400.0 - 200.0 * u * (0.6 - u);
        assert!(behind.abs() < 1.5, "{point}");
        assert!(point.x > -401.5 && point.x < 201.5 && point.z > -351.5 && point.z < 51.5, "{point}");
    }
    for [a, b, c] in scan.triangles.iter().map(|t| t.map(|corner| scan.points[corner as usize])) {
        assert!((b - a).cross(c - a).y < 0.0, "its front looks at the header");
    }
}

#[test]
fn a_mirrored_turned_and_moved_cloud_is_where_it_was_measured() {
    let design = design();
    let scan = placed(&design, "hose");
    assert_eq!((scan.points.len(), scan.triangles.len()), (403, 0));
    // (2.5, 0, 0) in: mirrored (2.5, 0, 0), turned (0, 2.5, 0), moved.
    assert!(scan.points[0].distance(DVec3::new(-300.0, 63.5 - 420.0, -100.0)) < 1e-9);
    // (8.5, 12, -2) in: mirrored (8.5, -12, -2), turned (12, 8.5, -2), moved.
    let stray = DVec3::new(12.0 * 25.4 - 300.0, 8.5 * 25.4 - 420.0, -2.0 * 25.4 - 100.0);
    assert!(scan.points[400].distance(stray) < 1e-9);
}
