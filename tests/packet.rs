//! A packet appears whole or not at all, and only what hotside wrote is ever replaced.

mod hotside;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use hotside::{fresh, hotside};

/// A fresh folder with a starter spec and its packet.
fn built(name: &str) -> (PathBuf, PathBuf) {
    let place = fresh(name);
    hotside(&place, &["new", "mine.toml"]);
    let ran = hotside(&place, &["build", "mine.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    (place.clone(), place.join("out/mine"))
}

/// Every file under `folder` with its bytes.
fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.insert(path.strip_prefix(folder).unwrap().to_owned(), fs::read(&path).unwrap());
            }
        }
    }
    files
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn the_same_spec_gives_the_same_bytes() {
    let (place, packet) = built("same-bytes");
    let first = contents(&packet);
    assert_eq!(hotside(&place, &["build", "mine.toml"]).code, 0);
    assert_eq!(contents(&packet), first);
    assert_eq!(hotside(&place, &["build", "mine.toml", "--out", "elsewhere"]).code, 0);
    assert_eq!(contents(&place.join("elsewhere")), first);
    assert_eq!(names(&place.join("out")), ["mine"]);
}

#[test]
fn the_manifest_lists_every_file() {
    let (_, packet) = built("manifest");
    let manifest = fs::read_to_string(packet.join(".hotside-manifest")).unwrap();
    let listed: Vec<PathBuf> = manifest.lines().map(PathBuf::from).collect();
    let found: Vec<PathBuf> = contents(&packet).into_keys().collect();
    let mut sorted = listed.clone();
    sorted.sort();
    assert_eq!(sorted, found);
}

#[test]
fn foreign_files_are_kept_and_stale_ones_of_ours_go() {
    let (place, packet) = built("foreign");
    fs::create_dir_all(packet.join("photos/day one")).unwrap();
    fs::create_dir(packet.join("empty")).unwrap();
    for file in ["note.txt", "sheets/mine.csv", "photos/day one/a.jpg"] {
        fs::write(packet.join(file), file).unwrap();
    }
    fs::write(packet.join("sheets/stale.csv"), "stale").unwrap();
    let manifest = fs::read_to_string(packet.join(".hotside-manifest")).unwrap();
    fs::write(packet.join(".hotside-manifest"), manifest + "sheets/stale.csv\n").unwrap();
    assert_eq!(hotside(&place, &["build", "mine.toml"]).code, 0);
    for file in ["note.txt", "sheets/mine.csv", "photos/day one/a.jpg"] {
        assert_eq!(fs::read_to_string(packet.join(file)).unwrap(), file);
    }
    assert!(packet.join("empty").is_dir() && !packet.join("sheets/stale.csv").exists());
}

#[test]
fn a_foreign_file_in_the_way_is_refused() {
    let (place, packet) = built("in-the-way");
    let manifest = fs::read_to_string(packet.join(".hotside-manifest")).unwrap();
    fs::write(packet.join(".hotside-manifest"), manifest.replace("report.json\n", "")).unwrap();
    let before = contents(&packet);
    let ran = hotside(&place, &["build", "mine.toml"]);
    assert_eq!((ran.code, ran.out.as_str()), (3, ""));
    assert!(ran.err.contains("report.json"), "{}", ran.err);
    assert_eq!((contents(&packet), names(&place.join("out"))), (before, vec!["mine".to_owned()]));
}

#[test]
fn a_folder_that_is_not_ours_is_refused() {
    let place = fresh("not-ours");
    hotside(&place, &["new", "mine.toml"]);
    fs::create_dir(place.join("taken")).unwrap();
    fs::write(place.join("taken/a.txt"), "a").unwrap();
    fs::write(place.join("file"), "b").unwrap();
    for target in ["taken", "file", "file/below", "/"] {
        let ran = hotside(&place, &["build", "mine.toml", "--out", target]);
        assert_eq!((ran.code, ran.out.as_str()), (3, ""), "{target}: {}", ran.err);
        assert!(ran.err.starts_with("error: "), "{}", ran.err);
    }
    assert_eq!(names(&place), ["file", "mine.toml", "taken"]);
    assert_eq!(names(&place.join("taken")), ["a.txt"]);
    fs::create_dir(place.join("empty")).unwrap();
    assert_eq!(hotside(&place, &["build", "mine.toml", "--out", "empty"]).code, 0);
}

#[test]
fn what_a_killed_build_left_is_removed() {
    let (place, packet) = built("killed");
    let left = place.join("out/.hotside-part.mine.4000000");
    fs::create_dir(&left).unwrap();
    fs::write(left.join(".hotside-manifest"), ".hotside-manifest\n").unwrap();
    let foreign = place.join("out/.hotside-part.mine.4000001");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("a.txt"), "a").unwrap();
    let held = place.join("out/.hotside-part.mine.4000002");
    fs::create_dir(&held).unwrap();
    let lock = fs::File::open(&held).unwrap();
    lock.lock().unwrap();
    let before = contents(&packet);
    assert_eq!(hotside(&place, &["build", "mine.toml"]).code, 0);
    assert_eq!(contents(&packet), before);
    assert!(!left.exists(), "ours, and no build holds it");
    assert!(foreign.exists(), "not ours");
    assert!(held.exists(), "a build holds it");
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_3() {
    use std::os::unix::fs::PermissionsExt;
    let place = fresh("read-only");
    hotside(&place, &["new", "mine.toml"]);
    let parent = place.join("shut");
    fs::create_dir(&parent).unwrap();
    fs::set_permissions(&parent, fs::Permissions::from_mode(0o555)).unwrap();
    let shut = fs::write(parent.join("probe"), "").is_err();
    let ran = hotside(&place, &["build", "mine.toml", "--out", "shut/packet"]);
    fs::set_permissions(&parent, fs::Permissions::from_mode(0o755)).unwrap();
    // Root writes where it likes: there the folder is not shut, and the packet is made.
    assert_eq!(ran.code, if shut { 3 } else { 0 }, "{}", ran.err);
    assert!(!shut || ran.err.contains("shut"), "{}", ran.err);
}
