//! Small scenes with numbers that a person can check: plugs, ground, drain.

mod scene;

use clearance::{Clearance, check};
use geom::DVec3;
use geom::angle::{from_degrees, to_degrees};
use spec::design::{Class, Drain, Form, Ground, Holder, Move, Obstacle, Plug, Rock, ToolKind};
use spec::{Design, Level, Source, read_design};

/// One tube, 40 across, from the origin, at the shop's temperature also when the engine runs; invented.
fn scene(along: &str, path: &str, more: &str) -> Design {
    let text = format!(
        "title = \"a scene (invented)\"\nunits = \"mm\"\n\
         [tube.one]\nod = 40\nwall = 2\nalloy = \"304\"\n\
         [port.one]\nat = [0, 0, 0]\nalong = {along}\n\
         [run.one]\nfrom = \"one\"\nto = \"open\"\ntube = \"one\"\npath = {path}\n{more}"
    );
    let source = Source { name: "scene.toml".to_owned(), text: text.into() };
    let read = read_design(&source, &mut |path| Err(format!("{path} was asked for")));
    let mut design = read.unwrap_or_else(|faults| panic!("{faults:#?}")).0;
    design.runs.iter_mut().for_each(|run| run.hot = Some(20.0));
    design
}

fn straight() -> Design {
    scene("[1, 0, 0]", "[{ straight = 300 }]", "")
}

fn checked(design: &Design) -> Clearance {
    let layout = layout::lay(design).unwrap_or_else(|fault| panic!("{fault:?}"));
    check(design, &layout, &vec![None; design.bay.obstacles.len()])
}

fn codes(clearance: &Clearance) -> Vec<&str> {
    clearance.findings.iter().filter(|f| f.level == Level::Failure).map(|f| f.code).collect()
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

/// The plug's way is 20 across and stands square to the tube, its axis `off` mm from the tube's.
#[test]
fn a_plugs_way_grazes_a_tube() {
    for (off, room) in [(32.0, 2.0), (30.5, 0.5), (29.0, -1.0), (0.0, -10.0)] {
        let mut design = straight();
        let at = DVec3::new(150.0, off, -60.0);
        let plug = Plug { name: "p".into(), at, along: DVec3::Z, radius: 10.0, length: 200.0 };
        design.bay.plugs.push(plug);
        let found = checked(&design);
        let [plug] = &found.plugs[..] else { panic!("{:?}", found.plugs) };
        close(plug.near.room, room);
        assert_eq!(plug.passes, room >= 0.0);
        assert_eq!(plug.near.what, "run one");
        assert_eq!(codes(&found), if room < 0.0 { vec!["plug-access"] } else { vec![] });
    }
}

/// A tube goes down 100 mm and turns back up on a radius of 60 mm: its lowest place is 100 + 60 + 20 mm down,
/// in the middle of the bend, 100 + 30 pi mm from its start.
#[test]
fn the_ground_under_a_bend() {
    let mut design =
        scene("[0, 0, -1]", "[{ straight = 100 }, { bend = 180, radius = 60 }]", "inside = [1, 0, 0]");
    design.bay.ground = Some(Ground { at: DVec3::new(7.0, 5.0, -280.0), up: DVec3::Z, required: 100.0 });
    let found = checked(&design);
    let ground = found.ground.as_ref().expect("a ground");
    close(ground.near.room, 100.0);
    close(ground.near.station.expect("a tube"), 100.0 + 30.0 * std::f64::consts::PI);
    // At 0 to rounding, so it may be found a hair too low; not by a 0.1 micrometre.
    if let Some(ground) = &mut design.bay.ground {
        ground.required -= 1e-7;
    }
    assert!(codes(&checked(&design)).is_empty());

    design.bay.rock = Some(Rock {
        at: DVec3::ZERO,
        axis: DVec3::X,
        forward: 0.0,
        back: 0.0,
        shift: DVec3::new(1.0, 2.0, 3.0),
    });
    let found = checked(&design);
    close(found.ground.as_ref().expect("a ground").near.room, 97.0);
    close(found.ground.as_ref().expect("a ground").cold, 100.0);
    assert_eq!(codes(&found), ["ground"]);
}

#[test]
fn a_drain_leans_by_half_a_right_angle() {
    for (largest, codes_wanted) in [(45.0, vec![]), (44.9, vec!["drain-angle"])] {
        let mut design = straight();
        let along = DVec3::new(1.0, 0.0, -1.0).normalize();
        design.bay.drain = Some(Drain { along, up: DVec3::Z, largest: from_degrees(largest) });
        let found = checked(&design);
        close(found.drain.expect("a drain").angle, from_degrees(45.0));
        assert_eq!(codes(&found), codes_wanted);
    }
}

/// A flange with a hole `off` mm to either side of its tube, for M8: 13 across flats, a socket 21.2 across.
fn bolted(off: f64) -> Design {
    let more = format!(
        "[flange.head]\nports = [\"one\"]\nthickness = 8\nalloy = \"304\"\nmargin = 8\n\
         holes = [{{ at = [{off}, 0], d = 9 }}, {{ at = [-{off}, 0], d = 9 }}]"
    );
    scene("[1, 0, 0]", "[{ straight = 300 }]", &more)
}

fn ball(name: &str, at: DVec3, radius: f64) -> Obstacle {
    let form = Form::Sphere { at, radius };
    Obstacle { name: name.to_owned(), class: Class::Fixed, required: 0.0, on: Holder::Engine, form }
}

#[test]
fn a_straight_tube_beside_a_bolt() {
    for (off, room) in [(40.0, 9.4), (31.0, 0.4), (29.0, -1.6)] {
        let found = checked(&bolted(off));
        let [first, second] = &found.bolts[..] else { panic!("{:?}", found.bolts) };
        assert_eq!((first.bolt, second.bolt), (1, 2));
        for bolt in [first, second] {
            close(bolt.socket, 21.2);
            close(bolt.room().expect("the tube"), room);
            close(bolt.at.x, 8.0);
            assert_eq!(bolt.along, DVec3::X);
            assert_eq!(bolt.passes, room >= 0.0);
        }
    }
}

/// The handle, 13 wide, turns about a bolt 40 mm from the axis of a tube 40 across: it meets the tube within
/// asin((20 + 6.5) / 40) of the way to it.
#[test]
fn a_spanner_swings_until_it_meets_the_tube() {
    let mut design = bolted(40.0);
    let fastener = design.flanges[0].fastener.as_mut().expect("a fastener");
    (fastener.tool, fastener.swing) = (Some(ToolKind::Spanner), from_degrees(260.0));
    let found = checked(&design);
    let free = 360.0 - 2.0 * to_degrees(geom::math::asin(26.5 / 40.0));
    for bolt in &found.bolts {
        let swing = to_degrees(bolt.swing);
        assert!(swing <= free && swing > free - 2.0 * 360.0 / 144.0, "{swing} of {free}");
        assert!(bolt.passes && bolt.other_tool_passes());
        assert_eq!(bolt.stops.len(), 1);
    }
    design.flanges[0].fastener.as_mut().expect("a fastener").swing = from_degrees(290.0);
    let found = checked(&design);
    assert_eq!(codes(&found), ["bolt-access"; 2]);
    assert!(found.findings[0].message.contains("a socket would do"), "{}", found.findings[0].message);
}

/// A ball ahead of bolt 2 reaches 2 mm into its socket's way, and lies above the spanner's.
#[test]
fn a_ball_ahead_of_a_bolt() {
    let mut design = bolted(40.0);
    design.flanges[0].fastener.as_mut().expect("a fastener").tool = Some(ToolKind::Socket);
    let at = checked(&design).bolts[1].at;
    let aside = DVec3::new(0.0, at.y, at.z).normalize();
    design.bay.obstacles.push(ball("ball", at + DVec3::X * 60.0 + aside * 18.6, 10.0));
    let found = checked(&design);
    assert!(found.bolts[0].passes);
    close(found.bolts[1].room().expect("the ball"), -2.0);
    assert_eq!(codes(&found), ["bolt-access"]);
    assert_eq!(found.findings[0].place, "head, bolt 2");
    let message = &found.findings[0].message;
    assert!(
        message.contains("2.0 mm more room beside ball") && message.contains("a spanner would do"),
        "{message}"
    );
    assert!(message.contains("21.2 mm"), "{message}");
}

/// A scan of the head with a stud in each hole, 8 across, on a face behind the plate: each bolt's own stud is left
/// out, up to three hole diameters out of the plate, and what stands beside it is not; on a moving part nothing is.
#[test]
fn a_stud_does_not_stand_in_its_own_sockets_way() {
    let text = scene::obstacle("engine", "file = \"e.stl\"\nunits = \"mm\"\nplace = \"as scanned\"", "");
    let mut design = bolted(40.0);
    design.bay.obstacles = scene::straight(&text).bay.obstacles;
    design.flanges[0].fastener.as_mut().expect("a fastener").tool = Some(ToolKind::Socket);
    let found = |design: &Design, stud: f64, speck: &[DVec3]| {
        let layout = layout::lay(design).unwrap();
        let studs = layout.plates[0].holes.iter().flat_map(|hole| stud_of(hole.at.x, hole.at.y, stud));
        let frame = layout.plates[0].frame;
        let at = |p: DVec3| frame.at + frame.inside * p.x + frame.side() * p.y + frame.along * p.z;
        let studs: Vec<[DVec3; 3]> = studs.map(|corners| corners.map(at)).collect();
        let specks: Vec<DVec3> = speck.iter().map(|&p| at(p)).collect();
        check(design, &layout, &[Some(scene::placed(&studs, &specks))])
    };
    // The socket begins 8 mm from the face, and the holes are 9 wide: a stud may end at 8 + 27.
    for (stud, passes) in [(34.0, true), (36.0, false)] {
        let found = found(&design, stud, &[]);
        assert!(found.bolts.iter().all(|bolt| bolt.passes == passes), "{stud}: {:?}", found.bolts);
    }
    let beside = found(&design, 34.0, &[DVec3::new(40.0 + 6.0, 0.0, 20.0)]);
    assert_eq!(beside.bolts.iter().filter(|bolt| !bolt.passes).count(), 1);
    design.bay.obstacles[0].class = Class::Moving;
    assert!(found(&design, 34.0, &[]).bolts.iter().all(|bolt| !bolt.passes));
}

/// The sides of a stud of a plate, 8 across, from 5 mm behind its face to `end`, in the plate's own axes.
fn stud_of(x: f64, y: f64, end: f64) -> Vec<[DVec3; 3]> {
    let corner = |k: usize, z: f64| {
        let turn = std::f64::consts::TAU * k as f64 / 8.0;
        DVec3::new(x + 4.0 * geom::math::cos(turn), y + 4.0 * geom::math::sin(turn), z)
    };
    let side = |k: usize| {
        let [a, b, c, d] = [corner(k, -5.0), corner(k + 1, -5.0), corner(k + 1, end), corner(k, end)];
        [[a, b, c], [a, c, d]]
    };
    (0..8).flat_map(side).collect()
}

/// The ring on the plate's back, 20 mm from the axis, under a ceiling 35 mm from it: within 60 degrees of straight
/// toward it there is less than 25 mm of room.
#[test]
fn a_torch_under_a_ceiling() {
    let mut design = bolted(40.0);
    design.runs[0].in_place = [true, false];
    let form = Form::HalfSpace { at: DVec3::new(0.0, 0.0, 35.0), out: -DVec3::Z };
    design.bay.obstacles.push(Obstacle { form, ..ball("ceiling", DVec3::ZERO, 1.0) });
    let found = checked(&design);
    let [torch] = &found.torches[..] else { panic!("{:?}", found.torches) };
    close(torch.room().expect("the ceiling"), 15.0);
    close(torch.at.x, 8.0);
    let [[from, to]] = torch.shut[..] else { panic!("{:?}", torch.shut) };
    close(to_degrees(to - from), 120.0);
    assert_eq!(codes(&found), ["torch-access"]);
    design.bay.obstacles[0].form = Form::HalfSpace { at: DVec3::new(0.0, 0.0, 45.001), out: -DVec3::Z };
    assert!(codes(&checked(&design)).is_empty());
}

fn moved(along: DVec3, distance: f64) -> Move {
    Move { along: along.normalize(), distance }
}

/// The tube, 20 mm in radius, moves up past a ball of 10 mm at a height of 60 mm. Their axes pass 25 mm apart: the ball
/// reaches 5 mm in, and they touch where they are 30 mm apart, the square root of 30 squared less 25 squared below it.
#[test]
fn a_ball_in_the_way_out() {
    let mut design = straight();
    design.bay.obstacles.push(ball("ball", DVec3::new(150.0, 25.0, 60.0), 10.0));
    design.bay.way_out = vec![moved(DVec3::Y, 0.5), moved(-DVec3::Y, 0.5), moved(DVec3::Z, 200.0)];
    let found = checked(&design);
    let [passage] = &found.way_out[..] else { panic!("{:?}", found.way_out) };
    let touch = 60.0 - (30.0_f64.powi(2) - 25.0_f64.powi(2)).sqrt();
    let (number, along) = passage.met.expect("the ball");
    assert_eq!(number, 3);
    assert!(along >= touch && along < touch + 1.0, "{along} of {touch}");
    assert!(passage.near.room >= -5.0 && passage.near.room < -2.0, "{}", passage.near.room);
    assert_eq!(codes(&found), ["way-out"]);

    for (off, room) in [(33.0, 3.0), (30.2, 0.2)] {
        design.bay.obstacles[0] = ball("ball", DVec3::new(150.0, off, 60.0), 10.0);
        design.bay.way_out = vec![moved(DVec3::Z, 200.0)];
        let found = checked(&design);
        let least = found.way_out[0].near.room;
        assert!(found.way_out[0].passes() && least > room - 1e-9 && least <= room + 0.5, "{least}");
        assert!(codes(&found).is_empty());
    }
}

/// A ball that touches the tube at the start: away from it is a way out, along it too, toward it none.
#[test]
fn what_touches_at_the_start() {
    for (along, passes) in [(DVec3::Z, true), (-DVec3::Y, true), (DVec3::X, true), (DVec3::Y, false)] {
        let mut design = straight();
        design.bay.obstacles.push(ball("ball", DVec3::new(150.0, 30.0, 0.0), 10.0));
        design.bay.way_out = vec![moved(along, 100.0)];
        assert_eq!(checked(&design).way_out[0].passes(), passes, "{along}");
    }
}

/// A plate on its way down through a sheet of a scan, of which no depth is known: it meets it all the same.
#[test]
fn a_plate_does_not_pass_through_a_sheet() {
    let flange = "[flange.head]\nports = [\"a\"]\nthickness = 8\nalloy = \"304\"\nmargin = 8\n\
         holes = [{ at = [-34, 0], d = 8.5 }, { at = [34, 0], d = 8.5 }]\n";
    let sheet = scene::obstacle("sheet", "file = \"s.stl\"\nunits = \"mm\"\nplace = \"as scanned\"", "");
    let mut design = scene::straight(&format!("{flange}{sheet}"));
    design.flanges.iter_mut().for_each(|flange| flange.fastener = None);
    design.bay.way_out = vec![moved(-DVec3::Z, 200.0)];
    let corner = |x: f64, y: f64| DVec3::new(x, y, -100.0);
    let scan = scene::placed(&[[corner(-20.0, -90.0), corner(20.0, -90.0), corner(4.0, 90.0)]], &[]);
    let found = clearance::check(&design, &scene::laid(&design), &[Some(scan)]);
    let plate = found.way_out.iter().find(|passage| passage.subject == "head").expect("the plate");
    let (_, along) = plate.met.expect("the sheet");
    assert!(along > 50.0 && along < 90.0, "{along}");
}
