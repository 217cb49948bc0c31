//! What is sunk into parts, measured on the made parts of fixtures.

mod shared;

use distance::Tree;
use fitment::{Fitment, NoStore, NodeKind, Printed, Settings, Silent, Variant, make};
use geom::math::sin;
use geom::{DVec3, Frame};
use layout::Layout;
use layout::flange_plate::{FlangePlate, Opening, PlateOf};
use plate::{DVec2, Loop};
use solids::Mesh;

const CHORD: f64 = 0.05;

/// The full model of a fixture, with its layout and settings.
fn model(name: &str) -> (Fitment, Layout, Settings) {
    let (_, design, layout) = shared::designs().into_iter().find(|(known, ..)| known == name).unwrap();
    let printer = design.shop.printer.clone();
    let settings = Settings { printer, variant: Variant::Solid, chord: CHORD, threads: 2 };
    let model = make(&design, &layout, &settings, &NoStore, &Silent).unwrap();
    (model, layout, settings)
}

fn tree(mesh: &Mesh) -> Tree {
    Tree::new(mesh.points.clone(), mesh.triangles.clone(), Vec::new())
}

/// The floors of what is sunk into a part near its marks, figures and datum: middle and area of every triangle that is
/// 0.45 to 0.75 mm within the whole header. The sides of figures are higher, joints deeper.
fn floors(part: &Printed, whole: &Tree) -> [Vec<(DVec3, DVec3)>; 2] {
    let mut floors = [Vec::new(), Vec::new()];
    for [a, b, c] in part.mesh.corners() {
        let (middle, area) = ((a + b + c) / 3.0, 0.5 * (b - a).cross(c - a));
        let near = |place: Option<Frame>, reach: f64| place.is_some_and(|f| f.at.distance(middle) < reach);
        let datum = near(part.datum, 2.0);
        let deep = |least: f64| whole.nearest_to_point(middle, least).is_none();
        if (datum || near(part.figures, 16.0)) && deep(0.45) && !deep(0.75) {
            floors[usize::from(datum)].push((middle, area));
        }
    }
    floors
}

/// As a part stands on its plate, its figures and its datum look no further down than the printer prints without support.
#[test]
fn figures_and_datums_need_no_support() {
    for name in ["branches", "open-values", "segmented", "host-cone"] {
        let (model, _, settings) = model(name);
        let whole = tree(&model.whole);
        let steepest = -sin(settings.printer.overhang) - 0.01;
        for part in &model.parts {
            let up = part.placement.turn.transpose() * DVec3::Z;
            let [figures, datum] = floors(part, &whole);
            let look = |area: &DVec3| area.normalize().dot(up);
            let total: f64 = figures.iter().map(|(_, area)| area.length()).sum();
            let down = figures.iter().filter(|(_, area)| look(area) < steepest);
            let down = down.map(|(_, area)| area.length()).sum::<f64>() / total;
            let cone = look(&datum.iter().map(|(_, area)| *area).sum());
            let text = format!("{name} {}: {down} of {total} mm2 look down, datum {cone}", part.mark);
            assert!(total > 20.0 && datum.len() > 4, "{text}");
            // A corner of a stroke's side may be as deep.
            assert!(down < 0.05 && cone > steepest, "{text}");
        }
    }
}

/// Full prints have a groove within the edge of every opening that they fill, 0.6 mm deep and two nozzles wide: its floor's
/// outer edge is the opening's at the face within the chord, its inner one runs the width within it, nothing stands outside.
#[test]
fn a_full_print_shows_its_openings() {
    for name in ["transitions", "plates"] {
        let (model, layout, settings) = model(name);
        let width = (2.0 * settings.printer.nozzle).max(0.8);
        let mut seen = 0;
        for (plan, part) in model.division.parts.iter().zip(&model.parts) {
            for node in plan.nodes.iter().map(|node| &model.nodes[*node]) {
                let NodeKind::Flange(index, number) = node.kind else { continue };
                let plate = &layout.plates[index];
                let at_head = node.holds.first().is_some_and(|hold| hold.from == 0.0);
                let floor = floor(plate, part, at_head);
                let outer = &plate.parts[number].outline.outer;
                for opening in plate.openings.iter().filter(|o| o.run.is_some() && outer.contains(o.centre)) {
                    for edge in edges(opening) {
                        groove(&edge, &floor, width, &format!("{name} {} {}", part.mark, opening.name));
                        seen += 1;
                    }
                }
            }
        }
        assert!(seen > 1, "{name}: {seen} openings");
    }
}

/// The part's points 0.6 mm below a plate's open face, on the plate's drawing.
fn floor(plate: &FlangePlate, part: &Printed, at_head: bool) -> Vec<DVec2> {
    assert!(matches!(plate.of, PlateOf::Flange(_)));
    let level = if at_head { plate.reach[0] + 0.6 } else { plate.reach[1] - 0.6 };
    let local = part.mesh.points.iter().map(|point| plate.frame.local_point(*point));
    local.filter(|p| (p.z - level).abs() < 2e-3).map(|p| p.truncate()).collect()
}

/// What is open in the steel at the face.
fn edges(opening: &Opening) -> Vec<Loop> {
    match (opening.transition, opening.ring(), opening.tube) {
        (true, _, _) => vec![opening.port.clone().unwrap()],
        (false, None, Some(tube)) => vec![Loop::circle(opening.centre, tube.inner())],
        _ => opening.cut.clone(),
    }
}

fn groove(edge: &Loop, floor: &[DVec2], width: f64, text: &str) {
    let near: Vec<DVec2> =
        floor.iter().copied().filter(|p| edge.nearest(*p).distance < width + 0.3).collect();
    let [mut on_outer, mut on_inner] = [0, 0];
    for point in &near {
        let off = edge.nearest(*point).distance;
        if off < 0.5 * width {
            assert!(off < 0.02, "{text}: {off} off the edge");
            on_outer += 1;
        } else {
            assert!(edge.contains(*point) && (off - width).abs() < 0.02, "{text}: {off} within the edge");
            on_inner += 1;
        }
    }
    assert!(on_outer > 7 && on_inner > 7, "{text}: {on_outer} and {on_inner}");
    for point in edge.points(CHORD) {
        let off = near.iter().map(|p| p.distance(point)).fold(f64::INFINITY, f64::min);
        assert!(off < 2.5, "{text}: {off} from the nearest of the floor");
    }
}
