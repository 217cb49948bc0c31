//! The bodies that a header is measured by, against the pieces that are cut: never smaller, and as exact as said.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use clearance::{Kind, Subject, subjects};
use layout::Layout;
use spec::{Source, read_design};
use tube::{End, Shape};

/// Every shipped spec and fixture that lays out.
fn layouts() -> Vec<(PathBuf, Layout)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let folders = ["specs", "tests/fixtures"].map(|folder| root.join(folder));
    let files = folders.iter().flat_map(|f| std::fs::read_dir(f).unwrap()).map(|entry| entry.unwrap().path());
    let is_spec = |p: &PathBuf| {
        let name = p.file_name().unwrap().to_str().unwrap();
        name.ends_with(".toml") && !name.ends_with(".shop.toml")
    };
    let mut files: Vec<PathBuf> = files.filter(is_spec).collect();
    files.sort();
    let lay = |path: PathBuf| {
        let source = |path: &Path| Source {
            name: path.display().to_string(),
            text: std::fs::read_to_string(path).unwrap().into(),
        };
        let folder = path.parent().unwrap();
        let design = read_design(&source(&path), &mut |shop| Ok(source(&folder.join(shop)))).unwrap().0;
        let layout = layout::lay(&design).unwrap_or_else(|fault| panic!("{}: {fault:?}", path.display()));
        (path, layout)
    };
    files.into_iter().map(lay).collect()
}

/// The least distance of a point to a subject's bodies of one piece, mm.
fn off(subject: &Subject, piece: usize, point: geom::DVec3) -> f64 {
    let own = subject.bodies.iter().filter(|body| body.piece == Some(piece));
    own.map(|body| body.solid.to_point(point).distance).fold(f64::INFINITY, f64::min)
}

/// Points all over the outside of every piece lie on its subject's bodies: none is outside of them, and none of
/// those away from fitted ends is inside.
#[test]
fn bodies_are_as_large_as_their_pieces() {
    let mut looked = 0;
    for (path, layout) in layouts() {
        let subjects = subjects(&layout);
        for (index, part) in layout.pieces.iter().enumerate() {
            let owner = subjects.iter().find(|s| s.bodies.iter().any(|body| body.piece == Some(index)));
            let owner = owner.unwrap_or_else(|| panic!("{}: no subject has {}", path.display(), part.mark));
            let piece = &part.piece;
            for clock in (0..12).map(|k| TAU * f64::from(k) / 12.0 + 0.1) {
                let [from, to] = [End::Start, End::End].map(|end| piece.edge(end, clock, 1.0));
                for share in [0.0, 0.02, 0.3, 0.5, 0.77, 0.99, 1.0] {
                    let point = piece.point(from + share * (to - from), clock, 1.0);
                    let off = off(owner, index, point);
                    let what =
                        format!("{}: {} at clock {clock}, share {share}: {off}", path.display(), part.mark);
                    assert!(off.abs() < 1e-6, "{what}");
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 30_000, "{looked}");
}

/// Square and plane ends are where the metal ends: a point just beyond it is beyond the body.
#[test]
fn plain_ends_are_exact() {
    let mut looked = 0;
    for (path, layout) in layouts() {
        let subjects = subjects(&layout);
        for (index, part) in layout.pieces.iter().enumerate() {
            let Some(owner) = subjects.iter().find(|s| s.bodies.iter().any(|body| body.piece == Some(index)))
            else {
                panic!("{}: no subject has {}", path.display(), part.mark)
            };
            for end in [End::Start, End::End] {
                if !matches!(part.piece.cut(end).shape, Shape::Square | Shape::Plane { .. }) {
                    continue;
                }
                for clock in (0..8).map(|k| TAU * f64::from(k) / 8.0) {
                    let edge = part.piece.edge_point(end, clock, 1.0);
                    let out = part.piece.frame_at(part.piece.edge(end, clock, 1.0)).along;
                    let beyond = edge + if end == End::End { out } else { -out } * 0.01;
                    let off = off(owner, index, beyond);
                    assert!(off > 1e-4, "{}: {} at clock {clock}: {off}", path.display(), part.mark);
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 3_000, "{looked}");
}

/// Plates: their corners and the points of their arcs lie in the shell, which is at most a hundredth larger.
#[test]
fn shells_hold_their_plates() {
    let mut looked = 0;
    for (path, layout) in layouts() {
        let subjects = subjects(&layout);
        for plate in &layout.plates {
            let has_plates = |s: &&Subject| matches!(s.kind, Kind::Flange(_) | Kind::Merge(_));
            let own = || subjects.iter().filter(has_plates).filter(|s| s.name == plate.name);
            let shells = || own().flat_map(|s| &s.bodies).filter(|body| body.piece.is_none());
            for loop_point in plate.parts.iter().flat_map(|part| part.outline.outer.points(0.05)) {
                for station in plate.reach {
                    let frame = plate.frame;
                    let point = frame.at
                        + frame.inside * loop_point.x
                        + frame.side() * loop_point.y
                        + frame.along * station;
                    let off =
                        shells().map(|b| b.solid.to_point(point).distance).fold(f64::INFINITY, f64::min);
                    assert!(off < 1e-9, "{}: {} {off}", path.display(), plate.name);
                    looked += 1;
                }
            }
        }
    }
    assert!(looked > 500, "{looked}");
}
