//! What is sunk into parts, measured on the made parts of fixtures.

mod shared;

use distance::Tree;
use fitment::{Fitment, NoStore, Printed, Settings, Silent, Variant, make};
use geom::DVec3;
use geom::math::sin;
use layout::Layout;
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
        let near =
            |place: Option<geom::Frame>, reach: f64| place.is_some_and(|f| f.at.distance(middle) < reach);
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
