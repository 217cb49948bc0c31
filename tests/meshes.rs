//! The packet's meshes in an outside reader: trimesh (PyPI), which shares no code with hotside.
//! What it checks stands at the head of `readers/meshes.py`.

mod hotside;
#[path = "hotside/reader.rs"]
mod reader;

use std::path::Path;

use hotside::{fresh, hotside};
use reader::{read, shipped_specs};

/// Builds `spec` in `place` and has its meshes checked.
fn check(place: &Path, spec: &str) {
    let ran = hotside(place, &["build", spec, "--out", "packet"]);
    assert_eq!(ran.code, 0, "{spec}: {}{}", ran.out, ran.err);
    let (code, told) = read("meshes.py", &[&place.join("packet")]);
    assert_eq!(code, Some(0), "{spec}: {told}");
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
    for spec in shipped_specs() {
        let place = fresh(&format!("meshes-{}", spec.file_stem().unwrap().to_str().unwrap()));
        check(&place, spec.to_str().unwrap());
    }
}
