//! The raw tube of a drawn piece holds the finished one, whatever its ends are cut to.

use layout::layout::Make;
use spec::Source;
use tube::End;

const SPEC: &str = r#"
title = "A mitred tail pipe (invented)"
units = "mm"
shop = "shop"
[tube.t]
od = 45
wall = 1.2
alloy = "304"
[port.p]
at = [0, 0, 0]
along = [1, 0, 0]
[run.tail]
from = "p"
to = "open"
tube = "t"
inside = [0, 0, 1]
path = [{ straight = 120 }, { bend = 60, radius = 70 }, { straight = 150 }]
start_cut = { angle = 30, roll = 0 }
end_cut = { angle = 60, roll = 90 }
"#;

const SHOP: &str = r#"
name = "Invented"
units = "mm"
[die.d]
od = 45
clr = 70
largest = 180
grip = 60
tail = 45
trim = 5
longest = 3000
springback = 2
stretch = 1.5
reference = "start"
"#;

#[test]
fn cuts_across_the_ends_lengthen_the_raw_tube_and_move_its_marks() {
    let source = Source::from_bytes("spec", SPEC.as_bytes()).unwrap_or_else(|d| panic!("{d}"));
    let mut shop = |_: &str| Source::from_bytes("shop", SHOP.as_bytes()).map_err(|d| d.to_string());
    let (design, _) = spec::read_design(&source, &mut shop).unwrap_or_else(|d| panic!("{d:?}"));
    let layout = layout::lay(&design).unwrap_or_else(|f| panic!("{f:?}"));
    let part = &layout.pieces[0];
    let Make::Drawn(drawing) = &part.make else { panic!("not drawn") };
    // Long points: 22.5 tan 30 ahead of the start, 22.5 tan 60 beyond the end.
    let (ahead, beyond) = (12.990_381, 38.971_143);
    let net = 120.0 + 70.0 * 60_f64.to_radians() + 150.0 + ahead + beyond;
    assert!((part.piece.length() - net).abs() < 1e-5, "{}", part.piece.length());
    assert!((drawing.raw_length - (net + 5.0 + 5.0 - 1.0)).abs() < 1e-5, "{}", drawing.raw_length);
    assert!((drawing.marks[0].begin - (5.0 + ahead + 120.0)).abs() < 1e-5);
    assert_eq!(part.piece.extremes(End::Start, 1.0).longest.1, 0.0);
}
