//! Fitment models in outside readers (PyPI's trimesh, manifold3d, lib3mf, libigl), which share no code with hotside. What
//! they check stands at the head of `readers/fitment.py`.

mod hotside;
#[path = "hotside/reader.rs"]
mod reader;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{fresh, hotside};
use reader::{read, shipped_specs};
use serde_json::Value;

/// The model of a spec, in a folder of that name.
fn printed(place: &Path, spec: &Path, variant: &str) -> PathBuf {
    let folder = place.join(format!("{}-{variant}", spec.file_stem().unwrap().to_str().unwrap()));
    let told = folder.to_str().unwrap();
    let ran = hotside(place, &["fitment", spec.to_str().unwrap(), "--variant", variant, "--out", told]);
    assert_eq!(ran.code, 0, "{}: {}{}", spec.display(), ran.out, ran.err);
    folder
}

fn shipped(name: &str) -> PathBuf {
    let is_it = |spec: &PathBuf| spec.file_stem().is_some_and(|stem| stem == name);
    shipped_specs().into_iter().find(is_it).unwrap()
}

#[test]
fn every_shipped_spec_goes_together_and_is_the_header() {
    let place = fresh("printed-shipped");
    let folders: Vec<PathBuf> = shipped_specs().iter().map(|spec| printed(&place, spec, "solid")).collect();
    let (code, told) = read("fitment.py", &folders.iter().map(PathBuf::as_path).collect::<Vec<_>>());
    assert_eq!(code, Some(0), "{told}");
}

#[test]
fn shells_and_skeletons_are_solids_that_go_together() {
    let place = fresh("printed-variants");
    let folders = ["shell", "skeleton"].map(|variant| printed(&place, &shipped("hill-five"), variant));
    let (code, told) = read("fitment.py", &folders.each_ref().map(PathBuf::as_path));
    assert_eq!(code, Some(0), "{told}");
}

/// A model whose numbers were changed by as little as a print would show is refused.
#[test]
fn spoilt_numbers_are_found() {
    let place = fresh("printed-spoilt");
    let folder = printed(&place, &shipped("shed-twin"), "solid");
    let report = folder.join("fitment.json");
    let whole: Value = serde_json::from_slice(&fs::read(&report).unwrap()).unwrap();
    let spoilt = [
        ("/joints/0/gap", 0.05, "mm apart"),
        ("/joints/0/radius", 1.0, "a spigot of"),
        ("/parts/0/to_header/by/0", 0.01, "put back it is off"),
        ("/parts/0/plain_volume_mm3", 500.0, "unaccounted"),
        ("/printer/apart", 60.0, "mm apart"),
        ("/parts/3/put_in/0", -2.0, "in the way"),
    ];
    for (place, by, words) in spoilt {
        let mut spoilt = whole.clone();
        let number = spoilt.pointer_mut(place).unwrap();
        *number = Value::from(number.as_f64().unwrap() + by);
        fs::write(&report, spoilt.to_string()).unwrap();
        let (code, told) = read("fitment.py", &[&folder]);
        assert!(code == Some(1) && told.contains(words), "{place}: {told}");
    }
}
