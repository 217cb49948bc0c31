//! Where the seam of welded tube lies: near the neutral axis of the bends (common practice, no source).

use std::f64::consts::{FRAC_PI_2, PI};

use geom::angle::{from_degrees, to_degrees};
use geom::unit::Units;
use hotside_tests::{lay, root};
use layout::Layout;
use layout::layout::Make;
use spec::{Source, read_design};

fn laid(seam: &str, rows: &str) -> Layout {
    let text = format!(
        "title = \"A test (invented)\"\nunits = \"mm\"\n[tube.t]\nod = 45\nwall = 1.6\nalloy = \"304\"\n{seam}\n\
         [port.p]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n[run.r]\nfrom = \"p\"\nto = \"open\"\ntube = \"t\"\nradius = 70\n\
         inside = [0, 0, 1]\npath = [{rows}]\n"
    );
    let source = Source::from_bytes("test", text.as_bytes()).unwrap();
    let (design, _) =
        read_design(&source, &mut |_| Err("none".into())).unwrap_or_else(|d| panic!("{}", d[0]));
    layout::lay(&design).unwrap_or_else(|f| panic!("{f:?}"))
}

const THREE: &str = "{ straight = 90 }, { bend = 50 }, { straight = 90 }, { bend = 40, rotate = 60 }, \
                     { straight = 90 }, { bend = 30, rotate = 60 }, { straight = 90 }";

#[test]
fn a_single_bend_has_its_seam_square_to_its_plane() {
    let layout = laid("", "{ straight = 90 }, { bend = 50 }, { straight = 90 }");
    let seam = layout.weld_seams[0].unwrap();
    assert!((seam.clock - FRAC_PI_2).abs() < 1e-9 && (seam.clear - FRAC_PI_2).abs() < 1e-9);
    assert!(layout.findings.iter().all(|f| f.code != "seam-near-bend"));
}

#[test]
fn three_planes_leave_thirty_degrees_and_a_note() {
    let layout = laid("", THREE);
    let seam = layout.weld_seams[0].unwrap();
    assert!((to_degrees(seam.clock) - 30.0).abs() < 1e-9 && (to_degrees(seam.clear) - 30.0).abs() < 1e-9);
    let note = layout.findings.iter().find(|f| f.code == "seam-near-bend").unwrap();
    assert_eq!((note.value.unwrap().round(), note.level), (30.0, spec::Level::Note));
}

#[test]
fn seamless_tube_has_none() {
    let layout = laid("seam = \"none\"", THREE);
    assert!(layout.weld_seams[0].is_none() && layout.findings.iter().all(|f| f.code != "seam-near-bend"));
}

/// A leg's seam lies on the side away from the merge's axis; a stick's pieces share one line.
#[test]
fn legs_and_sticks() {
    let (_, layout) = lay(&root().join("tests/fixtures/segmented.toml")).unwrap();
    for merge in &layout.merges {
        for leg in &merge.legs {
            let piece = &layout.pieces[leg.piece].piece;
            let out = piece.frame_at(0.0).outward(layout.weld_seams[leg.piece].unwrap().clock);
            assert!(out.dot(merge.frame.outward(leg.azimuth)) > 0.9, "not on the outside");
        }
    }
    for stick in layout.sticks() {
        let first = layout.weld_seams[stick[0]].unwrap();
        for (i, &piece) in stick.iter().enumerate() {
            assert_eq!(layout.pieces[piece].make, Make::Segment);
            let seam = layout.weld_seams[piece].unwrap();
            let apart = geom::angle::wrap_signed(seam.clock + PI * i as f64 - first.clock);
            assert!(apart.abs() < 1e-9 && seam.clear >= from_degrees(45.0) - 1e-9);
        }
    }
}

#[test]
fn the_words_say_left_and_right() {
    let words = |degrees: f64| sheets::figure::seam_words(Units::Millimetre, from_degrees(degrees), 40.0);
    assert_eq!(words(90.0), "31.4\u{a0}mm to the right of it");
    assert_eq!(words(270.0), "31.4\u{a0}mm to the left of it");
    assert_eq!(words(180.0), "opposite it, 62.8\u{a0}mm round");
    assert_eq!(words(0.0), "on it");
}
