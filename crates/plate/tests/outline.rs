//! Areas, lengths, distances and offsets against closed forms.

use std::f64::consts::PI;

use plate::{Corner, DVec2, Edge, Loop, Outline, bolt_circle, hull};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

fn at(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

#[test]
fn shapes_have_the_areas_and_lengths_of_their_closed_forms() {
    let round = Loop::circle(at(3.0, -4.0), 20.0);
    near(round.area(), PI * 400.0);
    near(round.length(), PI * 40.0);
    let oval = Loop::oval(50.0, 30.0).unwrap();
    near(oval.area(), 20.0 * 30.0 + PI * 225.0);
    near(oval.length(), 40.0 + PI * 30.0);
    let rectangle = Loop::rectangle(40.0, 30.0, 5.0).unwrap();
    near(rectangle.area(), 1200.0 - (4.0 - PI) * 25.0);
    near(rectangle.length(), 140.0 - (8.0 - 2.0 * PI) * 5.0);
    let d = Loop::d(40.0, 34.0, 6.0).unwrap();
    near(d.area(), 0.5 * PI * 400.0 + 14.0 * 40.0 - (2.0 - 0.5 * PI) * 36.0);
    near(d.length(), PI * 20.0 + 28.0 + 40.0 - (4.0 - PI) * 6.0);
    let slot = Loop::slot(at(1.0, 2.0), 8.0, 3.0, 0.7).unwrap();
    near(slot.area(), 24.0 + PI * 16.0);
    let sharp = Loop::rectangle(40.0, 30.0, 0.0).unwrap();
    near(sharp.area(), 1200.0);
    assert_eq!(sharp.edges.len(), 4);
}

#[test]
fn the_widest_corners_leave_no_straight() {
    let oval = Loop::rectangle(50.0, 30.0, 15.0).unwrap();
    near(oval.area(), Loop::oval(50.0, 30.0).unwrap().area());
    assert!(Loop::rectangle(50.0, 30.0, 15.1).is_err());
    near(Loop::d(40.0, 20.0, 0.0).unwrap().area(), 0.5 * PI * 400.0);
    near(Loop::d(40.0, 40.0, 20.0).unwrap().area(), PI * 400.0);
}

#[test]
fn boxes_go_round_the_arcs() {
    let (low, high) = Loop::oval(30.0, 50.0).unwrap().bounds();
    assert!((low - at(-15.0, -25.0)).length() < 1e-12 && (high - at(15.0, 25.0)).length() < 1e-12);
    let turned = Loop::oval(50.0, 30.0).unwrap().moved(PI / 4.0, at(100.0, 0.0));
    let (low, high) = turned.bounds();
    let reach = 10.0 * 0.5_f64.sqrt() + 15.0;
    assert!((low - at(100.0 - reach, -reach)).length() < 1e-12);
    assert!((high - at(100.0 + reach, reach)).length() < 1e-12);
}

#[test]
fn a_hull_of_two_circles_is_a_belt() {
    let belt = hull(&[(at(0.0, 0.0), 30.0), (at(100.0, 0.0), 10.0)]).unwrap();
    // Area: two tangent trapezia of length sqrt(d2 - (R - r)2), and two sectors.
    let straight = (100.0_f64 * 100.0 - 400.0).sqrt();
    let lean = geom::math::asin(20.0 / 100.0);
    near(belt.area(), straight * 40.0 + 900.0 * (PI / 2.0 + lean) + 100.0 * (PI / 2.0 - lean));
    near(belt.length(), 2.0 * straight + 30.0 * (PI + 2.0 * lean) + 10.0 * (PI - 2.0 * lean));
    assert!(belt.self_contact().is_none());
}

#[test]
fn a_hull_skips_what_lies_inside() {
    let square = [at(0.0, 0.0), at(80.0, 0.0), at(80.0, 60.0), at(0.0, 60.0)].map(|c| (c, 12.0));
    let more =
        [square.to_vec(), vec![(at(40.0, 30.0), 20.0), (at(40.0, 0.0), 12.0), (at(2.0, 2.0), 3.0)]].concat();
    for circles in [square.to_vec(), more] {
        let hull = hull(&circles).unwrap();
        near(hull.area(), 4800.0 + 280.0 * 12.0 + PI * 144.0);
        near(hull.length(), 280.0 + 24.0 * PI);
    }
    near(hull(&[(at(5.0, 5.0), 7.0), (at(6.0, 5.0), 2.0)]).unwrap().area(), PI * 49.0);
    assert!(hull(&[]).is_err());
    assert!(hull(&[(at(0.0, 0.0), 0.0)]).is_err());
}

/// The hull's support function is the largest of the circles', in every direction: that is what a
/// convex hull is. Circles from a fixed sequence.
#[test]
fn hulls_of_many_circles_support_them_all() {
    let mut state = 12345_u64;
    let mut next = || {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    for round in 0..300 {
        let count = 1 + round % 9;
        let mut circles: Vec<(DVec2, f64)> = (0..count)
            .map(|_| {
                (
                    at((next() * 20.0).floor() * 10.0, (next() * 6.0).floor() * 10.0),
                    5.0 + (next() * 4.0).floor() * 5.0,
                )
            })
            .collect();
        circles.dedup();
        let hull = hull(&circles).unwrap();
        assert!(hull.self_contact().is_none(), "{circles:?}");
        let points = hull.points(1e-4);
        for k in 0..72 {
            let towards = DVec2::from_angle(k as f64 * PI / 36.0);
            let all = circles.iter().map(|(c, r)| c.dot(towards) + r).fold(f64::MIN, f64::max);
            let own = points.iter().map(|p| p.dot(towards)).fold(f64::MIN, f64::max);
            assert!(own <= all + 1e-9 && own >= all - 2e-4, "{own} {all} {circles:?}");
        }
    }
}

#[test]
fn webs_are_measured_between_nearest_edges() {
    let outer = Loop::rectangle(100.0, 60.0, 8.0).unwrap();
    let hole = Loop::circle(at(30.0, 10.0), 6.0);
    near(outer.gap(&hole).distance, 50.0 - 36.0);
    near(Loop::circle(at(0.0, 0.0), 10.0).gap(&hole).distance, 1000.0_f64.sqrt() - 16.0);
    let slot = Loop::slot(at(0.0, -10.0), 8.0, 20.0, 0.0).unwrap();
    near(slot.gap(&outer).distance, 30.0 - 14.0);
    let gap = slot.gap(&hole);
    near(gap.distance, at(10.0, -10.0).distance(at(30.0, 10.0)) - 10.0);
    near(gap.a.distance(gap.b), gap.distance);
    near(Loop::circle(at(48.0, 0.0), 6.0).gap(&outer).distance, 0.0);
    near(Loop::circle(at(0.0, 0.0), 10.0).gap(&Loop::circle(at(0.0, 0.0), 14.0)).distance, 4.0);
}

#[test]
fn points_are_inside_or_out() {
    let plate =
        Outline::new(Loop::rectangle(100.0, 60.0, 8.0).unwrap(), vec![Loop::circle(at(30.0, 0.0), 6.0)]);
    assert!(plate.contains(at(0.0, 0.0)) && plate.contains(at(30.0, 6.1)));
    assert!(
        !plate.contains(at(30.0, 0.0)) && !plate.contains(at(49.0, 29.0)) && !plate.contains(at(60.0, 0.0))
    );
    near(plate.area(), 6000.0 - (4.0 - PI) * 64.0 - PI * 36.0);
    // On the height of corners, centres and tops of arcs.
    for y in [-30.0, -22.0, 0.0, 22.0, 6.0, -6.0] {
        assert!(!plate.contains(at(-200.0, y)) && !plate.contains(at(200.0, y)), "{y}");
    }
}

#[test]
fn offsets_grow_by_length_and_half_a_turn() {
    // Steiner's formula for convex loops: area + length d + pi d2.
    for shape in [
        Loop::rectangle(40.0, 30.0, 5.0).unwrap(),
        Loop::rectangle(40.0, 30.0, 0.0).unwrap(),
        Loop::d(40.0, 34.0, 0.0).unwrap(),
        Loop::oval(50.0, 30.0).unwrap(),
        Loop::circle(at(1.0, 1.0), 9.0),
    ] {
        let grown = shape.offset(3.0).unwrap();
        near(grown.area(), shape.area() + 3.0 * shape.length() + PI * 9.0);
        near(shape.reversed().offset(3.0).unwrap().area(), -grown.area());
        near(grown.offset(-3.0).unwrap().area(), shape.area());
        near(shape.gap(&grown).distance, 3.0);
    }
    near(Loop::rectangle(40.0, 30.0, 2.0).unwrap().offset(-5.0).unwrap().area(), 600.0);
    assert_eq!(Loop::rectangle(40.0, 30.0, 2.0).unwrap().offset(-15.0).unwrap_err().code, "offset-too-large");
    assert!(Loop::circle(at(0.0, 0.0), 9.0).offset(-9.0).is_err());
}

#[test]
fn inward_corners_are_trimmed() {
    // An L of 60 by 60, 20 wide.
    let l = [(0.0, 0.0), (60.0, 0.0), (60.0, 20.0), (20.0, 20.0), (20.0, 60.0), (0.0, 60.0)];
    let corners = l.map(|(x, y)| Corner { at: at(x, y), radius: 0.0 });
    let shape = Loop::polygon(&corners).unwrap();
    near(shape.area(), 2000.0);
    // Round the inner corner, everything 2 mm from the edge stays out: a square less its quarter circle.
    near(shape.offset(-2.0).unwrap().area(), 56.0 * 16.0 + 16.0 * 40.0 + 4.0 - PI);
    // Five outward quarter arcs, one inward corner whose overlap counts once.
    near(shape.offset(2.0).unwrap().area(), 2000.0 + 240.0 * 2.0 + 5.0 * PI - 4.0);
    assert!(shape.offset(-10.0).is_err());
}

#[test]
fn bad_outlines_are_refused() {
    let corner = |x, y, radius| Corner { at: at(x, y), radius };
    let bow =
        [corner(0.0, 0.0, 0.0), corner(10.0, 10.0, 0.0), corner(10.0, 0.0, 0.0), corner(0.0, 10.0, 0.0)];
    assert_eq!(Loop::polygon(&bow).unwrap_err().code, "outline-crosses");
    assert_eq!(Loop::polygon(&bow[..2]).unwrap_err().code, "outline-corners");
    let tight =
        [corner(0.0, 0.0, 6.0), corner(10.0, 0.0, 6.0), corner(10.0, 10.0, 0.0), corner(0.0, 10.0, 0.0)];
    assert_eq!(Loop::polygon(&tight).unwrap_err().code, "outline-radius");
    assert_eq!(
        Loop::of(vec![Edge::Line { from: at(0.0, 0.0), to: at(1.0, 0.0) }]).unwrap_err().code,
        "outline-open"
    );
    assert!(Loop::rectangle(0.0, 10.0, 0.0).is_err() && Loop::oval(0.0, 0.0).is_err());
    assert!(Loop::d(40.0, 20.0, 3.0).is_err() && Loop::slot(at(0.0, 0.0), 0.0, 0.0, 0.0).is_err());
}

#[test]
fn bolt_circles_are_even() {
    let holes = bolt_circle(at(1.0, 1.0), 40.0, 4, PI / 4.0);
    assert_eq!(holes.len(), 4);
    near(holes[0].distance(holes[1]), 40.0 * 2.0_f64.sqrt());
    near(holes[2].x, 1.0 - 40.0 * 0.5_f64.sqrt());
}

#[test]
fn arcs_become_points_within_the_tolerance() {
    let circle = Loop::circle(at(0.0, 0.0), 25.0);
    let points = circle.points(0.05);
    let middle = 0.5 * (points[0] + points[1]);
    let sagitta = 25.0 - middle.length();
    assert!(sagitta <= 0.05 && sagitta > 0.03, "{sagitta}");
}

/// Half planes cut off a belt of two equal circles: closed forms.
#[test]
fn a_plate_is_split_or_slotted() {
    let outer = hull(&[(at(-50.0, 0.0), 30.0), (at(50.0, 0.0), 30.0)]).unwrap();
    let holes = vec![Loop::circle(at(-50.0, 0.0), 18.0), Loop::circle(at(50.0, 0.0), 18.0)];
    let plate = Outline::new(outer, holes);
    let whole = 6000.0 + PI * 900.0 - 2.0 * PI * 324.0;
    near(plate.area(), whole);
    let halves = plate.split(at(0.0, 0.0), at(1.0, 0.0), 4.0).unwrap();
    for half in &halves {
        near(half.area(), 0.5 * (whole - 240.0));
        assert_eq!(half.holes.len(), 1);
        assert!(half.outer.self_contact().is_none());
    }
    assert!(halves[0].contains(at(20.0, 0.0)) && halves[1].contains(at(-20.0, 0.0)));
    assert_eq!(plate.split(at(40.0, 0.0), at(1.0, 0.0), 4.0).unwrap_err().code, "parting-through-hole");
    let slotted = plate.slotted(at(0.0, 12.0), at(0.0, 1.0), 5.0).unwrap();
    near(slotted.area(), whole - 18.0 * 5.0 - 0.5 * PI * 6.25);
    let both = slotted.slotted(at(0.0, -12.0), at(0.0, -1.0), 5.0).unwrap();
    near(both.area(), whole - 2.0 * (18.0 * 5.0 + 0.5 * PI * 6.25));
}
