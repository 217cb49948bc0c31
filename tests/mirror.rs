//! The twin's two sides are mirror images: every rotate and every clock changes sign, nothing else.

use geom::angle::wrap_signed;
use hotside_tests::{lay, root};
use layout::layout::Part;
use tube::End;

#[test]
fn the_twins_sides_mirror_each_other() {
    let (_, layout) = lay(&root().join("specs/shed-twin.toml")).unwrap_or_else(|e| panic!("{e}"));
    let part = |mark: &str| {
        let found = layout.pieces.iter().position(|p| p.mark == mark);
        found.unwrap_or_else(|| panic!("no piece {mark}"))
    };
    for (left, right) in [("left-1", "right-1"), ("collector-L1", "collector-L2")] {
        mirrored(&layout.pieces[part(left)], &layout.pieces[part(right)]);
    }
    let clock = |a: &str, b: &str| {
        let joint = layout.joints.iter().find(|j| j.a == part(a) && j.b == part(b));
        joint.map_or_else(|| panic!("no joint {a} {b}"), |j| (j.clock_a, j.clock_b, j.weld_length))
    };
    let (left, right) = (clock("left-1", "collector-L1"), clock("right-1", "collector-L2"));
    assert!(wrap_signed(left.0 + right.0).abs() < 1e-9, "{left:?} {right:?}");
    assert!(left.0.abs() > 0.01, "a clock of 0 proves nothing");
    assert_eq!(left.2, right.2);
}

fn mirrored(left: &Part, right: &Part) {
    let (a, b) = (left.piece.rows(), right.piece.rows());
    assert_eq!(a.rows.len(), b.rows.len());
    for (p, q) in a.rows.iter().zip(&b.rows) {
        assert!((p.feed - q.feed).abs() < 1e-9 && (p.bend - q.bend).abs() < 1e-12);
        assert!(wrap_signed(p.rotate + q.rotate).abs() < 1e-9, "{} {}", p.rotate, q.rotate);
    }
    assert!((a.tail - b.tail).abs() < 1e-9);
    for end in [End::Start, End::End] {
        for step in 0..24 {
            let clock = f64::from(step) * 0.25;
            for depth in [0.0, 0.5, 1.0] {
                let (p, q) = (left.piece.edge(end, clock, depth), right.piece.edge(end, -clock, depth));
                assert!((p - q).abs() < 1e-9, "{} at {clock}: {p} {q}", left.mark);
            }
        }
    }
    assert!((left.piece.volume() - right.piece.volume()).abs() < 1e-6 * left.piece.volume());
}
