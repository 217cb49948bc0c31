//! The tree's answers are those of asking every item, in order.

mod common;

use common::Dice;
use distance::{Hit, Item, Misfit, Shell, Solid, Touch, Tree};
use geom::DVec3;

/// Triangles and loose points, some many times over.
fn scene(dice: &mut Dice, count: usize) -> (Vec<DVec3>, Vec<[u32; 3]>, Vec<u32>) {
    let size = [20.0, 60.0, 200.0][dice.below(3)];
    let mut points: Vec<DVec3> = Vec::new();
    let mut triangles = Vec::new();
    for _ in 0..dice.below(count) {
        let first = points.len() as u32;
        let (middle, reach) = (dice.vector(size), [0.0, 2.0, 15.0][dice.below(3)]);
        points.extend((0..3).map(|_| middle + dice.vector(reach)));
        triangles.push([first, first + 1, first + 2]);
        if dice.below(5) == 0 {
            triangles.push([first + 1, first + 2, first]);
        }
    }
    let first = points.len();
    points.extend((0..dice.below(count)).map(|_| dice.vector(size)));
    let mut loose: Vec<u32> = (first..points.len()).map(|i| i as u32).collect();
    loose.reverse();
    (points, triangles, loose)
}

/// Four triangles around a corner.
fn wedge(dice: &mut Dice) -> Solid {
    let at = dice.vector(40.0);
    let points = vec![at, at + DVec3::X * 30.0, at + DVec3::Y * 20.0, at + DVec3::Z * 25.0];
    Solid::Shell(Shell { points, triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]] })
}

#[test]
fn as_asking_every_item() {
    let mut dice = Dice(4);
    for round in 0..600 {
        let (points, triangles, loose) = scene(&mut dice, 60);
        let solids: Vec<Solid> = (0..1 + dice.below(4))
            .map(|_| {
                if dice.below(7) == 0 {
                    wedge(&mut dice)
                } else {
                    let kind = dice.below(5);
                    dice.solid(kind)
                }
            })
            .collect();
        let below = if dice.below(3) == 0 { dice.between(-5.0, 30.0) } else { f64::INFINITY };
        let mut best: Option<Hit> = None;
        for (solid, body) in solids.iter().enumerate() {
            let of_triangles = triangles
                .iter()
                .enumerate()
                .map(|(i, t)| (body.to_triangle(t.map(|k| points[k as usize])), Item::Triangle(i as u32)));
            let of_points = loose.iter().map(|&i| (body.to_point(points[i as usize]), Item::Point(i)));
            for (near, item) in of_triangles.chain(of_points) {
                if near.distance < best.map_or(below, |b| b.near.distance) {
                    best = Some(Hit { near, solid, item });
                }
            }
        }
        let tree = Tree::new(points, triangles, loose);
        assert_eq!(tree.nearest(&solids, below), best, "round {round}");
    }
}

#[test]
fn nearest_to_a_point_as_asking_every_item() {
    let mut dice = Dice(5);
    for round in 0..300 {
        let (points, triangles, loose) = scene(&mut dice, 60);
        let tree = Tree::new(points.clone(), triangles.clone(), loose.clone());
        let ball = |at: DVec3| Solid::Capsule(distance::Capsule { from: at, to: at, radius: 0.0 });
        for _ in 0..10 {
            let p = dice.vector(100.0);
            let below = if dice.below(3) == 0 { dice.between(-5.0, 60.0) } else { f64::INFINITY };
            let found = tree.nearest_to_point(p, below);
            let hit = tree.nearest(&[ball(p)], below);
            assert_eq!(found.is_some(), hit.is_some(), "round {round}");
            if let (Some(found), Some(hit)) = (found, hit) {
                assert!(
                    (found.distance - hit.near.distance).abs() < 1e-9,
                    "round {round}: {found:?} {hit:?}"
                );
                assert_eq!(found.distance, found.at.distance(p));
            }
        }
    }
}

/// Many points at once, near each other or not, with all kinds of limits: to the bit what each item alone, in a tree
/// of its own, says at its least.
#[test]
fn many_points_at_once_as_asking_every_item() {
    let mut dice = Dice(9);
    for round in 0..300 {
        let (mut points, triangles, loose) = scene(&mut dice, 40);
        let away = [0.0, 3000.0, 1e6][dice.below(3)];
        let off = dice.vector(away);
        points.iter_mut().for_each(|p| *p += off);
        let spread = [2.0, 30.0, 300.0][dice.below(3)];
        let mut asked: Vec<DVec3> = (0..dice.below(70)).map(|_| off + dice.vector(spread)).collect();
        asked.extend(points.iter().step_by(7));
        let limit = |dice: &mut Dice| [f64::INFINITY, dice.between(-5.0, 60.0)][dice.below(2)];
        let below: Vec<f64> = asked.iter().map(|_| limit(&mut dice)).collect();
        let alone = |triangles, loose| Tree::new(points.clone(), triangles, loose);
        let of_triangles = triangles.iter().enumerate();
        let items: Vec<(Tree, Item)> = of_triangles
            .map(|(i, t)| (alone(vec![*t], vec![]), Item::Triangle(i as u32)))
            .chain(loose.iter().map(|&i| (alone(vec![], vec![i]), Item::Point(i))))
            .collect();
        let tree = alone(triangles.clone(), loose.clone());
        let found = tree.nearest_to_points(&asked, &below);
        assert_eq!(found.len(), asked.len());
        for ((&p, &below), found) in asked.iter().zip(&below).zip(found) {
            let (mut best, mut least) = (None, below.max(0.0).powi(2));
            for (tree, item) in &items {
                let touch = tree.nearest_to_point(p, f64::INFINITY).expect("an item");
                let square = touch.at.distance_squared(p);
                if square < least {
                    (best, least) = (Some(Touch { item: *item, ..touch }), square);
                }
            }
            assert_eq!(found, best, "round {round}: {p} below {below}");
            assert_eq!(tree.nearest_to_point(p, below), best, "round {round}: {p} below {below}, alone");
        }
    }
}

#[test]
fn nothing_in_nothing() {
    let tree = Tree::new(Vec::new(), Vec::new(), Vec::new());
    let mut dice = Dice(6);
    assert_eq!(tree.nearest(&[dice.solid(0)], f64::INFINITY), None);
    assert_eq!(tree.nearest_to_point(DVec3::ZERO, f64::INFINITY), None);
    assert_eq!(tree.nearest_to_points(&[DVec3::ZERO], &[f64::INFINITY]), [None]);
    assert_eq!(tree.inside(DVec3::ZERO).inside, 0);
    assert!(tree.bounds().is_empty());
}

/// Two boxes, one within the other, both seen from outside; and a hollow one, whose inner face looks inward.
#[test]
fn inside_two_shells_at_once_is_inside_and_in_a_cavity_is_not() {
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let cube = |half: f64, first: u32, outward: bool| {
        let corner = |c: u32| DVec3::new(f64::from(c & 1), f64::from(c >> 1 & 1), f64::from(c >> 2)) - 0.5;
        let points = (0..8).map(move |c| 2.0 * half * corner(c));
        let halves = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]);
        let turned = move |[a, b, c]: [u32; 3]| if outward { [a, b, c] } else { [a, c, b] };
        let triangles = halves.map(move |t| turned(t).map(|k| k + first));
        (points.collect::<Vec<DVec3>>(), triangles.collect::<Vec<[u32; 3]>>())
    };
    for (outward, within) in [(true, true), (false, false)] {
        let (outer, inner) = (cube(20.0, 0, true), cube(10.0, 8, outward));
        let tree = Tree::new([outer.0, inner.0].concat(), [outer.1, inner.1].concat(), Vec::new());
        assert_eq!(tree.inside(DVec3::new(1.0, 2.0, 3.0)).clear(), within);
        assert!(tree.inside(DVec3::new(15.0, 2.0, 3.0)).clear());
        assert!(!tree.inside(DVec3::new(25.0, 2.0, 3.0)).clear());
    }
}

#[test]
fn inside_a_box_and_out_of_it() {
    let points: Vec<DVec3> = (0..8)
        .map(|c| 10.0 * DVec3::new(f64::from(c & 1), f64::from(c >> 1 & 1), f64::from(c >> 2)))
        .collect();
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    let whole = Tree::new(points.clone(), triangles.clone(), Vec::new());
    let open = Tree::new(points.clone(), triangles[2..].to_vec(), Vec::new());
    let mut dice = Dice(7);
    for _ in 0..500 {
        let p = DVec3::splat(5.0) + dice.vector(9.0);
        let within = (p - 5.0).abs().max_element() < 5.0;
        assert_eq!(whole.inside(p).clear(), within, "{p} {:?}", whole.inside(p));
        assert!(!open.inside(p).clear() || within);
    }
    assert!(
        open.inside(DVec3::new(5.0, 5.0, 8.0)).clear(),
        "a box without its floor still holds what is high in it"
    );
    assert!(!Tree::new(points, Vec::new(), (0..8).collect()).inside(DVec3::splat(5.0)).clear());
}

#[test]
fn kept_and_read_back() {
    let mut dice = Dice(8);
    for count in [0, 1, 5, 200] {
        let (points, triangles, loose) = scene(&mut dice, count + 1);
        let tree = Tree::new(points, triangles, loose);
        assert_eq!(Tree::from_parts(tree.parts()), Ok(tree));
    }
    let (points, triangles, loose) = scene(&mut dice, 300);
    let parts = Tree::new(points, triangles, loose).parts();
    let spoilt = |spoil: &dyn Fn(&mut distance::Parts)| {
        let mut parts = parts.clone();
        spoil(&mut parts);
        Tree::from_parts(parts).map(|_| "a tree").expect_err("spoilt")
    };
    assert_eq!(spoilt(&|p| p.triangles[0][1] = p.points.len() as u32), Misfit::Index);
    assert_eq!(spoilt(&|p| p.order[0] = p.order[1]), Misfit::Order);
    assert_eq!(spoilt(&|p| p.order[0] = u32::MAX), Misfit::Order);
    assert_eq!(spoilt(&|p| p.boxes.truncate(3)), Misfit::Count);
    assert_eq!(spoilt(&|p| p.boxes[4][3] = f32::NAN), Misfit::Box);
    assert_eq!(spoilt(&|p| p.points[p.loose[0] as usize].x += 1000.0), Misfit::Box);
}
