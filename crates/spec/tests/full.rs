//! A spec and a shop file with every key, and the Design and the Shop that they mean.

use std::f64::consts::PI;

use geom::DVec3;
use geom::unit::Units;
use spec::design::{
    BungAt, CouplingKind, FittingAt, FittingPart, From, Inlets, Making, Miter, On, Paper, Path, PathVertex,
    Place, Sensor, Set, To, Toward, Way,
};
use spec::shop::Reference;
use spec::{Design, Origins, Source, read_design, read_shop};

const SPEC: &[u8] = include_bytes!("data/full.toml");
const SHOP: &[u8] = include_bytes!("data/full.shop.toml");

fn design() -> (Design, Origins) {
    let source = Source::from_bytes("some/full.toml", SPEC).unwrap();
    read_design(&source, &mut |path| {
        assert_eq!(path, "full.shop.toml");
        Ok(Source::from_bytes(path, SHOP).unwrap())
    })
    .unwrap_or_else(|faults| panic!("{}", faults.iter().map(|f| format!("{f}\n")).collect::<String>()))
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} is not {b}");
}

fn near_vector(a: DVec3, b: [f64; 3]) {
    assert!((a - DVec3::from_array(b)).length() < 1e-9, "{a} is not {b:?}");
}

#[test]
fn the_head_of_a_spec() {
    let (design, _) = design();
    assert_eq!((design.name.as_str(), design.title.as_str()), ("full", "Every key (invented)"));
    assert_eq!((design.note.as_str(), design.units, design.paper), ("for the tests", Units::Inch, Paper::A4));
    assert_eq!(design.shop.name, "Shed (invented)");
    let accepted = &design.accepted[0];
    assert_eq!((accepted.code.as_str(), accepted.place.as_str()), ("closure", "rows"));
    assert_eq!(accepted.why, "a slip joint takes it up");
    let group = &design.groups[0];
    assert_eq!((group.name.as_str(), group.target, group.spread), ("primaries", Some(16.0 * 25.4), 3.0));
}

#[test]
fn places_keep_the_order_of_the_file() {
    let (design, _) = design();
    let names: Vec<&str> = design.ports.iter().map(|port| port.name.as_str()).collect();
    assert_eq!(names, ["one", "two", "three", "four", "five", "six", "seven"]);
    near_vector(design.ports[0].at, [0.0, 25.4, -25.4]);
    near_vector(design.ports[0].along, [1.0, 0.0, 0.0]);
    near_vector(design.flanges[0].at, [254.0, 508.0, 762.0]);
    near_vector(design.flanges[0].along, [0.0, 0.0, -1.0]);
    let host = &design.hosts[0];
    near(host.radius, 50.8);
    near(host.slope, -0.05);
    near(host.length, 254.0);
}

#[test]
fn merges() {
    let (design, _) = design();
    let merge = &design.merges[0];
    assert_eq!((merge.name.as_str(), merge.legs, merge.way), ("collector", 2, Way::Fitted));
    near(merge.section.od, 44.45);
    near(merge.section.wall, 1.65);
    near(merge.convergence, 0.2);
    assert_eq!(merge.inlets, Inlets::Gap(6.0));
    // (1, 1, 1) is square to (1, 0, -1) as it stands.
    let third = 1.0 / 3_f64.sqrt();
    near_vector(merge.inside, [third, third, third]);
    let cone = merge.cone.unwrap();
    near(cone.mouth, 76.2);
    near(cone.length, 101.6);
    // The small end is the outlet's: ASME B36.10M, NPS 2 is 60.3 mm.
    near(cone.section.od, 60.3);
    near(cone.section.wall, 1.651);
    assert_eq!(design.merges[1].inlets, Inlets::Length(127.0));
    assert_eq!((design.merges[1].way, design.merges[1].cone), (Way::Trimmed, None));
}

#[test]
fn a_run_of_bend_rows() {
    let (design, _) = design();
    let run = &design.runs[0];
    assert_eq!((run.from, run.to), (From::Port(0), To::Leg { merge: 0, leg: 1 }));
    assert_eq!((run.making, run.group), (Making::Drawn, Some(0)));
    // (1, 0, 1) turned square to (1, 0, 0).
    near_vector(run.inside.unwrap(), [0.0, 0.0, 1.0]);
    let Path::Rows { rows, tail } = &run.path else { panic!("{:?}", run.path) };
    let expected = [(38.1, 0.0, 45.0, 63.5), (0.0, -90.0, 30.0, 76.2), (50.8, 180.0, 90.0, 63.5)];
    assert_eq!(rows.len(), expected.len());
    for (row, (feed, rotate, bend, radius)) in rows.iter().zip(expected) {
        near(row.feed, feed);
        near(row.rotate, rotate * PI / 180.0);
        near(row.bend, bend * PI / 180.0);
        near(row.radius, radius);
    }
    assert_eq!(*tail, 0.0);
    assert_eq!(run.sections.len(), 2);
    near(run.sections[0].section.od, 41.275);
    near(run.sections[1].from, 76.2);
    near(run.sections[1].section.od, 44.45);
    assert_eq!(run.start_cut, Some(Miter { angle: 20.0 * (PI / 180.0), roll: PI / 2.0 }));
    assert_eq!((run.end_cut, run.target), (None, Some(406.4)));
    let (length, angle) = run.allowed_gap.unwrap();
    near(length, 2.0);
    near(angle, PI / 180.0);
}

#[test]
fn runs_of_vertices() {
    let (design, _) = design();
    let run = |name: &str| design.runs.iter().find(|run| run.name == name).unwrap();
    let Path::Vertices(vertices) = &run("vertices").path else { panic!() };
    let middle = Place::At(DVec3::new(5.0, -3.0, -4.0) * 25.4);
    assert_eq!(vertices[0], PathVertex { place: Place::Out(3.0 * 25.4), radius: 63.5 });
    assert_eq!(vertices[1], PathVertex { place: middle, radius: 3.0 * 25.4 });
    assert_eq!(vertices[2], PathVertex { place: Place::Back(4.0 * 25.4), radius: 63.5 });
    assert_eq!(run("vertices").making, Making::Assembled);
    assert_eq!(run("link").path, Path::Vertices(Vec::new()));
    assert_eq!((run("link").from, run("link").to), (From::Merge(0), To::Leg { merge: 1, leg: 0 }));
    let Path::Vertices(tail) = &run("tail").path else { panic!() };
    assert_eq!((tail[1].radius, run("tail").to), (0.0, To::Open));
    assert_eq!(run("branch").to, To::Host(0));
    assert_eq!(run("branch").path, Path::Rows { rows: Vec::new(), tail: 12.0 * 25.4 });
    assert_eq!(run("short").to, To::Flange(0));
}

#[test]
fn branches_and_the_runs_that_begin_at_them() {
    let (design, _) = design();
    let gate = &design.branches[0];
    assert_eq!((gate.name.as_str(), gate.on, gate.set), ("gate", On::Cone(0), Set::In));
    assert_eq!((gate.at, gate.offset), (50.8, -3.0));
    near(gate.angle, 40.0 * PI / 180.0);
    assert_eq!(gate.toward, Toward::Clock(PI / 2.0));
    let spare = &design.branches[1];
    assert_eq!((spare.on, spare.set, spare.offset), (On::Leg { merge: 1, leg: 1 }, Set::On, 0.0));
    assert_eq!(spare.toward, Toward::Direction(DVec3::NEG_Z));
    let run = design.runs.iter().find(|run| run.name == "gate").unwrap();
    assert_eq!((run.from, run.inside), (From::Branch(0), Some(DVec3::Z)));
}

#[test]
fn bungs_of_runs_and_of_groups() {
    let (design, _) = design();
    let [tap, egt] = &design.bungs[..] else { panic!("{:?}", design.bungs) };
    assert_eq!((tap.sensor, tap.thread.as_str(), tap.set), (Sensor::Pressure, "1/8 NPT", Set::In));
    assert_eq!((tap.od, tap.bore, tap.height), (16.0, 8.7, 20.0));
    let tool = tap.tool.unwrap();
    near(tool.od, 25.4);
    near(tool.length, 76.2);
    assert_eq!(tap.alloy.unwrap().name, "304");
    // The international pound is 0.45359237 kg by definition, an ounce a sixteenth of it.
    near(tap.mass.unwrap(), 0.028349523125);
    assert_eq!((egt.tool, egt.alloy, egt.mass, egt.set), (None, None, None, Set::On));
    let bungs = |name: &str| design.runs.iter().find(|run| run.name == name).unwrap().bungs.clone();
    let by_group = BungAt {
        bung: 1,
        at: 50.8,
        toward: Toward::Clock(PI),
        angle: PI / 2.0,
        key: "group.primaries.bungs[0]".into(),
    };
    assert_eq!(bungs("rows")[..], [by_group]);
    assert_eq!(bungs("vertices"), bungs("rows"));
    let own = &bungs("gate")[0];
    assert_eq!((own.toward, own.key.as_str()), (Toward::Direction(DVec3::Z), "run.gate.bungs[0]"));
    near(own.angle, 80.0 * PI / 180.0);
}

#[test]
fn fittings() {
    let (design, _) = design();
    let run = design.runs.iter().find(|run| run.name == "third").unwrap();
    near(run.hot.unwrap(), 750.0);
    let places: Vec<FittingAt> = run.fittings.iter().map(|fitting| fitting.at).collect();
    let stations = [25.4, 101.6, 6.0 * 25.4].map(FittingAt::Station);
    assert_eq!(places, [stations[0], FittingAt::End, stations[1], FittingAt::Start, stations[2]]);
    let parts: Vec<FittingPart> = run.fittings.iter().map(|fitting| fitting.part).collect();
    let couplings = [0, 1].map(FittingPart::Coupling);
    let slips = [0, 1].map(FittingPart::Slip);
    assert_eq!(parts, [slips[0], slips[1], FittingPart::Bellows(0), couplings[0], couplings[1]]);
    let cup = &design.slips[0];
    assert_eq!((cup.inner, cup.tabs, cup.least, cup.socket), (None, 2, None, 12.0));
    near(cup.sleeve(), 2.0 * 25.4 + 12.0);
    let between = &design.slips[1];
    assert_eq!((between.inner.unwrap().od, between.tabs, between.least), (41.275, 3, Some(25.4)));
    assert_eq!((between.outer.alloy.name, between.socket), ("321", 15.0));
    let flex = &design.bellows[0];
    assert_eq!((flex.od, flex.length, flex.socket, flex.lined), (101.6, 127.0, 12.7, true));
    assert_eq!((flex.axial, flex.lateral, flex.straight), (8.0, 6.0, Some(50.8)));
    near(flex.mass, 1.5 * 0.45359237);
    near(flex.angular, PI / 36.0);
    let quick = &design.couplings[0];
    assert_eq!((quick.kind.clone(), quick.gasket), (CouplingKind::VBand, 0.5));
    near(quick.mass.unwrap(), 0.18);
    near(quick.overall(), 25.9);
    let pair = &design.couplings[1];
    assert_eq!((pair.socket, pair.gasket, pair.mass), (0.0, 0.0, None));
    assert_eq!(pair.kind, CouplingKind::Flanged { bolts: 4, size: "3/8-16 x 1 1/2".into() });
}

#[test]
fn a_shop() {
    let shop = read_shop(&Source::from_bytes("full.shop.toml", SHOP).unwrap()).unwrap();
    assert_eq!((shop.torch_reach, shop.weld_shrinkage, shop.least_piece), (70.0, 0.3, 25.0));
    near(shop.paper_thickness, 0.1016);
    near(shop.slip_gap, 0.8);
    assert_eq!(shop.saw.kerf, 1.2);
    near(shop.saw.swing, PI / 3.0);
    near(shop.accuracy.bend, PI / 720.0);
    near(shop.accuracy.turn, PI / 90.0);
    let die = &shop.dies[0];
    assert_eq!((die.name.as_str(), die.od, die.clr, die.grip), ("d45", 45.0, 70.0, 60.0));
    assert_eq!((die.tail, die.trim, die.longest), (45.0, 5.0, 3000.0));
    near(die.largest, 170.0 * PI / 180.0);
    // 2 degrees over a bend of 90 degrees.
    near(die.springback * PI / 2.0, 2.0 * PI / 180.0);
    near(die.springback_fixed, 0.5 * PI / 180.0);
    near(die.stretch * PI / 2.0, 1.2);
    assert_eq!(die.reference, Reference::ClampFace(55.0));
    let bend = &shop.bends[0];
    near(bend.angle, PI / 2.0);
    near(bend.legs[1], 101.6);
    assert_eq!((bend.clr, bend.wall, bend.alloy.name), (68.0, 1.5, "304"));
    assert_eq!((shop.tubes[0].length, shop.tubes[0].alloy.name), (3000.0, "mild steel"));
}

#[test]
fn a_printer() {
    let printer = read_shop(&Source::from_bytes("full.shop.toml", SHOP).unwrap()).unwrap().printer;
    assert!(printer.stated);
    near(printer.bed[0], 210.0);
    near(printer.bed[1], 203.2);
    assert_eq!((printer.height, printer.nozzle, printer.wall), (205.0, 0.6, Some(2.4)));
    assert_eq!((printer.material.as_str(), printer.density), ("PETG", 1270.0));
    assert_eq!((printer.fit_gap, printer.spigot, printer.apart), (0.25, 15.0, 4.0));
    near(printer.overhang, 50.0 * PI / 180.0);
    // What a cube of 49.9 mm lacks of 50 mm.
    near(printer.scale[0], 1.0);
    near(printer.scale[1] * 49.9, 50.0);
    near(printer.scale[2] * 50.05, 50.0);
}

#[test]
fn every_value_knows_where_it_was_written() {
    let (_, origins) = design();
    let written = |key: &str| {
        let (source, span) = origins.find(key);
        (source.name.clone(), source.text[span].to_owned())
    };
    let spec = |text: &str| ("some/full.toml".to_owned(), text.to_owned());
    assert_eq!(written("run.rows"), spec("rows"));
    assert_eq!(written("run.rows.path[3]"), spec("{ bend = \"30 deg\", rotate = 270, radius = 3 }"));
    assert_eq!(written("run.rows.path[3].radius"), spec("3"));
    assert_eq!(written("run.rows.path[5].radius"), spec("{ bend = 90, rotate = -180 }"));
    assert_eq!(written("merge.collector.at"), spec("[10, 0, -10]"));
    assert_eq!(written("merge.collector.cone.mouth"), spec("3"));
    assert_eq!(written("run.tail.end_cut.angle"), spec("45"));
    assert_eq!(written("shop"), spec("\"full.shop.toml\""));
    assert_eq!(written("shop.die.d45.clr"), ("full.shop.toml".to_owned(), "70".to_owned()));
    assert_eq!(written("nothing.of.the.kind"), spec(""));
    let fault = origins.diagnostic("run.rows.end_cut", "code", "message", "label", "help");
    assert_eq!((fault.source.name.as_str(), fault.code), ("some/full.toml", "code"));
}

#[test]
fn the_starters_read_without_a_shop_file() {
    for layout in spec::StarterLayout::ALL {
        let source = Source::from_bytes(layout.name(), spec::starter(layout).as_bytes()).unwrap();
        let read = read_design(&source, &mut |path| Err(format!("{path} was asked for")));
        let (design, _) = read.unwrap_or_else(|faults| panic!("{}: {}", layout.name(), faults[0]));
        assert_eq!(design.runs.len(), design.ports.len() + 1);
        assert!(design.title.contains("invented"));
    }
}
