//! The packet's meshes in an outside reader: trimesh (PyPI), which shares no code with hotside.
//! What it checks stands at the head of `readers/meshes.py`.

mod hotside;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use hotside::{fresh, hotside};

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// The Python with the outside readers: `HOTSIDE_PYTHON`, else the one that `tests/all.sh` makes.
fn python() -> PathBuf {
    let python =
        std::env::var_os("HOTSIDE_PYTHON").map_or_else(|| top().join("out/venv/bin/python"), PathBuf::from);
    assert!(python.exists(), "{} is not there: run `bash tests/all.sh`, which makes it", python.display());
    python
}

/// Builds `spec` in `place` and has its meshes checked.
fn check(place: &Path, spec: &str) {
    let ran = hotside(place, &["build", spec, "--out", "packet"]);
    assert_eq!(ran.code, 0, "{spec}: {}{}", ran.out, ran.err);
    let mut command = Command::new(python());
    let read = command.arg(top().join("tests/readers/meshes.py")).arg(place.join("packet")).output().unwrap();
    let told = String::from_utf8_lossy(&read.stdout).into_owned() + &String::from_utf8_lossy(&read.stderr);
    assert!(read.status.success(), "{spec}: {told}");
}

#[test]
fn the_pieces_of_each_starter_are_solids_of_the_reported_volume() {
    for layout in ["twin", "tri", "four"] {
        let place = fresh(&format!("meshes-{layout}"));
        hotside(&place, &["new", "mine.toml", "--layout", layout]);
        check(&place, "mine.toml");
    }
}

#[test]
fn the_pieces_of_each_shipped_spec_are_solids_of_the_reported_volume() {
    let specs = fs::read_dir(top().join("specs")).unwrap().map(|entry| entry.unwrap().path());
    let is_spec = |path: &PathBuf| {
        let name = path.file_name().unwrap().to_str().unwrap();
        name.ends_with(".toml") && !name.ends_with(".shop.toml")
    };
    let specs: Vec<PathBuf> = specs.filter(is_spec).collect();
    assert!(!specs.is_empty());
    for spec in specs {
        let place = fresh(&format!("meshes-{}", spec.file_stem().unwrap().to_str().unwrap()));
        check(&place, spec.to_str().unwrap());
    }
}
