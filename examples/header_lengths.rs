//! The lengths of a header's runs: `cargo run --example header_lengths [SPEC]`.

use std::error::Error;
use std::path::Path;

use spec::Source;

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).unwrap_or_else(|| "specs/shed-twin.toml".into());
    for (name, length) in lengths(Path::new(&file))? {
        println!("{name:12} {length:8.1} mm");
    }
    Ok(())
}

fn lengths(path: &Path) -> Result<Vec<(String, f64)>, Box<dyn Error>> {
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    let source = read(path)?;
    let (design, _) = spec::read_design(&source, &mut |name| read(&folder.join(name)))
        .map_err(|d| d.iter().map(|d| format!("{d}\n")).collect::<String>())?;
    let layout = layout::lay(&design).map_err(|faults| format!("{faults:?}"))?;
    Ok(layout.runs.iter().map(|r| (r.name.clone(), r.measured_length())).collect())
}

fn read(path: &Path) -> Result<Source, String> {
    let bytes = std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    Source::from_bytes(&path.display().to_string(), &bytes).map_err(|d| d.to_string())
}

#[test]
fn the_twins_primaries_are_720_mm() {
    let spec = Path::new(env!("CARGO_MANIFEST_DIR")).join("../specs/shed-twin.toml");
    let lengths = lengths(&spec).unwrap_or_else(|e| panic!("{e}"));
    for (name, length) in &lengths[..2] {
        assert!((length - 720.0).abs() < 0.1, "{name} {length}");
    }
}
