//! Fitment models in outside readers (PyPI's trimesh, manifold3d, lib3mf, libigl), which share no code with hotside. What
//! they check stands at the heads of `readers/fitment.py` and `readers/cube.py`.

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
    let made = |name: &str| ["shell", "skeleton"].map(|variant| printed(&place, &shipped(name), variant));
    let folders = ["hill-five", "shed-twin"].map(made).concat();
    let (code, told) = read("fitment.py", &folders.iter().map(PathBuf::as_path).collect::<Vec<_>>());
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
        ("/parts/0/figures/out/0", -9.0, "looks down"),
        ("/parts/0/datum/at/2", 1.0, "from its surface"),
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

/// What a shop does once for each printer: print the cube, measure it, write that into the shop file, print the header.
#[test]
fn a_printer_that_is_off_prints_true_once_its_cube_is_measured() {
    let place = fresh("printed-true");
    let from = shipped("shed-twin").parent().unwrap().to_owned();
    for file in ["shed-twin.toml", "shed-twin.bay.stl", "shed.shop.toml"] {
        fs::copy(from.join(file), place.join(file)).unwrap();
    }
    let (spec, shop) = (place.join("shed-twin.toml"), place.join("shed.shop.toml"));
    let folder = printed(&place, &spec, "solid");
    // How many times as large this printer makes things in x, y and z.
    let told_of = |way: &str| {
        let arguments = [way, folder.to_str().unwrap(), "0.99713", "0.99924", "1.00377"];
        read("cube.py", &arguments.map(Path::new))
    };
    let (code, told) = told_of("true");
    assert!(code == Some(1) && told.contains("P1: "), "it is off before: {told}");
    let (code, measured) = told_of("measured");
    assert_eq!((code, measured.as_str()), (Some(0), "cube = [49.86, 49.96, 50.19]\n"));
    let text = fs::read_to_string(&shop).unwrap();
    fs::write(&shop, text.replace("[printer]\n", &format!("[printer]\n{measured}"))).unwrap();
    assert_eq!(printed(&place, &spec, "solid"), folder);
    let (code, told) = told_of("true");
    assert_eq!(code, Some(0), "{told}");
    assert_eq!(told_of("measured").1, measured, "the cube itself is never scaled");
    let (code, told) = read("cube.py", &[Path::new("fit"), &folder]);
    assert_eq!(code, Some(0), "{told}");
}
