//! The room of points: scenes worked out by hand, every item asked, any number of threads.

mod scene;

use clearance::{map, map_on};
use geom::DVec3;
use scene::{Dice, close, obstacle, placed, straight};

fn patches(dice: &mut Dice, count: usize) -> Vec<[DVec3; 3]> {
    let mut point = || DVec3::from([(); 3].map(|()| 400.0 * dice.next()));
    let patch = |_| {
        let (a, b, c) = (point(), point(), point());
        [a, a + 0.05 * (b - a), a + 0.05 * (c - a)]
    };
    (0..count).map(patch).collect()
}

/// The obstacle that leaves the least room counts, not the nearest; inside a ball the distance is below 0.
#[test]
fn a_point_has_the_room_that_its_worst_obstacle_leaves() {
    let ball = obstacle("ball", "sphere = { at = [0, 0, 100], d = 40 }", "clearance = 10");
    let line = "[obstacle.line]\nclass = \"fuel\"\ncapsule = { from = [-50, 0, -200], to = [50, 0, -200], d = 10 }\n";
    let bonnet = obstacle("bonnet", "half_space = { at = [0, 0, 300], out = [0, 0, -1] }", "");
    let design = straight(&format!("{ball}{line}{bonnet}"));
    let points = [0.0, 60.0, 95.0, 290.0].map(|z| DVec3::Z * z);
    let rooms = map(&points, &design.bay, &vec![None; 3]);
    // At 0 the ball is 80 off and needs 10; the line 195 and needs 75.
    let told = [(80.0, 10.0), (20.0, 10.0), (-15.0, 10.0), (10.0, 12.0)];
    for (room, (distance, required)) in rooms.iter().zip(told) {
        close(room.distance, distance, 1e-9);
        close(room.required, required, 1e-9);
        close(room.margin(), distance - required, 1e-9);
    }
    let alone = map(&points, &straight("").bay, &[]);
    assert!(alone.iter().all(|room| room.distance == f64::INFINITY));
}

/// Against the least distance to any of a scan's triangles and points, each asked alone.
#[test]
fn a_scan_is_asked_as_if_every_item_were() {
    let mut dice = Dice(7);
    let triangles = patches(&mut dice, 300);
    let loose: Vec<DVec3> = patches(&mut dice, 50).iter().map(|t| t[0]).collect();
    let scan = obstacle("bay", "file = \"bay.stl\"\nunits = \"mm\"\nplace = \"as scanned\"", "");
    let beam = obstacle("beam", "box = { at = [200, 200, 200], size = [60, 60, 60] }", "");
    let design = straight(&format!("{scan}{beam}"));
    let scans = [Some(placed(&triangles, &loose)), None];
    let points: Vec<DVec3> = patches(&mut dice, 3000).iter().map(|t| t[0]).collect();
    let rooms = map_on(1, &points, &design.bay, &scans);
    for (point, room) in points.iter().zip(&rooms).step_by(10) {
        let ball = distance::Solid::Capsule(distance::Capsule { from: *point, to: *point, radius: 0.0 });
        let of_triangles = triangles.iter().map(|t| ball.to_triangle(*t).distance);
        let of_points = loose.iter().map(|p| p.distance(*point));
        let off = (*point - DVec3::splat(200.0)).abs() - DVec3::splat(30.0);
        let beam = off.max(DVec3::ZERO).length();
        let least = of_triangles.chain(of_points).fold(beam, f64::min);
        close(room.distance, least, 1e-9);
    }
    for threads in [2, 7] {
        assert_eq!(map_on(threads, &points, &design.bay, &scans), rooms);
    }
}
