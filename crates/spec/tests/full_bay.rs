//! Every word of the bay in data/full.toml, and what it means.

use std::f64::consts::PI;

use geom::DVec3;
use scan::Format;
use spec::design::{Class, Fastener, Form, Holder, Isolated, Move, Obstacle, ScanFile, ToolKind};
use spec::shop::ClearanceRules;
use spec::{Design, Source, read_design};

const SPEC: &[u8] = include_bytes!("data/full.toml");
const SHOP: &[u8] = include_bytes!("data/full.shop.toml");
const IN: f64 = 25.4;

fn design() -> Design {
    let source = Source::from_bytes("some/full.toml", SPEC).unwrap();
    read_design(&source, &mut |path| Ok(Source::from_bytes(path, SHOP).unwrap())).unwrap().0
}

fn obstacle<'a>(design: &'a Design, name: &str) -> &'a Obstacle {
    design.bay.obstacles.iter().find(|o| o.name == name).unwrap()
}

fn scan_file<'a>(design: &'a Design, name: &str) -> &'a ScanFile {
    let Form::Scan(file) = &obstacle(design, name).form else { panic!("{name}") };
    file
}

fn near(a: DVec3, b: [f64; 3]) {
    assert!(a.distance(DVec3::from_array(b)) < 1e-9, "{a} is not {b:?}");
}

#[test]
fn a_scan_is_mirrored_then_turned_then_moved() {
    let design = design();
    let wing = scan_file(&design, "wing");
    assert_eq!((wing.file.as_str(), wing.key.as_str()), ("scans/wing.PLY", "obstacle.wing.file"));
    assert_eq!((wing.format, wing.one_sided, wing.residual), (Format::Ply, true, None));
    assert_eq!(wing.isolated, Some(Isolated { within: 12.7, least: 3 }));
    assert_eq!((wing.placement.scale, wing.placement.mirrors()), (304.8, true));
    // (1, 2, 3) ft: mirrored (1, -2, 3), a quarter turn about z (2, 1, 3), moved by (1, 2, 3) in.
    let expected = [2.0, 1.0, 3.0].map(|ft| ft * 304.8);
    near(wing.placement.apply(DVec3::new(1.0, 2.0, 3.0)) - DVec3::new(1.0, 2.0, 3.0) * IN, expected);
}

#[test]
fn a_scan_is_placed_by_matched_points() {
    let design = design();
    let block = scan_file(&design, "block");
    assert_eq!((block.format, block.one_sided, block.isolated), (Format::E57, false, None));
    assert!(block.residual.unwrap() < 1e-9 && block.placement.mirrors());
    near(block.placement.apply(DVec3::new(-0.5, 0.25, 2.0)), [500.0, 250.0, 2000.0]);
    assert_eq!(obstacle(&design, "block").on, Holder::Engine);
}

#[test]
fn plain_bodies() {
    let design = design();
    let Form::Box { frame, half } = &obstacle(&design, "rail").form else { panic!() };
    near(frame.at, [IN, 0.0, 0.0]);
    near(frame.along, [0.0, 1.0, 0.0]);
    near(frame.inside, [1.0, 0.0, 0.0]);
    near(*half, [IN, 2.0 * IN, 3.0 * IN]);
    let (from, to) = (DVec3::ZERO, DVec3::Z * 10.0 * IN);
    assert_eq!(obstacle(&design, "shaft").form, Form::Cylinder { from, to, radius: 12.7 });
    assert_eq!(obstacle(&design, "line").form, Form::Capsule { from, to, radius: IN });
    assert_eq!(obstacle(&design, "loom").form, Form::Sphere { at: DVec3::Z * IN, radius: IN });
    let bonnet = Form::HalfSpace { at: DVec3::Z * 20.0 * IN, out: DVec3::NEG_Z };
    assert_eq!(obstacle(&design, "bonnet").form, bonnet);
}

#[test]
fn clearances_are_the_obstacles_own_or_the_shops() {
    let design = design();
    let told: Vec<(&str, Class, f64)> =
        design.bay.obstacles.iter().map(|o| (o.name.as_str(), o.class, o.required)).collect();
    let expected = [
        ("wing", Class::Fixed, 11.0),
        ("block", Class::Moving, 21.0),
        ("rail", Class::Fixed, 9.0),
        ("shaft", Class::Steering, 16.0),
        ("line", Class::Fuel, 76.0),
        ("loom", Class::Wiring, 61.0),
        ("bonnet", Class::Fixed, 11.0),
    ];
    assert_eq!(told, expected);
    let ClearanceRules { tubes, ground, torch, .. } = design.shop.clearance;
    assert_eq!((tubes, ground, torch), (4.0, 101.0, 26.0));
}

#[test]
fn ground_rocking_way_out_plugs_and_drain() {
    let bay = design().bay;
    let ground = bay.ground.unwrap();
    assert_eq!((ground.at, ground.up, ground.required), (DVec3::NEG_Z * 254.0, DVec3::Z, 127.0));
    let rock = bay.rock.unwrap();
    assert_eq!((rock.at, rock.axis), (DVec3::Z * IN, DVec3::Y));
    assert!((rock.forward - 3.0 * PI / 180.0).abs() < 1e-15 && rock.back == 0.1);
    near(rock.shift, [0.0, 2.0, IN]);
    let out = [Move { along: DVec3::X, distance: 4.0 * IN }, Move { along: DVec3::NEG_Z, distance: 600.0 }];
    assert_eq!(bay.way_out, out);
    let plug = &bay.plugs[0];
    assert_eq!((plug.name.as_str(), plug.along, plug.radius), ("one", DVec3::Z, 12.7));
    near(plug.at, [0.0, IN, 2.0 * IN]);
    let drain = bay.drain.unwrap();
    assert_eq!((drain.along, drain.up), (DVec3::NEG_Z, DVec3::Z));
    assert!((plug.length - 127.0).abs() < 1e-12 && (drain.largest - PI / 12.0).abs() < 1e-15);
}

#[test]
fn fasteners_fixed_flanges_and_welds_in_place() {
    let design = design();
    let flange = |name: &str| design.flanges.iter().find(|f| f.name == name).unwrap();
    assert_eq!((flange("turbine").fixed, flange("turbine").fastener), (false, None));
    // A hole of 13/32 in is for 3/8 in, whose hex is 9/16 in across flats (ASME B18.2.1, from memory).
    let by_hole = Fastener { across: 0.5625 * IN, tool: None, reach: 100.0, swing: 60.0 * PI / 180.0 };
    assert!(flange("stand").fixed);
    let told = flange("stand").fastener.unwrap();
    assert_eq!((told.across, told.tool, told.reach), (by_hole.across, by_hole.tool, by_hole.reach));
    assert!((told.swing - by_hole.swing).abs() < 1e-15);
    let told = flange("other").fastener.unwrap();
    assert_eq!((told.across, told.tool), (17.0, Some(ToolKind::Spanner)));
    assert!((told.reach - 6.0 * IN).abs() < 1e-12 && (told.swing - PI / 6.0).abs() < 1e-15);
    let run = |name: &str| design.runs.iter().find(|run| run.name == name).unwrap();
    assert_eq!((run("six").in_place, run("seven").in_place), ([false, true], [false, false]));
}
