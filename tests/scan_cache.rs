//! Scans kept between runs: the same answers with and without, and nothing damaged is trusted.

#[allow(dead_code)]
mod hotside;
#[path = "hotside/stl.rs"]
mod stl;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use hotside::{fresh, hotside_keeping};
use stl::binary_stl;

const SPEC: &str = r#"title = "A kept scan (invented)"
units = "mm"

[tube.primary]
od = 45
wall = 1.2
alloy = "304"

[port.a]
at = [0, 0, 90]
along = [1, 0, 0]

[run.a]
from = "a"
to = "open"
tube = "primary"
radius = 70
inside = [0, 0.3, 1]
path = [{ straight = 60 }, { bend = 70 }, { straight = 50 }]

[obstacle.floor]
file = "floor.stl"
units = "mm"
place = "as scanned"
class = "fixed"
"#;

/// A wavy floor of 46,208 triangles with a hole, and a speck below the tube: a binary STL of 2.3 MB.
fn floor(height: f32) -> Vec<u8> {
    let at = |i: u32, j: u32| {
        let (x, y) = (3.0 * i as f32 - 100.0, 3.0 * j as f32 - 220.0);
        [x, y, height + 6.0 * ((i % 13) as f32 / 13.0 - 0.5) * ((j % 7) as f32 / 7.0 - 0.5)]
    };
    let cells = (0..152).flat_map(|j| (0..152).map(move |i| (i, j)));
    let seen = cells.filter(|(i, j)| !(60..64).contains(i) || !(90..92).contains(j));
    let mut triangles: Vec<[[f32; 3]; 3]> = seen
        .flat_map(|(i, j)| {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect();
    triangles.push([[30.0, 0.0, 62.0], [31.0, 0.0, 62.0], [30.0, 1.0, 62.0]]);
    binary_stl(&triangles)
}

/// The report that a spec gives with `cache`.
fn report(place: &Path, spec: &str, cache: &str) -> String {
    fs::write(place.join("spec.toml"), spec).unwrap();
    let ran = hotside_keeping(place, &["build", "spec.toml", "--out", "packet"], cache);
    assert!(ran.code < 2, "{}{}", ran.out, ran.err);
    fs::read_to_string(place.join("packet/report.json")).unwrap() + &ran.err
}

fn kept(cache: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(cache).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

fn modified(path: &Path) -> SystemTime {
    fs::metadata(path).unwrap().modified().unwrap()
}

/// A fresh place with the scan, and the cache's folder in it.
fn place(name: &str) -> (PathBuf, PathBuf) {
    let place = fresh(name);
    fs::write(place.join("floor.stl"), floor(0.0)).unwrap();
    let cache = place.join("cache");
    (place, cache)
}

#[test]
fn a_kept_scan_gives_the_same_report() {
    let (place, cache) = place("kept-scan");
    let cache_name = cache.to_str().unwrap();
    let filtered = SPEC.to_owned() + "isolated = { within = 5, least = 3 }\n";
    let moved = SPEC.replace("\"as scanned\"", "{ mirror = \"y\", move = [0, 0, 7] }");
    for (count, spec) in [SPEC, &filtered, &moved].into_iter().enumerate() {
        let without = report(&place, spec, "off");
        assert_eq!(cache.exists(), count > 0, "switched off it keeps nothing");
        assert_eq!(without.contains("left-out"), spec == filtered, "the speck is left out, and told");
        assert_eq!(report(&place, spec, cache_name), without);
        let files = kept(&cache);
        assert_eq!(files.len(), count + 1, "each placement and filter is kept by itself: {files:?}");
        // A second name for the same file: remade, it would no longer be the same.
        let other = place.join("other");
        let newest = files.iter().max_by_key(|path| modified(path)).unwrap();
        fs::hard_link(newest, &other).unwrap();
        fs::File::options().append(true).open(&other).unwrap().set_modified(SystemTime::UNIX_EPOCH).unwrap();
        assert_eq!(report(&place, spec, cache_name), without);
        assert!(modified(&other) > SystemTime::UNIX_EPOCH, "it was used, and says so");
        fs::remove_file(other).unwrap();
    }
    fs::write(place.join("floor.stl"), floor(1.0)).unwrap();
    assert_eq!(report(&place, SPEC, cache_name), report(&place, SPEC, "off"));
    assert_eq!(kept(&cache).len(), 4, "another content is another scan");
}

#[test]
fn a_damaged_scan_is_made_anew() {
    let (place, cache) = place("kept-damaged");
    let cache = (cache.as_path(), cache.to_str().unwrap());
    let without = report(&place, SPEC, cache.1);
    let [file] = &kept(cache.0)[..] else { panic!("{:?}", kept(cache.0)) };
    let whole = fs::read(file).unwrap();
    let flipped = |at: usize| {
        let mut bytes = whole.clone();
        bytes[at] ^= 16;
        bytes
    };
    let mut damaged: Vec<Vec<u8>> = [0, 20, 40, 50, 58, 90, 130, 180, whole.len() - 1].map(flipped).to_vec();
    damaged.extend((1..12).map(|k| flipped(k * whole.len() / 12)));
    damaged.extend([0, 17, 60, whole.len() / 2, whole.len() - 1].map(|length| whole[..length].to_vec()));
    damaged.push([&whole[..], &[0]].concat());
    for (number, bytes) in damaged.into_iter().enumerate() {
        fs::write(file, &bytes).unwrap();
        assert!(report(&place, SPEC, cache.1) == without, "damage {number} shows");
        assert!(fs::read(file).unwrap() == whole, "damage {number} is not mended");
    }
    // A sound file of another placement under this one's name.
    report(&place, &SPEC.replace("\"as scanned\"", "{ move = [0, 0, 7] }"), cache.1);
    let other = kept(cache.0).into_iter().find(|path| path != file).unwrap();
    fs::copy(other, file).unwrap();
    assert!(report(&place, SPEC, cache.1) == without);
    assert!(fs::read(file).unwrap() == whole);
}

#[test]
fn where_nothing_can_be_kept_nothing_changes() {
    let (place, cache) = place("kept-nowhere");
    fs::write(&cache, "a file where the folder should be").unwrap();
    let without = report(&place, SPEC, "off");
    assert_eq!(report(&place, SPEC, cache.to_str().unwrap()), without);
    assert_eq!(report(&place, SPEC, "relative"), without);
    assert!(!place.join("relative").exists());
}
