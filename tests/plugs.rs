//! Plugs in the void between a merge's legs: that they fit, drop in, and close what they say.

use std::fs;
use std::path::Path;

use geom::DVec3;
use layout::layout::Merge;
use layout::{Fault, FlangePlate, Layout, Plug, lay};
use spec::{Design, Source, read_design};

const FOUR: &str = "plug = { thickness = 2, alloy = \"321\" }\n";
const SIX: &str = "plug = { thickness = 1.5, alloy = \"321\", depth = 12, clearance = 0.1 }\n";

/// The fixture with plugs, with `changes` made to its text.
fn design(changes: &[[&str; 2]]) -> Design {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/plug.toml");
    let mut text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    for [from, to] in changes {
        assert!(text.contains(from), "no `{from}`");
        text = text.replace(from, to);
    }
    let source = Source::from_bytes("plug.toml", text.as_bytes()).unwrap_or_else(|f| panic!("{f}"));
    let read = read_design(&source, &mut |path| Err(format!("{path} was asked for")));
    read.unwrap_or_else(|faults| panic!("{}", faults[0])).0
}

fn laid(changes: &[[&str; 2]]) -> Layout {
    lay(&design(changes)).unwrap_or_else(|faults| panic!("{}", faults[0].message))
}

fn refused(changes: &[[&str; 2]]) -> Fault {
    let mut faults = lay(&design(changes)).expect_err("it was laid out");
    assert_eq!(faults.len(), 1);
    faults.remove(0)
}

/// Every merge that has a plug, with the plug's plate.
fn plugs(layout: &Layout) -> Vec<(&Merge, Plug, &FlangePlate)> {
    let of = |(index, merge)| Some((merge, Merge::clone(merge).plug?, layout.plug_plate(index)?));
    layout.merges.iter().enumerate().filter_map(of).collect()
}

/// Points of the plug's edge in space, `back` mm upstream of its downstream face.
fn edge(plate: &FlangePlate, back: f64) -> Vec<DVec3> {
    let frame = plate.frame.advanced(plate.reach[1] - back);
    let edges = plate.parts[0].outline.outer.edges.iter();
    let points = edges.flat_map(|edge| (0..100).map(|k| edge.point(f64::from(k) / 100.0)));
    points.map(|p| frame.at + frame.inside * p.x + frame.side() * p.y).collect()
}

/// How far a point is outside of the nearest leg: its distance from the line through the leg's inlet, less
/// the tube's radius.
fn off_legs(layout: &Layout, merge: &Merge, point: DVec3) -> f64 {
    let off = |leg: &layout::layout::Leg| {
        let from = point - leg.inlet.at;
        from.cross(leg.inlet.along).length() - 0.5 * layout.pieces[leg.piece].piece.od()
    };
    merge.legs.iter().map(off).fold(f64::INFINITY, f64::min)
}

fn least_and_largest(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| [a.min(v), b.max(v)])
}

#[test]
fn its_edge_stays_off_the_legs_by_what_is_told() {
    for changes in [[FOUR, FOUR], [FOUR, "plug = { thickness = 9.5, alloy = \"304\", depth = 20 }\n"]] {
        let layout = laid(&[changes]);
        let plugs = plugs(&layout);
        assert_eq!(plugs.len(), 2);
        for (merge, plug, plate) in plugs {
            let off = |back| edge(plate, back).into_iter().map(|point| off_legs(&layout, merge, point));
            let [least, most] = least_and_largest(off(0.0));
            assert!(least > 0.0, "{}: {least}", merge.name);
            // Its arcs are within 0.005 mm of the void's section.
            assert!((least - plug.gap[0]).abs() < 0.0051 && (most - plug.gap[0]).abs() < 0.0051);
            let [nearer, largest] = least_and_largest(off(plate.thickness()));
            assert!(nearer > least, "{}: {nearer}", merge.name);
            assert!((largest - plug.gap[1]).abs() < 0.0051, "{}: {largest} {plug:?}", merge.name);
        }
    }
}

#[test]
fn it_drops_in_from_upstream_and_comes_to_rest_where_it_says() {
    let layout = laid(&[]);
    for (merge, plug, plate) in plugs(&layout) {
        let clear = |back: f64| {
            let off = edge(plate, back).into_iter().map(|point| off_legs(&layout, merge, point));
            least_and_largest(off)[0]
        };
        let (mut back, mut before) = (0.0, clear(0.0));
        while back < plug.inside {
            back += 2.0;
            let now = clear(back);
            assert!(now > before, "{}: {back} mm back it is {now} off the legs", merge.name);
            before = now;
        }
        let rests = clear(-plug.play);
        assert!(rests.abs() < 0.006, "{}: {rests} off the legs at rest", merge.name);
    }
}

/// The outline's area, against that of the points at least the clearance outside of all legs: rays from the
/// axis, each followed by bisection.
#[test]
fn its_area_is_that_of_the_void_less_the_clearance() {
    let layout = laid(&[]);
    for (merge, plug, plate) in plugs(&layout) {
        let frame = plate.frame.advanced(plate.reach[1]);
        let (rays, mut area) = (20_000, 0.0);
        let step = std::f64::consts::TAU / f64::from(rays);
        for k in 0..rays {
            let outward = frame.outward((f64::from(k) + 0.5) * step);
            let (mut low, mut high) = (0.0, plug.corner + 1.0);
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                let free = off_legs(&layout, merge, frame.at + outward * middle) > plug.gap[0];
                if free { low = middle } else { high = middle }
            }
            area += 0.5 * low * low * step;
        }
        let outline = &plate.parts[0].outline;
        let off = (outline.area() - area).abs();
        assert!(off < 0.005 * outline.perimeter(), "{}: {} and {area}", merge.name, outline.area());
    }
}

#[test]
fn totals_hold_it() {
    let (with, without) = (laid(&[]), laid(&[[FOUR, ""], [SIX, ""]]));
    let plates: Vec<&FlangePlate> = plugs(&with).into_iter().map(|(_, _, plate)| plate).collect();
    assert!(without.plates.is_empty() && plates.len() == 2);
    // 7.92 g/cm3 is the density of 321 in the alloys' table, whose source stands there.
    let mass: f64 = plates.iter().map(|p| p.parts[0].outline.area() * p.thickness() * 7.92e-6).sum();
    assert!((with.mass() - without.mass() - mass).abs() < 1e-9, "{mass}");
    let weld: f64 = plates.iter().map(|p| p.parts[0].outline.perimeter()).sum();
    assert!((with.weld_length() - without.weld_length() - weld).abs() < 1e-9, "{weld}");
}

#[test]
fn the_largest_that_a_fault_names_is_made() {
    for (given, key, [code, word]) in [
        ("thickness = 70", "thickness", ["plug-too-thick", "thickness at most "]),
        ("thickness = 2, depth = 60", "depth", ["plug-too-deep", "depth at most "]),
    ] {
        let plug = |given: &str| format!("plug = {{ alloy = \"321\", {given} }}\n");
        let fault = refused(&[[FOUR, &plug(given)]]);
        assert_eq!((fault.code, fault.key.as_str()), (code, format!("merge.four.plug.{key}").as_str()));
        let named = fault.help.split(word).nth(1).and_then(|rest| rest.split(' ').next());
        let largest: f64 = named.and_then(|n| n.parse().ok()).unwrap_or_else(|| panic!("{}", fault.help));
        let with = |value: f64| {
            let rest = if key == "depth" { "thickness = 2, " } else { "" };
            plug(&format!("{rest}{key} = {value:.2}"))
        };
        laid(&[[FOUR, &with(largest)]]);
        assert_eq!(refused(&[[FOUR, &with(largest + 0.01)]]).code, code);
    }
}
