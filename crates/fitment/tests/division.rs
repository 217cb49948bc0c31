//! Headers divided, made-up ones and the shipped: what the division promises, asked of it again by other means.

mod shared;

use std::f64::consts::PI;

use fitment::{
    Division, Fault, Hold, Joining, Keep, Node, NodeKind, Profile, SteelJoint, Strand, divided,
    strands_and_nodes,
};
use geom::math::{cos, sin, tan};
use geom::{DVec3, Frame};
use spec::shop::Printer;
use tube::centreline::Segment;
use tube::{Centreline, Cut, End};

fn strand(name: &str, line: Centreline, radius: f64) -> Strand {
    let length = line.length();
    let profile = |r: f64| Profile { points: vec![(0.0, r), (length, r)] };
    Strand {
        run: 0,
        name: name.to_string(),
        origin: 0.0,
        outside: profile(radius),
        bore: profile(radius - 1.5),
        wall: 1.5,
        ends: [Cut::square(0.0), Cut::square(length)],
        joints: Vec::new(),
        keeps: Vec::new(),
        line,
    }
}

fn straight(length: f64) -> Segment {
    Segment::Straight { length }
}

fn bend(degrees: f64, twist: f64) -> Segment {
    Segment::Arc { radius: 76.0, angle: degrees / 180.0 * PI, twist: twist / 180.0 * PI }
}

fn node(kind: NodeKind, name: &str, holds: &[(usize, f64, f64)]) -> Node {
    let hold = |&(strand, from, to): &(usize, f64, f64)| Hold { strand, from, to };
    Node { name: name.to_string(), kind, holds: holds.iter().map(hold).collect(), blocks: Vec::new() }
}

/// Four runs, each on a flange of its own, into a merge whose legs lean 12 degrees, and its outlet.
fn four_into_one() -> (Vec<Strand>, Vec<Node>) {
    let lean = 12.0 / 180.0 * PI;
    let mut strands = Vec::new();
    let mut nodes = Vec::new();
    let mut legs = Vec::new();
    for (i, name) in ["one", "two", "three", "four"].into_iter().enumerate() {
        let around = (0.25 + 0.5 * i as f64) * PI;
        let out = DVec3::new(cos(around), sin(around), 0.0);
        // From the apex upstream, then turned about.
        let up = Frame::new(DVec3::ZERO, out * sin(lean) + DVec3::Z * cos(lean), out).unwrap();
        let segments =
            vec![straight(190.0), bend(70.0, 0.0), straight(110.0), bend(35.0, 90.0), straight(70.0)];
        let line = Centreline { start: up, segments }.reversed();
        let mut strand = strand(name, line, 22.0);
        let length = strand.line.length();
        strand.joints = [90.0, length - 130.0]
            .iter()
            .enumerate()
            .map(|(k, s)| SteelJoint { mark: format!("J{}", 2 * i + k), station: *s })
            .collect();
        strand.keeps = vec![Keep { from: 0.0, to: 20.0, what: format!("flange {name}") }];
        nodes.push(node(NodeKind::Flange(i, 0), name, &[(i, 0.0, 20.0)]));
        legs.push((i, length - 120.0, length));
        strands.push(strand);
    }
    let down = Frame::new(DVec3::Z * 20.0, DVec3::NEG_Z, DVec3::X).unwrap();
    strands.push(strand("outlet", Centreline::straight(down, 250.0), 31.75));
    legs.push((4, 0.0, 70.0));
    nodes.push(node(NodeKind::Merge(0), "collector", &legs));
    (strands, nodes)
}

fn printer(bed: f64, height: f64) -> Printer {
    Printer { bed: [bed, bed], height, ..Printer::default() }
}

/// The joints of a part, and the parts at their other ends.
fn joints_of(division: &Division, part: usize) -> Vec<(usize, bool)> {
    let ends = division.parts[part].stretches.iter();
    ends.flat_map(|s| [s.start.map(|j| (j, true)), s.end.map(|j| (j, false))]).flatten().collect()
}

#[test]
fn parts_cover_every_strand_once_and_meet_at_joints() {
    let (strands, nodes) = four_into_one();
    for bed in [170.0, 180.0, 220.0, 400.0] {
        let division = divided(&strands, &nodes, &printer(bed, bed)).unwrap();
        for (index, strand) in strands.iter().enumerate() {
            let mut of: Vec<_> =
                division.parts.iter().flat_map(|p| &p.stretches).filter(|s| s.strand == index).collect();
            of.sort_by(|a, b| a.from.total_cmp(&b.from));
            assert_eq!((of[0].from, of[0].start), (0.0, None));
            assert_eq!((of[of.len() - 1].to, of[of.len() - 1].end), (strand.line.length(), None));
            for pair in of.windows(2) {
                assert_eq!((pair[0].to, pair[0].end), (pair[1].from, pair[1].start));
                let joining: &Joining = &division.joinings[pair[0].end.unwrap()];
                assert_eq!((joining.strand, joining.station), (index, pair[0].to));
            }
        }
        let held: usize = division.parts.iter().map(|p| p.nodes.len()).sum();
        assert_eq!(held, nodes.len());
    }
}

#[test]
fn cuts_keep_clear_of_bends_and_keeps_with_their_whole_socket() {
    let (strands, nodes) = four_into_one();
    let printer = printer(190.0, 190.0);
    let division = divided(&strands, &nodes, &printer).unwrap();
    let mut at_steel = 0;
    for joining in &division.joinings {
        let need = printer.spigot + printer.fit_gap + 2.0;
        let (from, to) = match joining.spigot {
            End::End => (joining.station, joining.station + need),
            End::Start => (joining.station - need, joining.station),
        };
        let spans = strands[joining.strand].line.spans();
        let within = |a: f64, b: f64| a <= from + 1e-9 && to <= b + 1e-9;
        assert!(spans.iter().any(|s| !s.is_arc() && within(s.from, s.to)), "{joining:?}");
        let holds = nodes.iter().flat_map(|n| &n.holds).filter(|h| h.strand == joining.strand);
        for hold in holds {
            assert!(to <= hold.from + 1e-9 || from >= hold.to - 1e-9, "{joining:?}");
        }
        at_steel += usize::from(joining.steel.is_some());
    }
    assert!(at_steel > 0);
}

#[test]
fn every_part_goes_onto_those_before_it_in_the_direction_said() {
    let (strands, nodes) = four_into_one();
    goes_together(&strands, &divided(&strands, &nodes, &printer(170.0, 170.0)).unwrap());
}

/// Support of a tube of 44 mm lying free is a quarter of its round, 34.6 mm2 along each mm, and what the bend has beyond
/// 45 degrees; a part more counts as 5000 mm2, its cut, where the steel has no joint, as 2500 mm2.
#[test]
fn a_part_more_is_made_only_where_it_saves_much_support() {
    for (length, parts) in [(60.0, 1), (160.0, 1), (250.0, 2), (320.0, 2)] {
        let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let line = Centreline { start, segments: vec![straight(length), bend(90.0, 0.0), straight(length)] };
        let division = divided(&[strand("bent", line, 22.0)], &[], &printer(450.0, 450.0)).unwrap();
        assert_eq!(division.parts.len(), parts, "{length}");
    }
}

/// On their own shops' printers, and on a smaller one where their flanges leave it to that.
#[test]
fn the_shipped_specs_are_divided_and_go_together() {
    let shipped = shared::designs_in(&["specs"]);
    assert!(shipped.len() >= 5);
    for (name, design, layout) in shipped {
        let (strands, nodes) = strands_and_nodes(&design, &layout, 0.02).unwrap();
        for (own, printer) in [(true, design.shop.printer.clone()), (false, printer(310.0, 310.0))] {
            let division = divided(&strands, &nodes, &printer).unwrap();
            goes_together(&strands, &division);
            assert!(division.joinings.iter().all(|j| !j.in_bend) && division.touching.is_empty());
            // Where there are several, every part at the engine comes before those that go onto it.
            let at_engine = |p: &usize| {
                division.parts[*p].nodes.iter().any(|n| {
                    let node = &nodes[*n];
                    matches!(node.kind, NodeKind::Flange(..)) && node.holds.iter().any(|h| h.from < 1.0)
                })
            };
            let count = (0..division.parts.len()).filter(at_engine).count();
            assert!(!own || count == 1 || (0..count).all(|p| at_engine(&p)), "{name}");
        }
    }
}

/// What a part has within another, as a leg's end that reaches over the cut into its outlet, is in its way.
#[test]
fn no_part_of_any_fixture_stands_in_another() {
    let mut count = 0;
    for (name, design, layout) in shared::designs_in(&["tests/fixtures"]) {
        let (strands, nodes) = strands_and_nodes(&design, &layout, 0.02).unwrap();
        if let Ok(division) = divided(&strands, &nodes, &printer(230.0, 230.0)) {
            assert!(division.touching.is_empty(), "{name}: {:?}", division.touching);
            count += 1;
        }
    }
    assert!(count > 30, "{count}");
}

fn goes_together(strands: &[Strand], division: &Division) {
    for (at, part) in division.parts.iter().enumerate() {
        assert_eq!(part.mark, format!("P{}", at + 1));
        let before: Vec<usize> =
            (0..at).flat_map(|p| joints_of(division, p)).map(|(joint, _)| joint).collect();
        for (joint, at_start) in joints_of(division, at).into_iter().filter(|(j, _)| before.contains(j)) {
            let joining = &division.joinings[joint];
            let along = strands[joining.strand].line.frame_at(joining.station).along;
            let into = if at_start { -along } else { along };
            let angle = geom::math::acos(into.dot(part.put_in.unwrap()).min(1.0));
            assert!(angle <= 25.0 / 180.0 * PI, "{joining:?}");
            let least = if angle < 0.5 / 180.0 * PI { 0.0 } else { angle };
            assert!(joining.keyed.draft >= least - 1e-9, "{joining:?}");
        }
    }
}

#[test]
fn a_straight_tube_has_no_more_parts_than_the_height_asks_for() {
    let line = Centreline::straight(Frame::upright(DVec3::ZERO, DVec3::X).unwrap(), 900.0);
    let tube = [strand("long", line, 20.0)];
    for (bed, height) in [(220.0, 240.0), (180.0, 180.0), (140.0, 400.0)] {
        // Standing on an end a part is at most so high; a spigot takes 12 mm of that, and places to cut are up to 50 mm
        // apart.
        let parts = divided(&tube, &[], &printer(bed, height)).unwrap().parts.len();
        let least = (900.0 / height).ceil() as usize;
        assert!(parts >= least && parts <= (900.0 / (height - 62.0)).ceil() as usize, "{parts} {least}");
    }
}

#[test]
fn what_cannot_be_divided_is_said_with_what_is_missing() {
    // A keep of 400 mm in the middle of a straight.
    let frame = Frame::upright(DVec3::ZERO, DVec3::X).unwrap();
    let mut kept = strand("kept", Centreline::straight(frame, 430.0), 20.0);
    kept.keeps = vec![Keep { from: 15.0, to: 415.0, what: "bellows b1".to_string() }];
    let Err(faults) = divided(&[kept], &[], &printer(180.0, 180.0)) else { panic!("divided") };
    assert!(
        matches!(&faults[..], [Fault::BedTooSmall { what, missing }] if what == "bellows b1" && missing[0] > 50.0),
        "{faults:?}"
    );

    // Straights of 10 mm between bends that are mitres, which take 20 tan 0.025 + 2 mm at either side: no room for a
    // socket, none in bends.
    let mut segments = Vec::new();
    for _ in 0..60 {
        segments.extend([straight(10.0), Segment::Arc { radius: 0.0, angle: 0.05, twist: 0.0 }]);
    }
    segments.push(straight(10.0));
    let mitred = strand("mitred", Centreline { start: frame, segments }, 20.0);
    let Err(faults) = divided(&[mitred], &[], &printer(180.0, 180.0)) else { panic!("divided") };
    let Fault::StraightTooShort { longest, missing, .. } = &faults[0] else { panic!("{faults:?}") };
    let free = 10.0 - 2.0 * (20.0 * tan(0.025) + 2.0);
    assert!((longest - free).abs() < 1e-9 && (missing - (14.2 - free)).abs() < 1e-9, "{faults:?}");

    // A tube of 18 mm is too thin for pin, rib, gap and wall.
    let thin = strand("thin", Centreline::straight(frame, 430.0), 9.0);
    let Err(faults) = divided(&[thin], &[], &printer(180.0, 180.0)) else { panic!("divided") };
    assert!(matches!(&faults[..], [Fault::TubeTooThin { missing, .. }] if *missing > 0.0), "{faults:?}");
}

#[test]
fn a_bend_is_cut_only_where_no_straight_helps() {
    let frame = Frame::upright(DVec3::ZERO, DVec3::X).unwrap();
    let arc = |radius: f64, angle: f64| Segment::Arc { radius, angle, twist: 0.0 };
    let ring = strand("ring", Centreline { start: frame, segments: vec![arc(150.0, 3.0)] }, 22.0);
    let division = divided(&[ring], &[], &printer(180.0, 180.0)).unwrap();
    assert!(!division.joinings.is_empty() && division.joinings.iter().all(|j| j.in_bend));
    let segments = vec![arc(150.0, 1.2), straight(40.0), arc(150.0, 1.2)];
    let mended = strand("mended", Centreline { start: frame, segments }, 22.0);
    let division = divided(&[mended], &[], &printer(200.0, 200.0)).unwrap();
    assert!(division.joinings.iter().all(|j| !j.in_bend));
}

/// So much more straight as is said to be missing, and the error is gone; a little less, and it is not.
#[test]
fn straights_longer_by_what_is_missing_hold_a_joint() {
    let frame = Frame::upright(DVec3::ZERO, DVec3::X).unwrap();
    // Straight, its neighbour's share of it, mitre in rad, radius of the tube; spigot and gap.
    let cases = [
        (10.0, 1.0, 0.05, 20.0, 12.0, 0.2),
        (6.0, 1.0, 0.05, 20.0, 12.0, 0.2),
        (12.3, 0.5, 0.11, 25.4, 12.0, 0.2),
        (17.7, 0.9, 0.2, 31.75, 14.5, 0.15),
        (9.1, 1.1, 0.07, 16.0, 8.0, 0.3),
        (6.0, 1.5, 0.04, 22.5, 20.0, 0.25),
        (13.9, 0.97, 0.02, 19.05, 12.0, 0.2),
        (8.25, 0.6, 0.13, 24.15, 10.0, 0.1),
        (15.0, 0.3, 0.3, 27.0, 18.0, 0.2),
        (5.5, 2.0, 0.06, 21.0, 12.7, 0.4),
        (11.0, 0.99, 0.09, 38.1, 15.0, 0.2),
    ];
    for (length, share, angle, radius, spigot, fit_gap) in cases {
        let printer = Printer { spigot, fit_gap, ..printer(180.0, 180.0) };
        let missing = |more: f64| {
            let mut segments = Vec::new();
            for k in 0..40 {
                let own = if k % 2 == 0 { length } else { length * share };
                let twist = 0.4 * f64::from(k);
                segments.extend([straight(own + more), Segment::Arc { radius: 0.0, angle, twist }]);
            }
            segments.push(straight(length + more));
            let tube = strand("mitred", Centreline { start: frame, segments }, radius);
            let faults = divided(&[tube], &[], &printer).err().unwrap_or_default();
            faults.iter().find_map(|f| match f {
                Fault::StraightTooShort { missing, .. } => Some(*missing),
                _ => None,
            })
        };
        let said = missing(0.0).unwrap();
        assert_eq!(missing(said + 0.01), None, "{length} {share} {said}");
        let less = missing(said - 0.05).unwrap();
        assert!((less - 0.05).abs() < 1e-9, "{length} {share} {said} {less}");
    }
}

/// A straight with room for one socket only, between a short bend and a longer one and the other way round: a printer
/// that just holds the longer bend alone needs the cut at that bend's end of the straight.
#[test]
fn a_short_straight_is_cut_at_the_end_that_helps() {
    let frame = Frame::upright(DVec3::ZERO, DVec3::X).unwrap();
    let arc = |angle: f64| Segment::Arc { radius: 150.0, angle, twist: 0.0 };
    for (first, second) in [(0.6, 1.2), (1.2, 0.6)] {
        let segments = vec![arc(first), straight(24.0), arc(second)];
        let tube = [strand("short", Centreline { start: frame, segments }, 22.0)];
        let bends = |bed: f64| {
            let division = divided(&tube, &[], &printer(bed, bed)).ok()?;
            Some(division.joinings.iter().filter(|j| j.in_bend).count())
        };
        let longer = [strand("alone", Centreline { start: frame, segments: vec![arc(1.2)] }, 22.0)];
        let alone =
            |bed: &f64| divided(&longer, &[], &printer(*bed, *bed)).is_ok_and(|d| d.joinings.is_empty());
        let least = (100..300).map(f64::from).find(alone).unwrap();
        // With a spigot and its lean in the room a little more.
        assert_eq!(bends(least + 8.0), Some(0), "{first} {second} {least}");
    }
}

#[test]
fn a_printer_with_what_is_missing_holds_the_header() {
    // Two legs into one, held 100 mm upstream, and the stubs of tube that no cut parts from them.
    let lean = [-0.2, 0.2].map(|lean: f64| DVec3::new(cos(lean), sin(lean), 0.0));
    let frame = |along: DVec3| Frame::upright(along * -160.0, along).unwrap();
    let legs = lean.map(|along| strand("leg", Centreline::straight(frame(along), 160.0), 21.0));
    let holds = [0, 1].map(|strand| Hold { strand, from: 60.0, to: 160.0 }).to_vec();
    let merge = Node { kind: NodeKind::Merge(0), name: "collector".to_string(), holds, blocks: Vec::new() };
    for scale in [[1.0; 3], [1.03, 0.98, 1.02]] {
        let mut printer = Printer { scale, ..printer(105.0, 62.0) };
        let Err(faults) = divided(&legs, std::slice::from_ref(&merge), &printer) else { panic!("divided") };
        let [Fault::BedTooSmall { missing, .. }] = &faults[..] else { panic!("{faults:?}") };
        printer.bed = [0, 1].map(|i| printer.bed[i] + missing[i]);
        printer.height += missing[2];
        assert!(divided(&legs, std::slice::from_ref(&merge), &printer).is_ok(), "{missing:?}");
    }
}
