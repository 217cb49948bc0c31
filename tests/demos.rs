//! The shipped specs: sane, closed, and without a clash by centreline distances.

use geom::DVec3;
use hotside_tests::{assert_lays_out, demo_specs, lay};
use layout::Layout;
use layout::layout::Owner;

#[test]
fn every_demo_lays_out_without_a_failure() {
    let specs = demo_specs();
    assert!(specs.len() >= 5, "{specs:?}");
    for path in specs {
        assert_lays_out(&path);
    }
}

#[test]
fn no_two_tubes_of_a_demo_clash() {
    for path in demo_specs() {
        let (_, layout) = lay(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let lines: Vec<Vec<(DVec3, f64)>> = (0..layout.runs.len()).map(|r| sampled(&layout, r)).collect();
        for a in 0..lines.len() {
            for b in 0..a {
                let shared = layout.merges.iter().any(|m| {
                    let member = |r: usize| m.outlet == r || m.legs.iter().any(|l| l.run == r);
                    member(a) && member(b)
                });
                let clear = clearance(
                    &lines[a][root(&layout, a, Owner::Run(b))..],
                    &lines[b][root(&layout, b, Owner::Run(a))..],
                );
                // Runs that meet in a merge stand the inlet gap apart at its inlet faces.
                let least = if shared { -0.5 } else { 2.0 };
                assert!(
                    clear > least,
                    "{}: {} and {} are {clear:.2} mm apart",
                    path.display(),
                    layout.runs[a].name,
                    layout.runs[b].name
                );
            }
        }
        for (i, leg) in layout.merges.iter().flat_map(|m| m.legs.iter().map(move |l| (m, l))) {
            let piece = &layout.pieces[leg.piece].piece;
            assert!(matches!(layout.pieces[leg.piece].owner, Owner::Merge(_)));
            let axis: Vec<(DVec3, f64)> = (0..=10)
                .map(|k| (piece.frame_at(leg.to_tip * f64::from(k) / 10.0).at, piece.outer_radius(0.0)))
                .collect();
            for (r, line) in lines.iter().enumerate() {
                let own = i.outlet == r || i.legs.iter().any(|l| l.run == r);
                let line = &line[root(&layout, r, layout.pieces[leg.piece].owner)..];
                let clear = clearance(&axis, line);
                assert!(
                    own || clear > 2.0,
                    "{}: a leg of {} and {}: {clear:.2} mm",
                    path.display(),
                    i.name,
                    layout.runs[r].name
                );
            }
        }
    }
}

/// Counted by hand on a crank's 720 degrees: 1-3-4-2 with pairs 1-4 and 2-3; each bank of 1-8-4-3-6-5-7-2.
#[test]
fn merges_note_how_far_apart_their_cylinders_fire() {
    let told = [
        ("club-four", "pair-outer", "one, four: 360, 360 degrees", 360.0),
        ("club-four", "final", "one, three, four, two: 180, 180, 180, 180 degrees", 180.0),
        ("hill-five", "collector", "one, two, four, five, three: 144, 144, 144, 144, 144 degrees", 144.0),
        ("quarry-eight", "left", "one, three, five, seven: 270, 180, 90, 180 degrees", 90.0),
        ("quarry-eight", "right", "eight, four, six, two: 90, 180, 270, 180 degrees", 90.0),
    ];
    for (spec, merge, words, least) in told {
        let path = demo_specs().into_iter().find(|p| p.file_stem().is_some_and(|s| s == spec));
        let (_, layout) = lay(&path.unwrap_or_else(|| panic!("{spec}"))).unwrap_or_else(|e| panic!("{e}"));
        let note = layout.findings.iter().find(|f| f.code == "firing" && f.place == merge);
        let note = note.unwrap_or_else(|| panic!("{spec}: {merge} notes nothing"));
        assert!(note.message.contains(words), "{spec}: {}", note.message);
        assert_eq!(note.value, Some(least), "{spec}: {merge}");
        let same = if merge == "final" { "; 0 of 4 follow one in the same leg" } else { "" };
        assert!(note.message.ends_with(same), "{spec}: {}", note.message);
    }
}

/// How many of a run's points stand in the wall of `host`, where the run begins at a branch of it: until its
/// tube is its own width, along the wall, past the point where it leaves it.
fn root(layout: &Layout, run: usize, host: Owner) -> usize {
    let here = layout.branches.iter().find(|b| b.run == run && layout.pieces[b.place.host].owner == host);
    here.map_or(0, |branch| {
        let width = layout.runs[run].sections[0].section.od / geom::math::sin(branch.place.angle);
        ((width / STEP).ceil() as usize).min((layout.runs[run].length() / STEP) as usize)
    })
}

/// Distance between the points of a run, mm.
const STEP: f64 = 2.0;

/// Points every [`STEP`] along a run with the outside radius there.
fn sampled(layout: &Layout, run: usize) -> Vec<(DVec3, f64)> {
    let run = &layout.runs[run];
    let steps = (run.length() / STEP).ceil() as usize;
    (0..=steps)
        .map(|i| {
            let station = run.length() * i as f64 / steps as f64;
            let section = run.sections.iter().rfind(|s| s.from <= station).unwrap_or(&run.sections[0]);
            (run.centreline.frame_at(station).at, section.section.outer())
        })
        .collect()
}

/// Least distance between two tubes' outsides, mm.
fn clearance(a: &[(DVec3, f64)], b: &[(DVec3, f64)]) -> f64 {
    let pairs = a.iter().flat_map(|p| b.iter().map(move |q| p.0.distance(q.0) - p.1 - q.1));
    pairs.fold(f64::INFINITY, f64::min)
}
