//! Every bad spec of tests/bad (faults in reading), tests/bad/layout (faults that only laying out finds) and
//! tests/bad/scans (faults of the scans that a spec names), through the command: exit code 2, nothing on stdout, and on stderr what the `.stderr` file
//! beside it says. `HOTSIDE_BLESS=1` writes those files anew.

mod hotside;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{difference, fresh, hotside};
use serde_json::Value;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad")
}

/// Each bad spec's folder and file name.
fn specs() -> Vec<(PathBuf, String)> {
    let mut specs = Vec::new();
    for (folder, least) in [(folder(), 30), (folder().join("layout"), 17), (folder().join("scans"), 6)] {
        let names =
            fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<String> = names.filter(|name| name.ends_with(".toml")).collect();
        names.sort();
        assert!(names.len() >= least, "{}", folder.display());
        specs.extend(names.into_iter().map(|name| (folder.clone(), name)));
    }
    specs
}

#[test]
fn each_bad_spec_is_shown_with_its_token() {
    let mut wrong = String::new();
    for (folder, spec) in specs() {
        let ran = hotside(&folder, &["check", &spec]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{spec}: {}", ran.err);
        wrong += &difference(&spec, &folder.join(&spec).with_extension("stderr"), &ran.err);
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn each_bad_spec_is_told_to_machines() {
    for (folder, spec) in specs() {
        let ran = hotside(&folder, &["check", &spec, "--format", "json"]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{spec}");
        let told: Value = serde_json::from_str(&ran.err).unwrap_or_else(|error| panic!("{spec}: {error}"));
        let rows = told.as_array().unwrap();
        assert!(!rows.is_empty(), "{spec}");
        for row in rows {
            let keys: Vec<&str> = row.as_object().unwrap().keys().map(String::as_str).collect();
            assert_eq!(keys, ["code", "message", "help", "file", "line", "column", "token"], "{spec}");
            assert!(!row["message"].as_str().unwrap().is_empty(), "{spec}");
            assert!(row["line"].as_u64().unwrap() >= 1, "{spec}");
        }
    }
}

#[test]
fn a_bad_spec_builds_nothing() {
    let place = fresh("bad-build");
    let spec = folder().join("bad-angle.toml");
    let ran = hotside(&place, &["build", spec.to_str().unwrap()]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert_eq!(fs::read_dir(&place).unwrap().count(), 0);
}

/// A file of 3 GiB that takes no room on the disk.
#[test]
fn a_scan_beyond_the_limit_is_refused_unread() {
    let place = fresh("bad-large-scan");
    fs::copy(folder().join("scans/missing.toml"), place.join("spec.toml")).unwrap();
    fs::File::create(place.join("no-such.stl")).unwrap().set_len(3 << 30).unwrap();
    let ran = hotside(&place, &["check", "spec.toml"]);
    fs::remove_file(place.join("no-such.stl")).unwrap();
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("scan-too-large") && ran.err.contains("2147483648"), "{}", ran.err);
}

/// A link that leads back to itself: the path is at fault, of a scan and of the spec itself.
#[cfg(unix)]
#[test]
fn a_link_to_itself_is_told_as_a_wrong_path() {
    use std::os::unix::fs::symlink;
    let place = fresh("bad-link");
    fs::copy(folder().join("scans/missing.toml"), place.join("spec.toml")).unwrap();
    symlink("there", place.join("no-such.stl")).unwrap();
    symlink("no-such.stl", place.join("there")).unwrap();
    symlink("loop.toml", place.join("loop.toml")).unwrap();
    for (spec, help) in
        [("spec.toml", "write its path from this file's folder"), ("loop.toml", "hotside new FILE")]
    {
        let ran = hotside(&place, &["check", spec]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{spec}: {}", ran.err);
        assert!(ran.err.contains("it is a link that leads back to itself"), "{spec}: {}", ran.err);
        assert!(ran.err.contains(help), "{spec}: {}", ran.err);
    }
}

/// Each damaged scan of crate `scan`'s tests, named by a spec: the token is marked, the file's fault is told as the
/// reader words it with the way to mend it, and there is no packet.
#[test]
fn each_bad_scan_is_told_with_the_token_of_the_spec() {
    let scans = Path::new(env!("CARGO_MANIFEST_DIR")).join("../scan/tests/bad");
    let place = fresh("bad-scans");
    let text = fs::read_to_string(folder().join("scans/missing.toml")).unwrap();
    let names = fs::read_dir(&scans).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let names: Vec<String> = names.filter(|name| !name.ends_with(".expected")).collect();
    assert!(names.len() >= 80, "only {} bad scans", names.len());
    for name in names {
        fs::copy(scans.join(&name), place.join(&name)).unwrap();
        fs::write(place.join("spec.toml"), text.replace("no-such.stl", &name)).unwrap();
        let ran = hotside(&place, &["build", "spec.toml", "--out", "packet", "--format", "json"]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{name}: {}", ran.err);
        assert!(!place.join("packet").exists(), "{name}");
        let told: Value = serde_json::from_str(&ran.err).unwrap_or_else(|error| panic!("{name}: {error}"));
        let [fault] = &told.as_array().unwrap()[..] else { panic!("{name}: {told}") };
        let expected = fs::read_to_string(scans.join(format!("{name}.expected"))).unwrap();
        let (head, help) = expected.split_once("\n  ").unwrap();
        let (place, message) = head.split_once(": ").unwrap();
        let (code, place) = place.split_once(", ").unwrap();
        let place = if place == "the file" { String::new() } else { format!(", {place}") };
        assert_eq!(fault["code"], code, "{name}");
        assert_eq!(fault["message"], format!("{name}{place}: {message}"), "{name}");
        assert_eq!(fault["help"], help.trim_end(), "{name}");
        assert_eq!(
            (fault["token"].as_str(), fault["line"].as_u64()),
            (Some(&*format!("\"{name}\"")), Some(22)),
            "{name}"
        );
    }
}

#[test]
fn ten_megabytes_are_refused() {
    let place = fresh("bad-large");
    fs::write(place.join("large.toml"), vec![b'#'; 10 << 20]).unwrap();
    let ran = hotside(&place, &["check", "large.toml"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("too-large") && ran.err.contains("large.toml"), "{}", ran.err);
}
