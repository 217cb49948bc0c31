//! `hotside fitment`: a folder of its own, whole or not at all; the same with what is kept between runs; and headers that
//! cannot be printed (tests/bad/fitment), each with its token and the millimetres missing. `HOTSIDE_BLESS=1` writes their
//! `.stderr` files anew.

mod hotside;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use hotside::{difference, fresh, hotside, hotside_keeping};
use serde_json::Value;

/// Every file under a folder.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.insert(path.clone(), fs::read(&path).unwrap());
        }
    }
    found
}

fn starter(name: &str) -> PathBuf {
    let place = fresh(name);
    assert_eq!(hotside(&place, &["new", "mine.toml"]).code, 0);
    place
}

#[test]
fn a_starter_becomes_a_folder_of_its_own() {
    let place = starter("fitment-starter");
    let ran = hotside(&place, &["fitment", "mine.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("part") && ran.out.contains("if printed full"), "{}", ran.out);
    let folder = place.join("out/mine-fitment");
    let told: Value = serde_json::from_slice(&fs::read(folder.join("fitment.json")).unwrap()).unwrap();
    assert_eq!((&told["format"], &told["variant"]), (&Value::from(1), &Value::from("solid")));
    let parts = told["parts"].as_array().unwrap();
    assert!(!parts.is_empty() && told["printer"]["stated"] == false);
    for part in parts {
        assert!(folder.join(part["file"].as_str().unwrap()).is_file());
        let plate = &told["plates"][part["plate"].as_u64().unwrap() as usize - 1];
        assert!(plate["holds"].as_array().unwrap().contains(&part["mark"]));
        assert!(part["volume_mm3"].as_f64().unwrap() > 0.0);
    }
    let lists = ["plates", "collar_plates"].iter().flat_map(|list| told[list].as_array().unwrap());
    for file in lists.flat_map(|plate| plate["files"].as_array().unwrap()) {
        assert!(folder.join(file.as_str().unwrap()).is_file(), "{file}");
    }
    for file in ["fitment.pdf", "whole.stl", "test/cube.3mf", "test/cube.stl"] {
        assert!(folder.join(file).is_file(), "{file}");
    }
    assert!(!place.join("out/mine").exists(), "a packet is made by build alone");
}

#[test]
fn what_is_kept_gives_the_same_bytes_and_damage_is_mended() {
    let place = starter("fitment-kept");
    let cache = place.join("cache");
    let made = |out: &str, cache: &str| {
        let ran = hotside_keeping(&place, &["fitment", "mine.toml", "--out", out], cache);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let folder = place.join(out);
        let named = files(&folder).into_iter();
        named
            .map(|(path, bytes)| (path.strip_prefix(&folder).unwrap().to_owned(), bytes))
            .collect::<BTreeMap<_, _>>()
    };
    let without = made("without", "off");
    assert!(made("first", cache.to_str().unwrap()) == without);
    let kept = files(&cache);
    assert!(!kept.is_empty(), "something is kept");
    for (path, bytes) in &kept {
        let mut bytes = bytes.clone();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 16;
        fs::write(path, bytes).unwrap();
    }
    assert!(made("second", cache.to_str().unwrap()) == without);
    assert!(files(&cache) == kept, "what was damaged is kept anew");
}

#[test]
fn a_folder_that_is_not_ours_is_left_as_it_is() {
    let place = starter("fitment-foreign");
    fs::create_dir(place.join("mine-own")).unwrap();
    fs::write(place.join("mine-own/notes.txt"), "mine").unwrap();
    let ran = hotside(&place, &["fitment", "mine.toml", "--out", "mine-own"]);
    assert_eq!((ran.code, ran.out.as_str()), (3, ""), "{}", ran.err);
    assert_eq!(files(&place.join("mine-own")).len(), 1);
    // That is told before anything is computed: of what cannot be printed too.
    let bad = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad/fitment/flange.toml");
    assert_eq!(hotside(&place, &["fitment", bad.to_str().unwrap(), "--out", "mine-own"]).code, 3);
}

#[test]
fn machines_get_json_on_both_streams() {
    let place = starter("fitment-json");
    let ran = hotside(&place, &["fitment", "mine.toml", "--variant", "shell", "--format", "json"]);
    let (out, err): (Value, Value) =
        (serde_json::from_str(&ran.out).unwrap(), serde_json::from_str(&ran.err).unwrap());
    assert_eq!((ran.code, &out["released"]), (0, &Value::from(true)));
    assert!(out["files"].as_array().unwrap().len() > 6 && err.is_array());
}

#[test]
fn what_cannot_be_printed_is_told_with_what_is_missing() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad/fitment");
    let place = fresh("fitment-bad");
    let mut wrong = String::new();
    let entries = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
    let mut specs: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e == "toml")).collect();
    specs.sort();
    assert!(specs.len() > 5, "{specs:?}");
    for path in &specs {
        let spec = path.file_stem().unwrap().to_str().unwrap();
        let text = fs::read_to_string(path).unwrap();
        // A comment of its own says which variant it cannot be printed in.
        let variant = text.lines().find_map(|line| line.strip_prefix("# variant: ")).unwrap_or("solid");
        let out = place.join(spec);
        let arguments =
            ["fitment", &format!("{spec}.toml"), "--variant", variant, "--out", out.to_str().unwrap()];
        let ran = hotside(&folder, &arguments);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{spec}: {}", ran.err);
        assert!(!out.exists(), "{spec}");
        wrong += &difference(spec, &path.with_extension("stderr"), &ran.err);
    }
    assert!(wrong.is_empty(), "{wrong}");
}
