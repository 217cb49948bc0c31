//! The packet's flange drawings in outside readers: ezdxf and trimesh (PyPI), which share no code with hotside.
//! What they check stands at the head of `readers/drawings.py`.

mod hotside;
#[path = "hotside/reader.rs"]
mod reader;

use std::fs;
use std::path::{Path, PathBuf};

use hotside::{fresh, hotside};
use reader::{read, shipped_specs, top};
use serde_json::Value;

/// The fixture with plates in `place`, with some of its text exchanged.
fn spec(place: &Path, changes: &[(&str, &str)]) -> PathBuf {
    let mut text = fs::read_to_string(top().join("tests/fixtures/plates.toml")).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    let path = place.join("plates.toml");
    fs::write(&path, text).unwrap();
    path
}

/// Builds the spec and gives its packet.
fn packet(place: &Path, spec: &Path) -> PathBuf {
    let ran = hotside(place, &["build", spec.to_str().unwrap(), "--out", "packet"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    place.join("packet")
}

fn checked(name: &str, changes: &[(&str, &str)]) -> PathBuf {
    let place = fresh(&format!("drawings-{name}"));
    let packet = packet(&place, &spec(&place, changes));
    let (code, told) = read("drawings.py", &[&packet]);
    assert_eq!(code, Some(0), "{name}: {told}");
    packet
}

const RELIEVED: &str = "parting = \"relieved\"\nneck = 14\nparting_width = 4\n";

#[test]
fn every_plate_is_drawn_as_reported() {
    checked("relieved", &[]);
    checked("one", &[(RELIEVED, "")]);
    let split = checked("split", &[(RELIEVED, "parting = \"split\"\n")]);
    assert!(split.join("flanges/head-1.dxf").is_file() && split.join("flanges/head-2.dxf").is_file());
    checked("flush", &[("setback = 3\n", "fit = \"flush\"\n")]);
    let shapes = "opening = { d = [50, 47], corner = 8 }";
    checked("oval", &[(shapes, "opening = { oval = [50, 46], turn = 20 }")]);
    checked("rectangle", &[(shapes, "opening = { rectangle = [48, 44], corner = 9 }")]);
}

/// A slot of the spec, 4 wide with 12 of travel: a rectangle and two half circles.
#[test]
fn slots_are_in_the_report() {
    let packet = checked("slots", &[]);
    let slots = &plate(&packet, "turbine")["slots"];
    let told = |key: &str| slots[0][key].as_f64().unwrap();
    assert_eq!(slots.as_array().map(Vec::len), Some(1));
    assert_eq!(slots[0]["at"], serde_json::json!([0.0, 36.0]));
    assert_eq!((told("width"), told("travel"), told("angle")), (4.0, 12.0, 0.0));
    assert!((told("area_mm2") - (48.0 + 4.0 * std::f64::consts::PI)).abs() < 1e-3, "{slots}");
    assert!((told("perimeter") - (24.0 + 4.0 * std::f64::consts::PI)).abs() < 1e-3, "{slots}");
    assert_eq!(plate(&packet, "head")["slots"], serde_json::json!([]));
}

/// A flange's plate in a packet's report.
fn plate(packet: &Path, flange: &str) -> Value {
    let report = fs::read_to_string(packet.join("report.json")).unwrap();
    let report: Value = serde_json::from_str(&report).unwrap();
    let rows = report["flanges"].as_array().unwrap();
    rows.iter().find(|row| row["name"] == flange).unwrap()["plate"].clone()
}

#[test]
fn the_plates_of_each_shipped_spec_are_drawn_as_reported() {
    for spec in shipped_specs() {
        let place = fresh(&format!("drawings-{}", spec.file_stem().unwrap().to_str().unwrap()));
        let (code, told) = read("drawings.py", &[&packet(&place, &spec)]);
        assert_eq!(code, Some(0), "{}: {told}", spec.display());
    }
}

/// A drawing that hotside wrote is read back as the shape of an opening and as a plate's outside.
#[test]
fn a_drawing_is_read_back_as_a_shape() {
    let place = fresh("drawings-dxf");
    let first = packet(&place, &spec(&place, &[]));
    fs::copy(first.join("flanges/turbine.dxf"), place.join("turbine.dxf")).unwrap();
    let text = fs::read_to_string(place.join("plates.toml")).unwrap();
    let begin = text.find("outline = [").unwrap();
    let end = text.find("fit = \"on\"").unwrap();
    // The file brings the opening along as a hole, which the plate's own opening then meets.
    let drawn = format!(
        "{}form = {{ dxf = \"turbine.dxf\", layer = \"cut\" }}\nholes = [{{ at = [0, -40], d = 5 }}]\n",
        &text[..begin]
    );
    let again =
        drawn + &text[end..].replace("fit = \"on\"\nopening = { d = [50, 47], corner = 8 }", "fit = \"on\"");
    fs::write(place.join("again.toml"), again).unwrap();
    let ran = hotside(&place, &["check", "again.toml"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("holes-meet") && ran.err.contains("a hole of the DXF"), "{}", ran.err);
}

#[test]
fn a_wrong_area_or_drawing_is_noticed() {
    let place = fresh("drawings-spoilt");
    for (file, from, to) in [
        ("report.json", "\"area_mm2\": 66", "\"area_mm2\": 67"),
        ("flanges/turbine.dxf", " 42\n", " 43\n"),
        ("flanges/turbine.dxf", "$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1"),
        ("flanges/turbine.dxf", " 70\n1\n 43", " 70\n0\n 43"),
        ("flanges/turbine.svg", "id=\"cut\"", "id=\"cuts\""),
    ] {
        let packet = packet(&place, &spec(&place, &[]));
        let path = packet.join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{file} has no {from}");
        fs::write(&path, text.replace(from, to)).unwrap();
        let (code, _) = read("drawings.py", &[&packet]);
        assert_ne!(code, Some(0), "{file}: {from}");
    }
}
