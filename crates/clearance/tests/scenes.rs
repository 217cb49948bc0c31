//! Scenes whose distances are worked out by hand, to 1e-9.

mod scene;

use std::f64::consts::FRAC_PI_2;

use clearance::{Clearance, Row, State, check};
use geom::DVec3;
use geom::angle::from_degrees;
use scene::{checked, close, laid, obstacle, placed, row, run, straight};
use spec::design::Form;
use spec::{Design, Level};

const EXACT: f64 = 1e-9;

/// The straight tube against one plain body: distance, station, clock in degrees.
fn beside(form: &str, distance: f64, place: Option<(f64, f64)>) {
    let found = checked(&straight(&obstacle("it", form, "")));
    let row = row(&found, "a", "it");
    close(row.distance, distance, EXACT);
    close(row.cold, distance, EXACT);
    close(row.at.distance(row.there), distance, 1e-6);
    assert_eq!((row.state, row.inside), (State::COLD, false));
    if let Some((station, clock)) = place {
        close(row.station.unwrap(), station, 1e-6);
        close(row.clock.unwrap(), from_degrees(clock), 1e-6);
    }
}

#[test]
fn a_plane_beside() {
    beside("half_space = { at = [7, 50, 3], out = [0, -1, 0] }", 30.0, None);
    // Leaning by 3 in 4 about y: the lowest point of the far end is nearest.
    beside("half_space = { at = [300, 0, -70], out = [-0.6, 0, 0.8] }", 0.8 * 50.0, None);
}

#[test]
fn a_ball_beside_and_beyond_the_end() {
    // Clock 0 of a straight run is as near to +z as can be; clock 90 looks along x cross z: -y.
    beside("sphere = { at = [100, 0, 80], d = 40 }", 40.0, Some((100.0, 0.0)));
    beside("sphere = { at = [200, -60, 0], d = 40 }", 20.0, Some((200.0, 90.0)));
    beside("sphere = { at = [330, 0, 60], d = 20 }", 40.0, Some((300.0, 0.0)));
    beside("sphere = { at = [330, 0, 5], d = 20 }", 20.0, None);
}

#[test]
fn bars_beside() {
    beside("cylinder = { from = [50, 60, 0], to = [250, 60, 0], d = 20 }", 30.0, None);
    // Skew: directions (1, 0, 0) and (0.6, 0.8, 0), their lines 90 apart along z.
    beside("capsule = { from = [60, -120, 90], to = [240, 120, 90], d = 10 }", 65.0, Some((150.0, 0.0)));
    beside("cylinder = { from = [60, -120, 90], to = [240, 120, 90], d = 10 }", 65.0, Some((150.0, 0.0)));
    // Its flat end looks at the tube.
    beside("cylinder = { from = [150, 0, 55], to = [150, 0, 155], d = 30 }", 35.0, None);
}

#[test]
fn a_box_beside() {
    beside("box = { at = [150, 0, 60], size = [10, 10, 20] }", 30.0, None);
    beside("box = { at = [325, 0, 0], size = [10, 100, 100] }", 20.0, None);
}

/// A quarter bend of radius 80 about a ball of 10 at its centre.
#[test]
fn a_bend_around_a_ball() {
    let ball = obstacle("ball", "sphere = { at = [100, 0, -80], d = 20 }", "");
    let bend = "[{ straight = 100 }, { bend = 90, radius = 80 }, { straight = 50 }]";
    let found = checked(&run(bend, 20.0, &format!("inside = [0, 0, -1]\n{ball}")));
    let row = row(&found, "a", "ball");
    close(row.distance, 50.0, EXACT);
    close(row.clock.unwrap(), 0.0, 1e-6);
    assert!((100.0 - 1e-6..=100.0 + 80.0 * FRAC_PI_2 + 1e-6).contains(&row.station.unwrap()));
}

fn swallowed(form: &str) {
    let found = checked(&straight(&obstacle("it", form, "")));
    let row = row(&found, "a", "it");
    assert!(row.inside && row.distance < 0.0, "{row:?}");
    let [finding] = &found.findings[..] else { panic!("{:?}", found.findings) };
    assert_eq!((finding.level, finding.code), (Level::Failure, "inside-obstacle"));
}

#[test]
fn a_tube_wholly_inside_is_found() {
    swallowed("box = { at = [150, 0, 0], size = [400, 100, 100] }");
    swallowed("cylinder = { from = [-50, 0, 0], to = [350, 0, 0], d = 120 }");
    swallowed("sphere = { at = [150, 0, 0], d = 900 }");
    swallowed("capsule = { from = [0, 0, 0], to = [300, 0, 0], d = 200 }");
}

#[test]
fn a_bar_wholly_inside_a_tube_is_found() {
    swallowed("cylinder = { from = [100, 0, 0], to = [200, 0, 0], d = 10 }");
    swallowed("sphere = { at = [150, 5, 0], d = 10 }");
}

/// A square plate of two triangles, 200 across, in the plane z = 50; its front looks down where `down`.
fn plate(down: bool) -> Vec<[DVec3; 3]> {
    let corner = |x: f64, y: f64| DVec3::new(150.0 + x, y, 50.0);
    let [a, b, c, d] = [corner(-100., -100.), corner(100., -100.), corner(100., 100.), corner(-100., 100.)];
    if down { vec![[a, c, b], [a, d, c]] } else { vec![[a, b, c], [a, c, d]] }
}

fn scanned(triangles: &[[DVec3; 3]], seen: &str) -> (Design, Clearance) {
    let form = "file = \"none.stl\"\nunits = \"mm\"\nplace = \"as scanned\"";
    let design = straight(&obstacle("scan", form, &format!("seen = \"{seen}\"")));
    let found = check(&design, &laid(&design), &[Some(placed(triangles, &[]))]);
    (design, found)
}

#[test]
fn a_scan_is_measured_and_its_back_is_metal() {
    for (down, seen, behind) in
        [(true, "both", false), (false, "both", false), (true, "front", false), (false, "front", true)]
    {
        let (design, found) = scanned(&plate(down), seen);
        assert!(matches!(design.bay.obstacles[0].form, Form::Scan(_)));
        let row = row(&found, "a", "scan");
        close(row.distance, 30.0, EXACT);
        assert_eq!(row.behind, behind, "{down} {seen}");
        assert_eq!(found.findings.iter().any(|f| f.code == "behind-scan"), behind);
    }
}

/// The plate above the tube is nearest and shows its front; another one below shows its back, and it is further off.
#[test]
fn what_is_not_nearest_lies_behind_a_scan_too() {
    let below = plate(false).into_iter().map(|t| t.map(|p| p - DVec3::Z * 110.0));
    for (turned, behind) in [(false, false), (true, true)] {
        let lower = below.clone().map(|[a, b, c]| if turned { [a, c, b] } else { [a, b, c] });
        let (_, found) = scanned(&plate(true).into_iter().chain(lower).collect::<Vec<_>>(), "front");
        let row = row(&found, "a", "scan");
        assert_eq!(row.behind, behind);
        // Of 16 places around the tube those 22.5 degrees below its middle are the furthest behind.
        let furthest = 60.0 - 20.0 * geom::math::sin(std::f64::consts::FRAC_PI_8);
        close(row.distance, if behind { furthest } else { 30.0 }, EXACT);
        assert_eq!(found.findings.iter().any(|f| f.code == "behind-scan"), behind);
    }
}

/// The plate ends before the tube does, so that the tube's end is nearest to its rim.
#[test]
fn a_scan_that_ends_too_soon_is_told() {
    let lifted: Vec<[DVec3; 3]> =
        plate(true).iter().map(|t| t.map(|p| p + DVec3::new(-100.0, 120.0, -50.0))).collect();
    let (_, found) = scanned(&lifted, "both");
    let row = row(&found, "a", "scan");
    // Its edge runs along y = 20: it touches the tube's side.
    close(row.distance, 0.0, EXACT);
    assert!(row.on_rim);
    let short = found.findings.iter().find(|f| f.code == "scan-short").unwrap();
    assert!(short.message.contains("150.0 mm beyond its box"), "{}", short.message);
}

/// A closed box of triangles around the tube, wound either way: inside is inside.
#[test]
fn a_tube_inside_a_closed_scan_is_found() {
    for outward in [true, false] {
        let corner = |k: usize| {
            let side = |bit: usize, half: f64| if k & bit == 0 { -half } else { half };
            DVec3::new(150.0 + side(1, 250.0), side(2, 80.0), side(4, 90.0))
        };
        let faces = [[0, 4, 6, 2], [1, 3, 7, 5], [0, 1, 5, 4], [2, 6, 7, 3], [0, 2, 3, 1], [4, 5, 7, 6]];
        let two = |&[a, b, c, d]: &[usize; 4]| [[a, b, c], [a, c, d]];
        let wound = |[a, b, c]: [usize; 3]| if outward { [a, b, c] } else { [a, c, b] };
        let triangles: Vec<[DVec3; 3]> = faces.iter().flat_map(two).map(|t| wound(t).map(corner)).collect();
        // As a scanner's file has it: corners are shared.
        let mut scan = scan::Scan { points: (0..8).map(corner).collect(), ..Default::default() };
        scan.triangles = faces.iter().flat_map(two).map(|t| wound(t).map(|k| k as u32)).collect();
        assert_eq!(scan.triangles.len(), triangles.len());
        let form = "file = \"none.stl\"\nunits = \"mm\"\nplace = \"as scanned\"";
        let design = straight(&obstacle("scan", form, ""));
        let placed = clearance::Placed::of(scan, scan::Scan::default());
        let found = check(&design, &laid(&design), &[Some(placed)]);
        let row = row(&found, "a", "scan");
        assert!(row.inside, "{outward}");
        close(row.distance, -60.0, EXACT);
        assert!(found.findings.iter().any(|f| f.code == "inside-obstacle"));
    }
}

/// What a failure says: by how much, where, and what to do.
#[test]
fn a_message_says_where_and_how_far_to_move() {
    let found = checked(&straight(
        "[obstacle.shaft]\nclass = \"steering\"\nsphere = { at = [212, -38.2, 0], d = 20 }",
    ));
    let told = "run a passes 8.2 mm from shaft at 212.0 mm from its start, clock 90 deg (needs 15.0 mm), cold: move it \
                6.8 mm away";
    assert_eq!(found.findings[0].message, told);
    assert_eq!((found.findings[0].place.as_str(), found.findings[0].code), ("run a, shaft", "clearance"));
}

/// Accepted failures are warnings.
#[test]
fn a_failure_can_be_accepted() {
    let ball = obstacle("ball", "sphere = { at = [100, 0, 40], d = 20 }", "");
    let accept = "[[accept]]\ncode = \"clearance\"\nat = \"run a, ball\"\nwhy = \"it is rubber\"\n";
    let found = checked(&straight(&format!("{ball}{accept}")));
    assert_eq!(found.findings[0].level, Level::Warning);
    assert!(found.findings[0].message.ends_with("(accepted: it is rubber)"));
}

/// A tube 30 across stands at 45 degrees on another. It begins where its axis pierces that one's outside, at (150, 0, 20);
/// its back reaches 15 mm further, onto the host's top. Beside it there a ball is 10 root 2 before its start.
#[test]
fn a_place_on_a_branchs_heel_is_told_in_words() {
    let branch = "[tube.thin]\nod = 30\nwall = 2\nalloy = \"304\"\n\
                  [branch.side]\non = \"a\"\nat = 150\nangle = 45\ntoward = [0, 0, 1]\n\
                  [run.b]\nfrom = \"side\"\nto = \"open\"\ntube = \"thin\"\npath = [{ straight = 120 }]\n";
    let ball = obstacle("ball", "sphere = { at = [118, 0, 32], d = 4 }", "");
    let mut design = straight(&format!("{branch}{ball}"));
    design.runs[1].hot = Some(20.0);
    let found = checked(&design);
    let near = row(&found, "b", "ball");
    close(near.station.unwrap(), -10.0 * 2.0_f64.sqrt(), 1e-6);
    let told = near.place(geom::unit::Units::Millimetre);
    assert!(told.starts_with("14.1 mm before its start, where it is fitted on, clock "), "{told}");
    let nearly = Row { station: Some(-0.04), ..near.clone() };
    assert!(nearly.place(geom::unit::Units::Millimetre).starts_with("0.0 mm from its start, clock "));
}
