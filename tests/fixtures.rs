//! Odd but valid specs of tests/fixtures: each lays out without a failure, closes, and meshes soundly.

use std::path::PathBuf;

use hotside_tests::{assert_lays_out, lay, root};
use solids::{MeshSettings, part_mesh};

/// Chord error asked of the meshes, mm.
const CHORD: f64 = 0.05;

fn fixtures() -> Vec<PathBuf> {
    let entries = std::fs::read_dir(root().join("tests/fixtures")).unwrap().map(|e| e.unwrap().path());
    let mut files: Vec<PathBuf> = entries.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.sort();
    assert!(files.len() >= 20, "{files:?}");
    files
}

#[test]
fn every_fixture_lays_out_and_closes() {
    for path in fixtures() {
        assert_lays_out(&path);
    }
}

#[test]
fn every_piece_of_a_fixture_is_a_sound_solid() {
    for path in fixtures() {
        let (_, layout) = lay(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for part in &layout.pieces {
            let place = format!("{}: {}", path.display(), part.mark);
            let mesh = part_mesh(&part.piece, MeshSettings { chord: CHORD })
                .unwrap_or_else(|fault| panic!("{place}: {fault:?}"));
            mesh.check().unwrap_or_else(|fault| panic!("{place}: {fault:?}"));
            let off = (mesh.volume() - part.piece.volume()).abs();
            assert!(off <= mesh.area() * CHORD, "{place}: volume off by {off} mm3");
        }
    }
}
