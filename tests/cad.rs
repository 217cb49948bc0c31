//! The packet's `header.step` in an outside kernel, OCCT (PyPI's cadquery-ocp), and its `header.3mf` in the
//! 3MF Consortium's lib3mf (PyPI), which share no code with hotside. What they check stands at the heads of
//! `readers/step.py` and `readers/threemf.py`.

mod hotside;
#[path = "hotside/reader.rs"]
mod reader;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{fresh, hotside};
use reader::{read, shipped_specs, top};

/// The packets of specs, built in a fresh place of that name.
fn packets(name: &str, specs: &[PathBuf]) -> Vec<PathBuf> {
    let place = fresh(name);
    let packet = |spec: &PathBuf| {
        let packet = place.join(spec.file_stem().unwrap());
        let told = packet.to_str().unwrap();
        let ran = hotside(&place, &["build", spec.to_str().unwrap(), "--out", told]);
        assert_eq!(ran.code, 0, "{}: {}{}", spec.display(), ran.out, ran.err);
        packet
    };
    specs.iter().map(packet).collect()
}

/// Has all packets read in one process: loading the kernel takes longer than reading a header.
fn check(name: &str, specs: &[PathBuf]) {
    let packets = packets(name, specs);
    let arguments: Vec<&Path> = packets.iter().map(PathBuf::as_path).collect();
    for reader in ["step.py", "threemf.py"] {
        let (code, told) = read(reader, &arguments);
        assert_eq!(code, Some(0), "{told}");
    }
    for (again, packet) in self::packets(&format!("{name}-again"), specs).iter().zip(&packets) {
        for file in ["models/header.step", "models/header.3mf"] {
            let bytes = |packet: &PathBuf| fs::read(packet.join(file)).unwrap();
            assert!(
                bytes(again) == bytes(packet),
                "{} differs in a second build",
                packet.join(file).display()
            );
        }
    }
}

#[test]
fn every_shipped_spec_gives_valid_solids_of_the_reported_volume() {
    check("step-shipped", &shipped_specs());
}

#[test]
fn every_fixture_gives_valid_solids_of_the_reported_volume() {
    let files = fs::read_dir(top().join("tests/fixtures")).unwrap().map(|entry| entry.unwrap().path());
    let is_spec = |path: &PathBuf| {
        let name = path.file_name().unwrap().to_str().unwrap();
        name.ends_with(".toml") && !name.ends_with(".shop.toml")
    };
    let mut specs: Vec<PathBuf> = files.filter(is_spec).collect();
    specs.sort();
    assert!(specs.len() >= 20, "only {} fixtures", specs.len());
    check("step-fixtures", &specs);
}

#[test]
fn spoilt_files_are_refused() {
    let spec = top().join("specs/shed-twin.toml");
    let packet = packets("step-spoilt", &[spec]).remove(0);
    let file = packet.join("models/header.step");
    let whole = fs::read_to_string(&file).unwrap();
    let spoilt = [
        ("a smaller tube", whole.replacen(",22.5);", ",22.4);", 1)),
        ("a lost face", whole.replacen("CLOSED_SHELL('',(", "CLOSED_SHELL('',(#999999,", 1)),
        ("another name", whole.replace("'left-1'", "'left-9'")),
        ("cut short", whole[..whole.len() / 2].to_owned()),
    ];
    for (what, text) in spoilt {
        assert_ne!(text, whole, "{what}");
        fs::write(&file, text).unwrap();
        let (code, told) = read("step.py", &[&packet]);
        assert_eq!(code, Some(1), "{what}: {told}");
    }

    let file = packet.join("models/header.3mf");
    let whole = fs::read(&file).unwrap();
    fs::write(&file, &whole[..whole.len() - 200]).unwrap();
    let (code, told) = read("threemf.py", &[&packet]);
    assert_eq!(code, Some(1), "3MF cut short: {told}");
}
