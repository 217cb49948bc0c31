//! Random small scenes against the plain way: every body against every triangle; and what must not change a
//! distance: a mirror, a move of everything, the number of threads.

mod scene;

use clearance::{Clearance, check, check_on, subjects};
use geom::{DVec3, Similarity};
use scene::{Dice, close, laid, obstacle, placed, row, run};
use spec::Design;

const BENT: &str = "[{ straight = 80 }, { bend = 70, radius = 60 }, \
                     { straight = 40 }, { rotate = 110, bend = 50, radius = 80 }, { straight = 60 }]";
const SCAN: &str = "file = \"none.stl\"\nunits = \"mm\"\nplace = \"as scanned\"";

#[test]
fn a_scan_equals_every_triangle_one_by_one() {
    let design = run(BENT, 20.0, &format!("inside = [0, 0, 1]\n{}", obstacle("scan", SCAN, "")));
    let layout = laid(&design);
    let bodies = &subjects(&layout)[0].bodies;
    let mut dice = Dice(7);
    for round in 0..60 {
        let spread = 20.0 + 300.0 * dice.next();
        let middle = DVec3::new(120.0, 0.0, 60.0) + dice.point(150.0);
        let mut triangle = || {
            let at = middle + dice.point(spread);
            [0; 3].map(|_| at + dice.point(40.0))
        };
        let triangles: Vec<[DVec3; 3]> = (0..1 + round * 3).map(|_| triangle()).collect();
        let points: Vec<DVec3> = (0..round).map(|_| middle + dice.point(spread)).collect();
        let each = bodies.iter().flat_map(|body| {
            let points = points.iter().map(|p| body.solid.to_point(*p).distance);
            triangles.iter().map(|t| body.solid.to_triangle(*t).distance).chain(points)
        });
        let least = each.fold(f64::INFINITY, f64::min);
        let found = check(&design, &layout, &[Some(placed(&triangles, &points))]);
        assert_eq!(row(&found, "a", "scan").cold, least, "round {round}");
    }
}

/// A bent run with two plain bodies and an engine that rocks, mirrored in y where `side` is -1.
fn scene(side: f64) -> Design {
    let turned = if side > 0.0 { 110.0 } else { -110.0 };
    let path = BENT.replace("rotate = 110", &format!("rotate = {turned}"));
    let more = format!(
        "inside = [0, {}, 1]\n\
         [obstacle.ball]\nclass = \"fixed\"\nsphere = {{ at = [100, {}, 140], d = 30 }}\n\
         [obstacle.bar]\nclass = \"steering\"\ncylinder = {{ from = [60, {}, 20], to = [260, {}, 90], d = 25 }}\n\
         [obstacle.floor]\nclass = \"fixed\"\nhalf_space = {{ at = [0, 0, -45], out = [0, {}, 0.8] }}\n\
         [rock]\nat = [0, {}, -200]\naxis = [{}, 0.4, {}]\nforward = 3\nback = 2\nshift = [2, 1, 3]\n",
        0.3 * side,
        20.0 * side,
        70.0 * side,
        90.0 * side,
        0.6 * side,
        10.0 * side,
        -side,
        -0.2 * side
    );
    // An axis is turned about, so that its mirror image has the part along y kept and the others reversed; the one
    // of the first scene is written that way.
    run(&path, 650.0, &more)
}

#[test]
fn a_mirror_changes_no_distance() {
    let [left, right] = [1.0, -1.0].map(|side| scene::checked(&scene(side)));
    assert_eq!(left.rows.len(), 3);
    for (a, b) in left.rows.iter().zip(&right.rows) {
        close(a.cold, b.cold, 1e-9);
        close(a.distance, b.distance, a.within.max(b.within).max(1e-6));
        close(a.distance, b.distance, 1e-3);
        close(a.station.unwrap(), b.station.unwrap(), 0.5);
    }
}

/// Everything turned and moved together: bodies and points of a scan.
#[test]
fn a_move_of_everything_changes_no_distance() {
    let form = obstacle("scan", SCAN, "");
    let design = run(BENT, 20.0, &format!("inside = [0, 0, 1]\n{form}"));
    let layout = laid(&design);
    let mut dice = Dice(3);
    let mut triangle = || [0; 3].map(|_| DVec3::new(120.0, 0.0, 60.0) + dice.point(200.0));
    let triangles: Vec<[DVec3; 3]> = (0..80).map(|_| triangle()).collect();
    let rest = row(&check(&design, &layout, &[Some(placed(&triangles, &[]))]), "a", "scan").cold;
    let axis = DVec3::new(1.0, 2.0, -0.5).normalize();
    for k in 0..8 {
        let mut by = Similarity::turning(DVec3::new(5.0, 6.0, 7.0), axis, 0.7 * f64::from(k));
        by.shift += DVec3::new(-30.0, 12.0, 400.0) * f64::from(k);
        let mut moved = design.clone();
        moved.ports[0].at = by.apply(design.ports[0].at);
        moved.ports[0].along = by.linear * design.ports[0].along;
        moved.runs[0].inside = design.runs[0].inside.map(|inside| by.linear * inside);
        let triangles: Vec<[DVec3; 3]> = triangles.iter().map(|t| t.map(|p| by.apply(p))).collect();
        let found = check(&moved, &laid(&moved), &[Some(placed(&triangles, &[]))]);
        close(row(&found, "a", "scan").cold, rest, 1e-9);
    }
}

#[test]
fn any_number_of_threads_gives_the_same() {
    let design = scene(1.0);
    let layout = laid(&design);
    let on = |threads: usize| -> Clearance { check_on(threads, &design, &layout, &[None, None, None]) };
    let one = on(1);
    assert!(!one.rows.is_empty());
    assert!([2, 3, 8].into_iter().all(|threads| on(threads) == one));
}
