//! Files that other programs' libraries wrote, read as those libraries read them: tests/reference/scans.py says
//! how (trimesh, plyfile, laspy, pye57 from PyPI).

use std::fs;
use std::path::{Path, PathBuf};

use geom::DVec3;
use scan::{Format, Scan, read};

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/scans");
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e != "csv")).collect();
    files.sort();
    files
}

fn format(path: &Path) -> Format {
    Format::of_ending(path.extension().unwrap().to_str().unwrap()).unwrap()
}

/// What a library read.
#[derive(Default)]
struct Expected {
    triangles: Vec<[DVec3; 3]>,
    points: Vec<DVec3>,
    skipped: u64,
}

fn expected(path: &Path) -> Expected {
    let csv = fs::read_to_string(format!("{}.csv", path.display())).unwrap();
    let mut expected = Expected::default();
    for line in csv.lines() {
        let (kind, values) = line.split_once(',').unwrap();
        let values: Vec<f64> = values.split(',').map(|value| value.parse().unwrap()).collect();
        let point = |k: usize| DVec3::from_slice(&values[3 * k..]);
        match kind {
            "triangle" => expected.triangles.push([point(0), point(1), point(2)]),
            "point" => expected.points.push(point(0)),
            "skipped" => expected.skipped = values[0] as u64,
            _ => panic!("{kind}"),
        }
    }
    expected
}

fn found(scan: &Scan) -> Expected {
    let point = |index: u32| scan.points[index as usize];
    Expected {
        triangles: scan.triangles.iter().map(|corners| corners.map(point)).collect(),
        points: scan.loose.iter().map(|index| point(*index)).collect(),
        skipped: scan.skipped,
    }
}

/// To the last bit; where a pose or angles were worked in, to 1e-12 of a metre.
#[test]
fn what_libraries_wrote_is_read_as_they_read_it() {
    let files = files();
    assert_eq!(files.len(), 26);
    for path in files {
        let name = path.display();
        let scan = read(&fs::read(&path).unwrap(), format(&path)).unwrap_or_else(|e| panic!("{name}: {e}"));
        let (expected, found) = (expected(&path), found(&scan));
        let tolerance = if format(&path) == Format::E57 { 1e-12 } else { 0.0 };
        assert_eq!(found.skipped, expected.skipped, "{name}");
        assert_eq!(found.triangles.len(), expected.triangles.len(), "{name}");
        assert_eq!(found.points.len(), expected.points.len(), "{name}");
        let found = found.triangles.iter().flatten().chain(&found.points);
        let expected = expected.triangles.iter().flatten().chain(&expected.points);
        for (found, expected) in found.zip(expected) {
            assert!(found.distance(*expected) <= tolerance, "{name}: {found} is not {expected}");
        }
    }
}

/// Corners are shared, and the rim is the sheet's and its hole's.
#[test]
fn surfaces_are_one_piece() {
    for path in files() {
        let name = path.file_name().unwrap().to_str().unwrap();
        if !["binary.stl", "text.stl", "mesh.ply", "mesh.obj"].contains(&name) {
            continue;
        }
        let scan = read(&fs::read(&path).unwrap(), format(&path)).unwrap();
        assert_eq!((scan.points.len(), scan.triangles.len()), (25, 30), "{name}");
        let rim = scan.rim();
        assert_eq!(rim.holes.iter().map(|hole| hole.points.len()).collect::<Vec<_>>(), [16, 4], "{name}");
        assert_eq!(rim.crowded, 0, "{name}");
    }
}
