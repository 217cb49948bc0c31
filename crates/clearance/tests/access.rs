//! Small scenes with numbers that a person can check: plugs, ground, drain.

use clearance::{Clearance, check};
use geom::DVec3;
use geom::angle::from_degrees;
use spec::design::{Drain, Ground, Plug, Rock};
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
