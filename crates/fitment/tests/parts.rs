//! Made-up headers made into parts: nothing is lost between them, and together they are the whole.

use std::f64::consts::PI;

use distance::Tree;
use fitment::part::{PartSolid, Stock};
use fitment::{
    Block, Division, Hold, NoStore, Node, NodeKind, Profile, Settings, Strand, Variant, divided, variant,
};
use geom::math::{cos, sin};
use geom::{DVec3, Frame};
use plate::{DVec2, Loop, Outline};
use solids::{Mesh, MeshSettings, extruded_mesh, rounded};
use spec::shop::Printer;
use tube::centreline::Segment;
use tube::{Centreline, Cut, Shape};

mod shared;

const CHORD: f64 = 0.1;

/// Four runs, each on a round plate with two bolt holes, into a merge whose legs lean 12 degrees, and its outlet,
/// which ends in a slant.
fn four_into_one() -> (Vec<Strand>, Vec<Node>) {
    let lean = 12.0 / 180.0 * PI;
    let (mut strands, mut nodes, mut legs) = (Vec::new(), Vec::new(), Vec::new());
    for i in 0..4_u8 {
        let around = (0.25 + 0.5 * f64::from(i)) * PI;
        let out = DVec3::new(cos(around), sin(around), 0.0);
        let up = Frame::new(DVec3::ZERO, out * sin(lean) + DVec3::Z * cos(lean), out).unwrap();
        let straight = |length: f64| Segment::Straight { length };
        let bend = |angle: f64, twist: f64| Segment::Arc { radius: 76.0, angle, twist };
        let segments = vec![straight(230.0), bend(1.2, 0.0), straight(110.0), bend(0.6, 1.5), straight(70.0)];
        let line = Centreline { start: up, segments }.reversed();
        let holds = vec![Hold { strand: strands.len(), from: 0.0, to: 20.0 }];
        let blocks = vec![plate(&line.start)];
        nodes.push(Node {
            name: format!("flange {i}"),
            kind: NodeKind::Flange(0, usize::from(i)),
            holds,
            blocks,
        });
        legs.push(Hold { strand: strands.len(), from: line.length() - 160.0, to: line.length() });
        strands.push(strand(line, 22.0, Cut::square(0.0)));
    }
    let down = Frame::new(DVec3::Z * 20.0, DVec3::NEG_Z, DVec3::X).unwrap();
    legs.push(Hold { strand: 4, from: 0.0, to: 70.0 });
    strands.push(strand(
        Centreline::straight(down, 250.0),
        31.75,
        Cut { roll: 0.4, shape: Shape::Plane { tilt: 0.3 }, ..Cut::square(250.0) },
    ));
    nodes.push(Node { name: "merge".to_owned(), kind: NodeKind::Merge(0), holds: legs, blocks: Vec::new() });
    (strands, nodes)
}

fn strand(line: Centreline, radius: f64, end: Cut) -> Strand {
    let length = line.length();
    let profile = |r: f64| Profile { points: vec![(0.0, r), (length, r)] };
    let ends = [Cut::square(0.0), Cut { station: length, ..end }];
    let (outside, bore) = (profile(radius), profile(radius - 1.6));
    let (joints, keeps, name) = (Vec::new(), Vec::new(), "run".to_owned());
    Strand { run: 0, name, origin: 0.0, outside, bore, wall: 1.6, ends, joints, keeps, line }
}

fn plate(start: &Frame) -> Block {
    let holes = vec![Loop::circle(DVec2::new(32.0, 0.0), 4.5), Loop::circle(DVec2::new(-32.0, 0.0), 4.5)];
    let settings = MeshSettings { chord: 0.5 * CHORD };
    let made = |outline: Outline, reach| extruded_mesh(&outline, start, reach, settings).unwrap();
    let outside = made(Outline::new(Loop::circle(DVec2::ZERO, 42.0), holes), [-4.0, 6.0]);
    let bore = made(Outline::new(Loop::circle(DVec2::ZERO, 20.4), Vec::new()), [-5.0, 7.0]);
    Block { mark: "F".to_owned(), outside, bores: vec![bore] }
}

struct Model {
    division: Division,
    parts: Vec<PartSolid>,
    whole: Mesh,
}

fn model(variant: Variant) -> Model {
    let (strands, nodes) = four_into_one();
    let printer = Printer { bed: [230.0, 230.0], height: 230.0, ..Printer::default() };
    let division = divided(&strands, &nodes, &printer).unwrap();
    let settings = Settings { printer, variant, chord: CHORD, threads: 1 };
    let made: Vec<variant::Made> = (0..strands.len())
        .map(|strand| {
            let own = nodes.iter().flat_map(|n| &n.holds).filter(|h| h.strand == strand);
            let held: Vec<[f64; 2]> = own.map(|h| [h.from, h.to]).collect();
            let joinings: Vec<_> = division.joinings.iter().filter(|j| j.strand == strand).collect();
            variant::made(&strands[strand], &held, &joinings, &settings).unwrap()
        })
        .collect();
    let grooves = vec![Vec::new(); nodes.len()];
    let stock = Stock {
        strands: &strands,
        nodes: &nodes,
        division: &division,
        made: &made,
        grooves: &grooves,
        settings: &settings,
        store: &NoStore,
    };
    let part = |plan| stock.marked(plan, &stock.plain(plan).unwrap(), DVec3::Z).unwrap();
    let parts = division.parts.iter().map(part).collect();
    let whole = stock.whole().unwrap();
    Model { division, parts, whole }
}

const VARIANTS: [Variant; 3] = [Variant::Solid, Variant::Shell, Variant::Skeleton];

/// The parts' volume is the whole's, less the sockets, more the spigots.
#[test]
fn nothing_is_lost_between_parts() {
    for variant in VARIANTS {
        let model = model(variant);
        let keys: f64 =
            model.division.joinings.iter().map(|j| j.keyed.spigot_volume() - j.keyed.socket_volume()).sum();
        let parts: f64 = model.parts.iter().map(|part| part.plain_volume).sum();
        let whole = model.whole.volume();
        let off = (parts - (whole + keys)) / whole;
        assert!(off.abs() < 1e-5, "{variant:?}: {off:e}");
        assert!(model.parts.len() > 5 && keys < -1000.0, "{variant:?}: {keys}");
    }
}

/// Every part is a solid, also in single precision in other axes; marked, and with a datum on its surface.
#[test]
fn parts_are_marked_solids() {
    for variant in VARIANTS {
        let model = model(variant);
        for (part, plan) in model.parts.iter().zip(&model.division.parts) {
            let text = format!("{variant:?} {}", plan.mark);
            part.mesh.check().unwrap();
            for turn in [shared::turned(0.7, -2.0), shared::turned(2.3, 0.4)] {
                let points = part.mesh.points.iter().map(|p| turn * *p).collect();
                rounded(&Mesh { points, ..part.mesh.clone() }).unwrap();
            }
            assert!(part.figures.is_some() && part.datum.is_some(), "{text}");
            let less = part.plain_volume + part.boss_volume - part.mesh.volume();
            assert!(less > 10.0, "{text}: {less}");
            assert!(part.boss_volume == 0.0 || variant != Variant::Solid, "{text}: {}", part.boss_volume);
            assert_eq!(part.united, !plan.nodes.is_empty(), "{text}");
        }
    }
}

/// No point of the whole's outside is further than 0.02 mm from a part, nor a part's from the whole but for what was
/// sunk and keyed.
#[test]
fn parts_together_are_the_whole() {
    let model = model(Variant::Solid);
    let mut parts = Mesh::default();
    for part in &model.parts {
        let first = parts.points.len() as u32;
        parts.points.extend(&part.mesh.points);
        parts.triangles.extend(part.mesh.triangles.iter().map(|t| t.map(|i| i + first)));
    }
    let together = Tree::new(parts.points, parts.triangles, Vec::new());
    let off = model.whole.points.iter().filter(|p| together.nearest_to_point(**p, 0.02).is_none()).count();
    // What was sunk took a few points of the surface away.
    assert!(off < model.whole.points.len() / 200, "{off} of {}", model.whole.points.len());
    let whole = Tree::new(model.whole.points.clone(), model.whole.triangles.clone(), Vec::new());
    for part in &model.parts {
        let near = part.mesh.points.iter().filter(|p| whole.nearest_to_point(**p, 0.02).is_some()).count();
        assert!(near > part.mesh.points.len() / 2, "{near}");
    }
}
