//! Cutting collars of every spec: their edge is the cut, they slide on, and halves make a whole.

mod shared;

use std::f64::consts::{PI, TAU};

use fitment::collar::{collars, slides_on};
use fitment::sleeve::{Share, Sleeve};
use fitment::{NoStore, Settings, Variant};
use geom::DVec3;
use geom::angle::from_degrees;
use geom::math::{atan2, cos, hypot, sin, tan};
use layout::layout::{Cutting, Make, Part, Whole};
use shared::{layouts, line, solid};
use spec::shop::Printer;
use tube::{Centreline, Cut, End, Piece, Section, Shape, alloy};

const CHORD: f64 = 0.02;

fn settings() -> Settings {
    Settings { printer: Printer::default(), variant: Variant::Solid, chord: CHORD, threads: 1 }
}

/// Every end of every spec that is not cut square, but of parts that are bought whole.
fn ends() -> Vec<(String, Part, End)> {
    let mut all = Vec::new();
    for (name, layout) in layouts() {
        for part in layout.pieces.into_iter().filter(|p| !matches!(p.make, Make::Whole(Whole { .. }))) {
            for end in [End::Start, End::End] {
                if part.piece.cut(end).kind() != "square" {
                    all.push((format!("{name} {} {end:?}", part.mark), part.clone(), end));
                }
            }
        }
    }
    all
}

/// A tube of 45 mm with a plane cut at each end, the first `tilt` degrees from square.
fn slashed(line: Centreline, tilt: f64) -> Piece {
    let plane = |station: f64, tilt: f64, roll: f64| Cut {
        station,
        roll,
        shape: Shape::Plane { tilt: from_degrees(tilt) },
    };
    let section = Section { od: 45.0, wall: 1.5, alloy: alloy::alloy("304").unwrap() };
    let length = line.length();
    Piece::tube(line, section, plane(0.0, tilt, 0.4), plane(length, 10.0, 2.0)).unwrap()
}

/// The bore's edge, column by column: angle and height. Without the notch, which is the lowest of three columns at
/// clock 0.
fn edge(sleeve: &Sleeve, points: &[DVec3]) -> Vec<(f64, f64)> {
    let inner = points.chunks(4).map(|column| column[2]);
    let notch = 1.1 / sleeve.outside(0.0);
    inner.map(|p| (atan2(p.y, p.x), p.z)).filter(|(angle, _)| angle.abs() > notch).collect()
}

#[test]
fn a_collars_edge_is_the_template_to_the_chord() {
    let (mut seen, mut columns) = (Vec::new(), 0);
    for (name, part, end) in ends() {
        let sleeve = Sleeve::new(&part.piece, end, &Printer::default());
        let mesh = sleeve.mesh(Share::Whole, CHORD).unwrap();
        solid(&mesh);
        let mut edge = edge(&sleeve, &mesh.points);
        edge.sort_by(|a, b| a.0.total_cmp(&b.0));
        let sign = if end == End::End { 1.0 } else { -1.0 };
        for pair in edge.windows(2).filter(|w| w[0].0 * w[1].0 > 0.0) {
            // Unrolled at the bore: a steep edge is as true as a flat one, square to itself.
            let chord = (pair[1].1 - pair[0].1, (pair[1].0 - pair[0].0) * sleeve.bore(pair[0].1));
            for share in [0.0, 0.2, 0.4, 0.6, 0.8] {
                let angle = pair[0].0 + share * (pair[1].0 - pair[0].0);
                let height = sign * (part.piece.printed(end, sign * angle) - sleeve.base);
                let off = (height - pair[0].1) * chord.1 - share * chord.1 * chord.0;
                let off = off.abs() / hypot(chord.0, chord.1);
                assert!(off < CHORD, "{name}: {off} at {angle}");
            }
        }
        columns += edge.len();
        let lowest = edge.iter().map(|e| e.1).fold(f64::INFINITY, f64::min);
        assert!(lowest > 25.0 - CHORD && lowest < 25.0 + 8.0, "{name}: {lowest}");
        seen.push(part.piece.cut(end).kind());
    }
    for kind in ["saddle", "leg", "plane", "scallop"] {
        assert!(seen.contains(&kind), "{kind}");
    }
    assert!(columns / seen.len() < 400, "{}", columns / seen.len());
}

/// Placed on its tube by the piece's own frame, every point of the edge stands over the point of the steel's edge.
#[test]
fn a_collar_stands_over_the_edge_in_space() {
    for (name, part, end) in ends() {
        let piece = &part.piece;
        let sleeve = Sleeve::new(piece, end, &Printer::default());
        let sign = if end == End::End { 1.0 } else { -1.0 };
        let frame = piece.frame_at(sleeve.base);
        for k in 0..48 {
            let angle = TAU * f64::from(k) / 48.0 - 3.0;
            let height = sleeve.edge(angle);
            // A rotation: clock 0 stays, the axis and the third axis turn with the end.
            let out = frame.inside * cos(angle) + frame.side() * (sign * sin(angle));
            let steel = frame.at + frame.along * (sign * height) + out * (sleeve.bore(height) - sleeve.gap);
            let clock = frame.clock_of(out);
            let edges = [0.0, 1.0].map(|depth| piece.edge_point(end, clock, depth));
            let along = edges.map(|p| (p - steel).dot(frame.along) * sign);
            assert!(along[0].max(along[1]).abs() < 1e-6, "{name} {along:?}");
            let over = (edges[1] - steel) - frame.along * (edges[1] - steel).dot(frame.along);
            let slope = piece.line(0.0, 1.0).slope.abs();
            assert!(over.length() < 0.05 + slope * 10.0, "{name} {}", over.length());
        }
    }
}

#[test]
fn a_collar_slides_on() {
    for (name, part, end) in ends() {
        let sleeve = Sleeve::new(&part.piece, end, &Printer::default());
        let mesh = sleeve.mesh(Share::Whole, CHORD).unwrap();
        let columns: Vec<&[DVec3]> = mesh.points.chunks(4).collect();
        let sign = if end == End::End { 1.0 } else { -1.0 };
        for (k, column) in columns.iter().enumerate() {
            let next = columns[(k + 1) % columns.len()];
            for corner in [2, 3] {
                let middle = 0.5 * (column[corner] + next[corner]);
                let tube = part.piece.outer_radius(sleeve.base + sign * middle.z);
                let room = middle.truncate().length() - tube;
                // The bore's facets stand inside its circle by half the chord.
                let slope = part.piece.line(0.0, 1.0).slope.abs();
                assert!(room > 0.2 - 0.5 * CHORD - 1e-9 && room < 0.201 + slope, "{name}: {room}");
            }
        }
    }
}

/// A plane cut's edge is a sine, whose mean is its height at the axis.
#[test]
fn a_slash_cut_collar_has_its_closed_form_volume() {
    for tilt in [5.0, 30.0, 55.0] {
        let piece = slashed(line(&[], 300.0), tilt);
        let printer = Printer { nozzle: 0.6, fit_gap: 0.3, ..Printer::default() };
        let sleeve = Sleeve::new(&piece, End::Start, &printer);
        assert!((sleeve.wall - 3.6).abs() < 1e-12 && (sleeve.bore(3.0) - 22.8).abs() < 1e-12);
        // The longer of both edges, bore and outside: their sines differ, so its mean stands over the axis.
        let lean = tan(from_degrees(tilt));
        let mean = 25.0 + lean * (21.0 + (22.5 - 21.0) / PI);
        let exact = PI * (26.4_f64.powi(2) - 22.8_f64.powi(2)) * mean;
        let notches = 2.0 * 0.5 * 2.0 * 1.5 * 3.6;
        let volume = sleeve.mesh(Share::Whole, 0.005).unwrap().volume();
        assert!(((volume + notches) / exact - 1.0).abs() < 1e-3, "{tilt}: {volume} {exact}");
    }
}

#[test]
fn halves_make_a_whole_and_meet_on_a_flat() {
    for piece in [slashed(line(&[], 300.0), 35.0), slashed(line(&[[90.0, 0.4, 1.0, 70.0]], 90.0), 20.0)] {
        for end in [End::Start, End::End] {
            let sleeve = Sleeve::new(&piece, end, &Printer::default());
            let whole = sleeve.mesh(Share::Whole, CHORD).unwrap().volume();
            let halves = [Share::Near, Share::Far].map(|share| {
                let half = sleeve.mesh(share, CHORD).unwrap();
                solid(&half);
                let side = if share == Share::Near { 1.0 } else { -1.0 };
                let flats = half.points.iter().filter(|p| p.x.abs() < 1e-9).count();
                assert_eq!(flats, 8);
                assert!(half.points.iter().all(|p| side * p.x > -1e-9));
                half.volume()
            });
            assert!((halves[0] + halves[1] - whole).abs() < 2e-3 * whole);
        }
    }
}

/// A piece cut from a bought bend that goes on beyond its start: the collar there is in halves. Where its straight is too
/// short there is none, and the note tells what is missing.
#[test]
fn bought_bends_have_halves_or_a_note() {
    let mut layout = layouts().remove(0).1;
    layout.joints.clear();
    layout.pieces.truncate(1);
    let cutting = Cutting {
        stock: None,
        legs: [40.0, 90.0],
        angle: 1.0,
        kept: End::End,
        cut_in_arc: true,
        waste: 50.0,
    };
    layout.pieces[0].make = Make::Bought(cutting);
    assert!(slides_on(&layout.pieces[0], End::End) && !slides_on(&layout.pieces[0], End::Start));
    layout.pieces[0].piece = slashed(line(&[[40.0, 0.4, 1.0, 70.0]], 90.0), 20.0);
    let all = collars(&layout, &settings(), &NoStore).unwrap();
    let halves: Vec<_> = all.collars.iter().map(|c| (c.end.as_str(), c.half)).collect();
    assert_eq!(halves, [("start", (1, 2)), ("start", (2, 2)), ("end", (1, 1))]);
    all.collars.iter().for_each(|collar| solid(&collar.mesh));
    layout.pieces[0].piece = slashed(line(&[[40.0, 0.4, 1.0, 70.0]], 90.0), 45.0);
    let all = collars(&layout, &settings(), &NoStore).unwrap();
    assert_eq!((all.collars.len(), all.findings.len()), (1, 1));
    // What is printed is shortest at the bore, as far downstream of the axis as its radius.
    let missing = all.findings[0].value.unwrap();
    assert!((missing - (21.0 + 25.0 - 40.0)).abs() < 1e-6, "{missing}");
    assert!(all.findings[0].message.contains("6.0 mm too short"), "{}", all.findings[0].message);
}

/// The whole list: one for each end or a note that tells what is missing, closed in single precision with its figures.
/// Of the fixtures one of each kind of cut.
#[test]
fn every_end_has_its_collar_or_a_note() {
    let fixtures = ["branches", "fitted-wide-6", "segmented", "trimmed-cone-3"];
    let shipped = |name: &str| ["-twin", "-four", "-five", "-eight"].iter().any(|end| name.ends_with(end));
    for (name, layout) in layouts() {
        if !shipped(&name) && !fixtures.contains(&name.as_str()) {
            continue;
        }
        let all = collars(&layout, &settings(), &NoStore).unwrap();
        let wanted = layout.pieces.iter().enumerate().flat_map(|(index, part)| {
            let ends = [End::Start, End::End].into_iter().filter(|end| {
                let mitre = layout.mitres_like(index, *end) == Some(0);
                !mitre && part.piece.cut(*end).kind() != "square" && !matches!(part.make, Make::Whole(_))
            });
            ends.map(|end| (part, end)).collect::<Vec<_>>()
        });
        let mut notes = all.findings.iter();
        let mut made = all.collars.iter();
        for (part, end) in wanted {
            let sleeve = Sleeve::new(&part.piece, end, &Printer::default());
            if let Some(missing) =
                sleeve.missing().filter(|_| !matches!(part.make, Make::Straight | Make::Segment))
            {
                let note = notes.next().unwrap();
                assert_eq!((note.place.as_str(), note.value), (part.mark.as_str(), Some(missing)));
                continue;
            }
            let collar = made.next().unwrap();
            assert_eq!((&collar.piece, collar.downstream), (&part.mark, end == End::End), "{name}");
            solid(&collar.mesh);
            let plain = sleeve.mesh(Share::Whole, CHORD).unwrap().volume();
            let sunk = 1.0 - collar.mesh.volume() / plain;
            assert!(sunk > 1e-4 && sunk < 0.02, "{name} {} {sunk}", part.mark);
            assert!((collar.reach - sleeve.edge(0.0)).abs() < 1e-12);
        }
        assert!(notes.next().is_none() && made.next().is_none(), "{name}");
    }
}
