//! Fittings along runs: what they take from the tube, what heat does to them, what they weigh.

use std::fs;
use std::path::Path;

use geom::math::{exp, ln};
use layout::{Layout, lay};
use spec::{Design, Source, read_design};

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found}, wanted {wanted} within {within}");
}

/// A spec of tests/fixtures, with `changes` made to its text.
fn laid(name: &str, changes: &[[&str; 2]]) -> (Design, Layout) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name);
    let mut text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    for [from, to] in changes {
        assert!(text.contains(from), "{name} has no `{from}`");
        text = text.replace(from, to);
    }
    let source = Source::from_bytes(name, text.as_bytes()).unwrap_or_else(|f| panic!("{f}"));
    let read = read_design(&source, &mut |path| Err(format!("{path} was asked for")));
    let (design, _) = read.unwrap_or_else(|faults| panic!("{}", faults[0]));
    let layout = lay(&design).unwrap_or_else(|faults| panic!("{}", faults[0].message));
    (design, layout)
}

fn lengths(layout: &Layout, run: &str) -> Vec<f64> {
    let run = layout.runs.iter().find(|r| r.name == run).unwrap_or_else(|| panic!("no run {run}"));
    run.pieces.iter().map(|&p| layout.pieces[p].piece.length()).collect()
}

/// By hand from the fixture: V-bands 14 + 1.5 + 14 at 0 and at 400, their tubes 6 deep; a bellows of 120 at
/// 120, its tubes 15 deep; flanges 10 + 1.5 + 10, butted, at the end. The run is 600 and 100 pi / 6 long.
#[test]
fn bought_fittings_take_their_length_less_their_recesses_from_the_tube() {
    let (_, layout) = laid("bought-fittings.toml", &[]);
    let whole = 600.0 + 100.0 * std::f64::consts::PI / 6.0;
    let wanted =
        [14.0, 14.0, 135.0 - 23.5, 120.0, 406.0 - 225.0, 14.0, 14.0, whole - 21.5 - 423.5, 10.0, 10.0];
    let found = lengths(&layout, "outlet");
    assert_eq!(found.len(), wanted.len());
    for (i, (found, wanted)) in found.iter().zip(wanted).enumerate() {
        near(*found, wanted, 1e-6, &format!("outlet-{}", i + 1));
    }
    // At a leg the half downstream goes over the leg by its recess.
    let legs = lengths(&layout, "one");
    near(layout.runs[0].gaps[1], -5.0, 1e-6, "over the leg");
    near(legs[0], layout.runs[0].length() + 5.0 - 24.0 + 5.0, 1e-6, "tube into the first half");
}

#[test]
fn slips_leave_room_and_their_sleeves_reach_over_it() {
    let (_, layout) = laid("slips.toml", &[]);
    let found = lengths(&layout, "one");
    let whole = layout.runs[0].length();
    // The sleeve stands from 8; its tube ends 45 further, the next begins 10 behind that and runs 15 into
    // the larger tube at 230; that ends 12 ahead of the leg.
    let wanted = [53.0, 69.0, 245.0 - 63.0, whole - 12.0 - 230.0, 72.0, 72.0];
    for (i, (found, wanted)) in found.iter().zip(wanted).enumerate() {
        near(*found, wanted, 1e-6, &format!("one-{}", i + 1));
    }
    near(layout.runs[0].gaps[1], -48.0, 1e-6, "the sleeves over the leg");
}

/// Source: 600 mm of austenitic steel grow 7.648 mm from 20 to 700 C by the curve of EN 1993-1-2. The run is
/// straight, so that all of it goes along; it begins at a merge that stands 600 mm from its legs' ports and that they
/// push as far again.
#[test]
fn growth_between_the_ends_of_a_run() {
    let [from, to] =
        ["path = [{ straight = 300 }, { bend = 30 }, { straight = 300 }]", "path = [{ straight = 600 }]"];
    let flange = [
        "at = [1209.807621, 0, -163.397460]\nalong = [0.8660254038, 0, -0.5]",
        "at = [1200, 0, 0]\nalong = [1, 0, 0]",
    ];
    let (_, layout) = laid("bought-fittings.toml", &[[from, to], flange, ["hot = 650", "hot = 700"]]);
    let bellows = layout.fittings.iter().find_map(|f| f.movement).unwrap_or_else(|| panic!("no bellows"));
    near(bellows.axial, 2.0 * 7.648, 0.01 * 2.0 * 7.648, "along");
    near(bellows.lateral, 0.0, 1e-9, "across");
    assert!(!bellows.assumed);
    let open = ["to = \"mouth\"", "to = \"open\""];
    let (_, layout) = laid("bought-fittings.toml", &[open]);
    let bellows = layout.fittings.iter().find_map(|f| f.movement).unwrap_or_else(|| panic!("no bellows"));
    near(bellows.axial, 0.0, 0.0, "a free end asks nothing");
}

/// Insertion grows as room shrinks; in frost the other way, by the mean expansion near the shop's
/// temperature over 40 degrees.
#[test]
fn a_slip_slides_by_the_growth_along_it() {
    let (_, layout) = laid("slips.toml", &[]);
    for fitting in &layout.fittings {
        let (Some(movement), Some(slide)) = (fitting.movement, &fitting.slide) else { panic!() };
        near(slide.insertion.hot - slide.insertion.assembly, movement.axial, 1e-12, "insertion");
        near(slide.room.assembly - slide.room.hot, movement.axial, 1e-12, "room");
        near(
            slide.room.cold - slide.room.assembly,
            slide.insertion.assembly - slide.insertion.cold,
            1e-12,
            "frost",
        );
        let share = (slide.insertion.assembly - slide.insertion.cold) / movement.axial;
        near(share, 40.0 * 16.6e-6 / (700.0 * 19.38e-6), 0.01, "frost against heat");
    }
}

#[test]
fn a_stated_mass_counts_and_the_rest_are_envelopes() {
    let (_, layout) = laid("bought-fittings.toml", &[]);
    let mass = |mark: &str| layout.pieces.iter().find(|p| p.mark == mark).map_or(0.0, |p| p.mass());
    near(mass("outlet-4"), 0.62, 1e-12, "bellows");
    near(mass("one-2"), 0.15, 1e-12, "V-band half");
    let ring = std::f64::consts::PI / 4.0 * (79.0 * 79.0 - 60.3 * 60.3) * 14.0 * 8000e-9;
    near(mass("outlet-1"), ring, 1e-6 * ring, "envelope of a V-band half");
    let sum: f64 = layout.pieces.iter().map(|p| p.mass()).sum();
    near(layout.mass(), sum, 1e-12, "the header");
}

/// Plasticity at constant volume: the land is as much shorter than the tube it is made of as its wall is
/// thinner, and both are half the strain around, the other way.
#[test]
fn a_formed_end_keeps_its_volume() {
    let alloy = tube::alloy::alloy("321").unwrap_or_else(|| panic!("no 321"));
    let own = tube::Section { od: 42.4, wall: 1.5, alloy };
    for od in [36.0, 48.3, 51.0] {
        let form = tube::Form::of(&own, od, 1e-9, 20.0);
        let around = ln((form.od - form.wall) / (own.od - own.wall));
        near(ln(form.wall / own.wall), -0.5 * around, 1e-9, "wall");
        near(ln(form.length() / form.consumed(&own)), -0.5 * around, 1e-6, "length");
        near(form.stretch(&own), exp(around) - 1.0, 1e-12, "stretch");
    }
    let (_, layout) = laid("formed-steps.toml", &[]);
    for part in &layout.pieces {
        let Some(section) = part.piece.section() else { panic!("a cone") };
        let raw = sheets::csv::raw_length(part) * section.area();
        near(part.piece.volume(), raw, 1e-6 * raw, &part.mark);
    }
}

#[test]
fn an_end_is_formed_only_on_a_straight_that_holds_it() {
    let alloy = tube::alloy::alloy("304").unwrap_or_else(|| panic!("no 304"));
    let section = tube::Section { od: 45.0, wall: 1.2, alloy };
    let frame = geom::Frame { at: geom::DVec3::ZERO, along: geom::DVec3::Z, inside: geom::DVec3::X };
    let line = tube::Centreline::straight(frame, 40.0);
    let (square, end) = (tube::Cut::square(0.0), tube::Cut::square(40.0));
    let piece = tube::Piece::tube(line, section, square, end).unwrap_or_else(|| panic!("no piece"));
    let form = tube::Form::of(&section, 50.0, 15.0, 10.0);
    let once = piece.clone().formed(tube::End::End, form).unwrap_or_else(|| panic!("not formed"));
    near(once.outer_radius(40.0), 25.0, 1e-12, "land");
    near(once.outer_radius(22.5), 23.75, 1e-12, "middle of the taper");
    near(once.outer_radius(15.0), 22.5, 1e-12, "tube");
    assert!(once.formed(tube::End::Start, form).is_none(), "two of 25 do not go on 40");
}
