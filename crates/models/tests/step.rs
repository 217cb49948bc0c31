//! STEP solids: closed, their edges on both surfaces, the same bytes twice.

use models::step::{StepGroup, StepModel, StepSettings, StepSolid, solid, step};

use fixture::{holed_pieces, pieces};
use tube::Piece;

#[path = "../../solids/tests/fixture/mod.rs"]
mod fixture;

fn all_pieces() -> Vec<(String, Piece)> {
    pieces().into_iter().chain(holed_pieces()).collect()
}

#[test]
fn every_piece_is_closed_and_its_edges_lie_on_both_surfaces() {
    let mut faults = Vec::new();
    for (name, piece) in all_pieces() {
        match solid(&piece, StepSettings::default()) {
            Ok(brep) => {
                let off = brep.deviation(33);
                println!("{name}: {} faces, {} edges, {off:.1e} mm", brep.faces.len(), brep.edges.len());
                if off > 1e-6 {
                    faults.push(format!("{name}: edges leave their surfaces by {off:e} mm"));
                }
            }
            Err(fault) => faults.push(format!("{name}: {fault:?}")),
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn the_same_model_gives_the_same_bytes() {
    let solids = all_pieces().into_iter().filter_map(|(name, piece)| {
        Some(StepSolid { name, brep: solid(&piece, StepSettings::default()).ok()? })
    });
    let groups = vec![StepGroup { name: "all".to_owned(), solids: solids.collect() }];
    let model = StepModel { name: "pieces".to_owned(), groups };
    let bytes = step(&model);
    if let Ok(folder) = std::env::var("SCRATCH") {
        std::fs::write(format!("{folder}/pieces.step"), &bytes).unwrap();
    }
    assert_eq!(bytes, step(&model));
    assert!(bytes.starts_with(b"ISO-10303-21;"));
}
