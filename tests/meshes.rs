//! The packet's meshes in an outside reader: trimesh (PyPI), which shares no code with hotside.

mod hotside;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use hotside::{fresh, hotside};
use serde_json::Value;

/// The chord error that meshes are made with, mm.
const CHORD: f64 = 0.05;

/// What trimesh says of one file.
struct Told {
    watertight: bool,
    bodies: usize,
    volume: f64,
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The Python with the outside readers: `HOTSIDE_PYTHON`, else the one that `tests/all.sh` makes.
fn python() -> PathBuf {
    let python =
        std::env::var_os("HOTSIDE_PYTHON").map_or_else(|| top().join("out/venv/bin/python"), PathBuf::from);
    assert!(python.exists(), "{} is not there: run `bash tests/all.sh`, which makes it", python.display());
    python
}

fn read(files: &[PathBuf]) -> Vec<Told> {
    let output = Command::new(python()).arg(top().join("tests/read_stl.py")).args(files).output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let told = |line: &str| {
        let fields: Vec<&str> = line.split('\t').collect();
        Told {
            watertight: fields[1] == "True",
            bodies: fields[2].parse().unwrap(),
            volume: fields[3].parse().unwrap(),
        }
    };
    text.lines().map(told).collect()
}

/// Outside area and bore area of a piece of tube, at most: both as if the bore were as wide as the
/// outside, mm2.
fn surface(piece: &Value) -> f64 {
    let number = |key: &str| piece[key].as_f64().unwrap();
    2.0 * std::f64::consts::PI
        * number("od").max(piece["end_od"].as_f64().unwrap_or(0.0))
        * number("cut_length")
}

#[test]
fn each_piece_is_watertight_and_holds_the_reported_volume() {
    for layout in ["twin", "tri", "four"] {
        let place = fresh(&format!("meshes-{layout}"));
        hotside(&place, &["new", "mine.toml", "--layout", layout]);
        assert_eq!(hotside(&place, &["build", "mine.toml"]).code, 0);
        let packet = place.join("out/mine");
        let report: Value = serde_json::from_slice(&fs::read(packet.join("report.json")).unwrap()).unwrap();
        let pieces = report["pieces"].as_array().unwrap();
        let file =
            |piece: &Value| packet.join(format!("models/pieces/{}.stl", piece["mark"].as_str().unwrap()));
        let told = read(&pieces.iter().map(file).collect::<Vec<_>>());
        assert_eq!(told.len(), pieces.len());
        let mut sum = 0.0;
        for (piece, told) in pieces.iter().zip(told) {
            let (mark, volume) = (&piece["mark"], piece["volume_mm3"].as_f64().unwrap());
            assert!(told.watertight && told.bodies == 1, "{layout}: {mark}");
            let allowed = surface(piece) * CHORD;
            assert!((told.volume - volume).abs() < allowed, "{layout}: {mark}: {} for {volume}", told.volume);
            sum += told.volume;
        }
        let header = &read(&[packet.join("models/header.stl")])[0];
        assert!((header.volume - sum).abs() < 1e-3 * sum, "{layout}: {} for {sum}", header.volume);
    }
}
