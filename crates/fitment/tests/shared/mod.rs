//! Lines, profiles and what is asked of every mesh.
#![allow(dead_code, missing_docs, reason = "each test file uses its share")]

use std::path::{Path, PathBuf};

use fitment::{Profile, Sweep, Tip};
use geom::{DMat3, DVec3, Frame};
use layout::Layout;
use solids::Mesh;
use spec::{Design, Source, read_design};
use tube::{Centreline, Row, Rows};

/// A line of bends: feed, rotate, bend, radius.
pub fn line(rows: &[[f64; 4]], tail: f64) -> Centreline {
    let start = Frame::new(DVec3::new(310.0, -120.0, 95.0), DVec3::new(1.0, 0.4, -0.3), DVec3::Z).unwrap();
    let rows = rows.iter().map(|r| Row { feed: r[0], rotate: r[1], bend: r[2], radius: r[3] }).collect();
    Centreline::from_rows(start, &Rows { rows, tail })
}

pub fn profile(points: &[(f64, f64)]) -> Profile {
    Profile { points: points.to_vec() }
}

pub fn plain<'a>(line: &'a Centreline, outside: &'a Profile, tips: [Tip; 2]) -> Sweep<'a> {
    Sweep {
        line,
        outside,
        from: 0.0,
        to: line.length(),
        tips,
        hollows: Vec::new(),
        wheels: Vec::new(),
        chord: 0.02,
    }
}

/// That it is a solid, and stays one when its points are rounded to single precision as they are, turned or not: no
/// two points become one.
pub fn solid(mesh: &Mesh) {
    mesh.check().unwrap();
    for turn in [DMat3::IDENTITY, turned(0.7, -2.0), turned(2.3, 0.4), turned(-1.1, 1.2)] {
        let single = |x: f64| f64::from(x as f32);
        let round = |p: &DVec3| {
            let p = turn * *p;
            DVec3::new(single(p.x), single(p.y), single(p.z))
        };
        let points: Vec<DVec3> = mesh.points.iter().map(round).collect();
        let mut keys: Vec<[u64; 3]> = points.iter().map(|p| p.to_array().map(f64::to_bits)).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), points.len(), "points fall together");
        Mesh { points, triangles: mesh.triangles.clone() }.check().unwrap();
    }
}

/// A rotation.
pub fn turned(about: f64, tilt: f64) -> DMat3 {
    DMat3::from_rotation_z(about) * DMat3::from_rotation_x(tilt)
}

/// Every shipped spec and every fixture laid out, by name.
pub fn layouts() -> Vec<(String, Layout)> {
    designs().into_iter().map(|(name, _, layout)| (name, layout)).collect()
}

/// Every shipped spec and every fixture, with its design.
pub fn designs() -> Vec<(String, Design, Layout)> {
    designs_in(&["specs", "tests/fixtures"])
}

/// Every spec in these folders of the repository, by path, with its design.
pub fn designs_in(folders: &[&str]) -> Vec<(String, Design, Layout)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut paths: Vec<PathBuf> = Vec::new();
    for folder in folders {
        let files = std::fs::read_dir(root.join(folder)).unwrap().map(|file| file.unwrap().path());
        paths.extend(files.filter(|path| {
            let name = path.to_string_lossy();
            name.ends_with(".toml") && !name.ends_with(".shop.toml")
        }));
    }
    paths.sort();
    let laid = paths.into_iter().map(|path| {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let source =
            |path: &Path| Source::from_bytes(&path.to_string_lossy(), &std::fs::read(path).unwrap()).unwrap();
        let folder = path.parent().unwrap().to_path_buf();
        let (design, _) = read_design(&source(&path), &mut |file| Ok(source(&folder.join(file)))).unwrap();
        let layout = layout::lay(&design).unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
        (name, design, layout)
    });
    laid.collect()
}
