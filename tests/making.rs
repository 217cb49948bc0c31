//! How runs become pieces: where drawn tubes are split, and which stock bends assembled ones use.

use layout::Layout;
use layout::layout::{Make, Part};
use spec::{Design, Level, Source};

/// A spec of one run, `path` from a port to an open end, made by a shop with `stock`.
fn lay(making: &str, path: &str, stock: &str) -> (Design, Layout) {
    let spec = format!(
        "title = \"One run (invented)\"\nunits = \"mm\"\nshop = \"shop\"\nmaking = \"{making}\"\n\
         [tube.t]\nod = 45\nwall = 1.2\nalloy = \"304\"\n\
         [port.p]\nat = [0, 0, 0]\nalong = [1, 0, 0]\n\
         [run.r]\nfrom = \"p\"\nto = \"open\"\ntube = \"t\"\nradius = 70\ninside = [0, 0, 1]\npath = [{path}]\n"
    );
    let shop = format!("name = \"Invented\"\nunits = \"mm\"\nleast_piece = 20\n{stock}");
    let source = Source::from_bytes("spec", spec.as_bytes()).unwrap_or_else(|d| panic!("{d}"));
    let mut load = |_: &str| Source::from_bytes("shop", shop.as_bytes()).map_err(|d| d.to_string());
    let (design, _) = spec::read_design(&source, &mut load).unwrap_or_else(|d| panic!("{d:?}"));
    let layout = layout::lay(&design).unwrap_or_else(|f| panic!("{f:?}"));
    (design, layout)
}

fn die(name: &str, clr: f64, longest: f64) -> String {
    format!(
        "[die.{name}]\nod = 45\nclr = {clr}\nlargest = 120\ngrip = 60\ntail = 45\ntrim = 5\nlongest = {longest}\n\
         springback = 2\nstretch = 1\nreference = \"start\"\n"
    )
}

fn bend(name: &str, angle: f64) -> String {
    format!(
        "[bend.{name}]\nod = 45\nwall = 1.2\nalloy = \"304\"\nclr = 70\nangle = {angle}\nlegs = [100, 60]\n"
    )
}

/// Stations on the run at which its pieces end.
fn ends(layout: &Layout) -> Vec<f64> {
    let mut at = 0.0;
    let length = |part: &Part| part.piece.length();
    layout
        .pieces
        .iter()
        .map(|p| {
            at += length(p);
            (at * 10.0).round() / 10.0
        })
        .collect()
}

fn stock_of(design: &Design, part: &Part) -> Option<String> {
    match &part.make {
        Make::Bought(cutting) => cutting.stock.map(|s| design.shop.bends[s].name.clone()),
        _ => None,
    }
}

const TWO_BENDS: &str = "{ straight = 100 }, { bend = 90 }, { straight = 300 }, { bend = 45, rotate = 30 }, \
                         { straight = 120 }";

#[test]
fn a_tube_that_fits_the_bender_stays_whole() {
    let (_, layout) = lay("drawn", TWO_BENDS, &die("a", 70.0, 3000.0));
    assert_eq!(layout.pieces.len(), 1);
}

#[test]
fn a_tube_too_long_is_split_once_in_the_middle_of_its_longest_straight() {
    let (_, layout) = lay("drawn", TWO_BENDS, &die("a", 70.0, 500.0));
    let arc = 70.0 * std::f64::consts::FRAC_PI_2;
    assert_eq!(ends(&layout)[0], ((100.0 + arc + 150.0) * 10.0_f64).round() / 10.0);
    assert_eq!(layout.pieces.len(), 2);
    assert!(layout.findings.iter().all(|f| f.code != "tube-too-long"));
}

#[test]
fn a_straight_too_short_to_grip_and_a_change_of_radius_force_a_split() {
    let short = "{ straight = 100 }, { bend = 60 }, { straight = 40 }, { bend = 60 }, { straight = 120 }";
    let (_, layout) = lay("drawn", short, &die("a", 70.0, 3000.0));
    assert_eq!(layout.pieces.len(), 2);
    let Make::Drawn(second) = &layout.pieces[1].make else { panic!("not drawn") };
    // 20 mm are left of the straight; the end that goes in first lacks nothing, the other needs 45.
    assert!((second.trims[0] - (45.0 - 20.0 + 5.0)).abs() < 1e-9, "{:?}", second.trims);
    let radii = "{ straight = 100 }, { bend = 60 }, { straight = 200 }, { bend = 60, radius = 90 }, \
                 { straight = 120 }";
    let dies = die("a", 70.0, 3000.0) + &die("b", 90.0, 3000.0);
    assert_eq!(lay("drawn", radii, &dies).1.pieces.len(), 2);
}

#[test]
fn each_bend_is_cut_from_the_stock_that_wastes_least() {
    let stock = bend("quarter", 90.0) + &bend("eighth", 45.0);
    let path = "{ straight = 50 }, { bend = 40 }, { straight = 70 }, { bend = 80 }, { straight = 50 }";
    let (design, layout) = lay("assembled", path, &stock);
    let used: Vec<String> = layout.pieces.iter().filter_map(|p| stock_of(&design, p)).collect();
    assert_eq!(used, ["eighth", "quarter"]);
    assert!(layout.findings.iter().all(|f| f.level != Level::Failure), "{:?}", layout.findings);
    for part in &layout.pieces {
        if let Make::Bought(cutting) = &part.make {
            assert!(cutting.waste >= 0.0 && cutting.legs.iter().all(|l| *l <= 100.0), "{cutting:?}");
        }
    }
}

#[test]
fn a_bend_larger_than_any_stock_is_joined_inside_the_arc() {
    let path = "{ straight = 50 }, { bend = 180 }, { straight = 50 }";
    let (design, layout) = lay("assembled", path, &bend("quarter", 90.0));
    let bends: Vec<String> = layout.pieces.iter().filter_map(|p| stock_of(&design, p)).collect();
    assert_eq!(bends, ["quarter", "quarter"]);
    let total: f64 = layout.pieces.iter().map(|p| p.piece.length()).sum();
    assert!((total - layout.runs[0].length()).abs() < 1e-9);
}
