//! Only the CAD of a header, a STEP file and an STL file a piece: `cargo run --example header_models [SPEC [FOLDER]]`.

use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;

use models::step::{StepGroup, StepModel, StepSettings, StepSolid, solid, step};
use solids::{MeshSettings, part_mesh};
use spec::Source;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let spec = arguments.next().unwrap_or_else(|| "specs/shed-twin.toml".into());
    let folder = arguments.next().unwrap_or_else(|| "out".into());
    for (name, bytes) in files(Path::new(&spec))? {
        std::fs::write(Path::new(&folder).join(name), bytes)?;
    }
    Ok(())
}

/// `header.step` and `<mark>.stl` of every piece.
fn files(path: &Path) -> Result<BTreeMap<String, Vec<u8>>, Box<dyn Error>> {
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    let source = read(path)?;
    let (design, _) = spec::read_design(&source, &mut |name| read(&folder.join(name)))
        .map_err(|d| d.iter().map(|d| format!("{d}\n")).collect::<String>())?;
    let layout = layout::lay(&design).map_err(|faults| format!("{faults:?}"))?;
    let (mut files, mut solids) = (BTreeMap::new(), Vec::new());
    for part in &layout.pieces {
        let mesh = part_mesh(&part.piece, MeshSettings::default()).map_err(|e| format!("{e:?}"))?;
        let stl = models::stl(&mesh).map_err(|e| format!("{e:?}"))?;
        files.insert(format!("{}.stl", part.mark), stl);
        let brep = solid(&part.piece, StepSettings::default()).map_err(|e| e.to_string())?;
        solids.push(StepSolid { name: part.mark.clone(), brep });
    }
    let groups = vec![StepGroup { name: "pieces".to_owned(), solids }];
    files.insert("header.step".to_owned(), step(&StepModel { name: design.name, groups }));
    Ok(files)
}

fn read(path: &Path) -> Result<Source, String> {
    let bytes = std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    Source::from_bytes(&path.display().to_string(), &bytes).map_err(|d| d.to_string())
}

#[test]
fn every_piece_of_the_twin_is_a_solid() {
    let spec = Path::new(env!("CARGO_MANIFEST_DIR")).join("../specs/shed-twin.toml");
    let files = files(&spec).unwrap_or_else(|e| panic!("{e}"));
    let step = String::from_utf8_lossy(&files["header.step"]);
    assert!(files.len() > 3);
    assert_eq!(step.matches("MANIFOLD_SOLID_BREP(").count(), files.len() - 1);
}
