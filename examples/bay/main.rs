//! The synthetic scans of engine bays that the demo specs name: `cargo run --example bay`.
//!
//! Without a word it writes the five small scans into `specs/`. `bay quarry-eight 2000000 [stl|ply|points|xyz]`
//! writes the same surfaces with about so many triangles or points into `out/bays/`. All bays are invented; the
//! same bytes come out on every machine.

mod bays;
mod patch;
mod random;
mod scene;

use std::error::Error;
use std::path::{Path, PathBuf};

use scene::{Format, Scene};

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words[..] {
        [] => {
            for scene in bays::all() {
                write(&Path::new("specs").join(file_name(&scene)), &small(&scene))?;
            }
        }
        [spec, count] => large(spec, count, "stl")?,
        [spec, count, format] => large(spec, count, format)?,
        _ => return Err("bay [SPEC COUNT [stl|ply|points|xyz]]".into()),
    }
    Ok(())
}

/// The scan that stands beside a spec.
fn small(scene: &Scene) -> Vec<u8> {
    scene.format.bytes(&scene.surface(scene.spacing))
}

fn file_name(scene: &Scene) -> String {
    format!("{}.bay.{}", scene.spec, scene.format.ending())
}

fn large(spec: &str, count: &str, format: &str) -> Result<(), Box<dyn Error>> {
    let scenes = bays::all();
    let scene = scenes.iter().find(|scene| scene.spec == spec).ok_or("no bay has that name")?;
    let wanted: u32 = count.parse()?;
    let format = match format {
        "stl" => Format::Stl,
        "ply" => Format::Ply,
        "points" => Format::PlyPoints,
        "xyz" => Format::Xyz,
        _ => return Err("the format is stl, ply, points or xyz".into()),
    };
    let size = match wanted {
        n if n % 1_000_000 == 0 => format!("{}M", n / 1_000_000),
        n if n % 1000 == 0 => format!("{}k", n / 1000),
        n => n.to_string(),
    };
    let path = PathBuf::from("out/bays").join(format!("{spec}-{size}.{}", format.ending()));
    std::fs::create_dir_all("out/bays")?;
    write(&path, &format.bytes(&scene.surface(scene.spacing_for(format, wanted.into()))))
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), Box<dyn Error>> {
    std::fs::write(path, bytes)?;
    println!("{}: {} bytes", path.display(), bytes.len());
    Ok(())
}

#[test]
fn the_small_scans_are_remade_to_the_byte() {
    let specs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../specs");
    let scenes = bays::all();
    assert_eq!(scenes.len(), 5);
    for scene in scenes {
        let path = specs.join(file_name(&scene));
        let stands = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert!(stands.len() <= 300_000, "{} has {} bytes", path.display(), stands.len());
        assert!(stands == small(&scene), "{}: `cargo run --example bay` makes other bytes", path.display());
    }
}

#[test]
fn a_large_scan_has_about_as_many_triangles_as_asked() {
    for scene in bays::all() {
        let surface = scene.surface(scene.spacing_for(Format::Stl, 200_000.0));
        let count = surface.triangles.len() as f64;
        assert!((count / 200_000.0 - 1.0).abs() < 0.12, "{}: {count}", scene.spec);
    }
}
