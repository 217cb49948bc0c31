//! Distances between solids: against a sampling refined at its best places, and where the answer is known.

mod common;

use common::Dice;
use distance::{Bend, Bounds, Capsule, Cone, Cylinder, Solid};
use geom::{DVec3, Frame};

/// The least distance that sampling finds of the other solid's places.
fn sampled(solid: &Solid, other: &Solid) -> f64 {
    let value = |p: DVec3| {
        let foot = other.to_point(p);
        solid.to_point(if foot.distance <= 0.0 { p } else { foot.on }).distance
    };
    let Bounds { min, max } = other.bounds();
    let n = 9;
    let place = |k: usize| {
        let share = DVec3::new((k % n) as f64, (k / n % n) as f64, (k / n / n) as f64) / (n - 1) as f64;
        min + (max - min) * share
    };
    let mut found: Vec<_> = (0..n * n * n).map(place).map(|p| (value(p), p)).collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.truncate(4);
    let mut least = f64::INFINITY;
    for mut best in found {
        let mut step = (max - min).max_element() / n as f64;
        // Along a rim the steps can creep: they are counted.
        for _ in 0..2000 {
            if step <= 1e-12 {
                break;
            }
            let sides = [-1.0, 0.0, 1.0];
            let ways = sides
                .iter()
                .flat_map(|x| sides.iter().flat_map(move |y| sides.map(|z| DVec3::new(*x, *y, z))));
            let tries = ways.map(|way| best.1 + way * step).map(|p| (value(p), p));
            let next = tries.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
            if next.0 < best.0 {
                best = next;
            } else {
                step *= 0.5;
            }
        }
        least = least.min(best.0);
    }
    least
}

#[test]
fn no_sampled_place_is_nearer() {
    let rounds = std::env::var("HOTSIDE_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(300);
    let mut dice = Dice(2);
    for round in 0..rounds {
        let (solid, other) = (dice.solid(round), dice.solid(round / 5));
        let near = solid.to_solid(&other);
        let least = sampled(&solid, &other);
        // A depth that an end plane cuts off at a shallow angle is less sure than a gap.
        let sure = if near.distance > 0.0 { 1e-9 } else { 1e-7 };
        assert!(
            near.distance <= least + sure,
            "round {round}: {} is more than the sampled {least} of {solid:?} and {other:?}",
            near.distance
        );
        assert!(other.to_point(near.there).distance < 1e-9, "round {round}: not on the other: {near:?}");
        let hairs = [0.0, 1e-10, -1e-10];
        let around =
            hairs.iter().flat_map(|x| hairs.iter().flat_map(move |y| hairs.map(|z| DVec3::new(*x, *y, z))));
        let told = around.map(|hair| (solid.to_point(near.there + hair).distance - near.distance).abs());
        assert!(
            told.fold(f64::INFINITY, f64::min) < sure,
            "round {round}: {near:?} is told, not so at its place: {solid:?} and {other:?}"
        );
    }
}

fn along_x(at: [f64; 3], length: f64, radius: f64) -> Solid {
    let frame = Frame { at: DVec3::from_array(at), along: DVec3::X, inside: DVec3::Z };
    Solid::Cylinder(Cylinder::square(frame, length, radius))
}

fn ball(at: [f64; 3], radius: f64) -> Solid {
    let at = DVec3::from_array(at);
    Solid::Capsule(Capsule { from: at, to: at, radius })
}

/// Half a ring in the x-y plane about the origin, from +x by +y.
fn ring(clr: f64, radius: f64, angle: f64, height: f64) -> Solid {
    let frame = Frame { at: DVec3::new(clr, 0.0, height), along: DVec3::Y, inside: DVec3::NEG_X };
    Solid::Bend(Bend { frame, clr, angle, radius })
}

#[track_caller]
fn holds(a: &Solid, b: &Solid, distance: f64) {
    for (a, b) in [(a, b), (b, a)] {
        let near = a.to_solid(b);
        assert!((near.distance - distance).abs() < 1e-9, "{near:?} is not {distance}: {a:?} {b:?}");
    }
}

#[test]
fn known_distances() {
    let tube = along_x([0.0; 3], 100.0, 20.0);
    // Side by side, end to end, end above side, and one past the other's end.
    holds(&tube, &along_x([30.0, 50.0, 0.0], 200.0, 10.0), 20.0);
    holds(&tube, &along_x([107.5, 3.0, 0.0], 50.0, 10.0), 7.5);
    holds(&tube, &along_x([103.0, 34.0, 0.0], 50.0, 10.0), 5.0);
    let standing = Frame { at: DVec3::new(40.0, 0.0, 25.0), along: DVec3::Z, inside: DVec3::X };
    holds(&tube, &Solid::Cylinder(Cylinder::square(standing, 60.0, 12.0)), 5.0);
    // Skew: square to each other, 45 apart.
    let across = Frame { at: DVec3::new(50.0, -80.0, 45.0), along: DVec3::Y, inside: DVec3::Z };
    holds(&tube, &Solid::Cylinder(Cylinder::square(across, 200.0, 10.0)), 15.0);
    // Balls beside, past the flat end, and past its rim.
    holds(&tube, &ball([50.0, 30.0, 40.0], 12.0), 18.0);
    holds(&tube, &ball([130.0, 5.0, 5.0], 12.0), 18.0);
    holds(&tube, &ball([103.0, 24.0, 0.0], 2.0), 3.0);
    // Rings about one axis are equally near all along; in one plane, and one above the other.
    holds(&ring(100.0, 10.0, 3.0, 0.0), &ring(150.0, 15.0, 3.0, 0.0), 25.0);
    holds(&ring(100.0, 10.0, 3.0, 0.0), &ring(100.0, 15.0, 3.0, 60.0), 35.0);
    // A ring around a tube on its axis.
    let pole = Frame { at: DVec3::new(0.0, 0.0, -50.0), along: DVec3::Z, inside: DVec3::X };
    holds(&ring(100.0, 10.0, 3.0, 0.0), &Solid::Cylinder(Cylinder::square(pole, 100.0, 30.0)), 60.0);
    let cone = Solid::Cone(Cone { frame: pole, length: 100.0, radii: [60.0, 0.0] });
    // The cone's side goes down by 60 in 100: from (100, 0) its distance is (100 - 30) cos - 10.
    holds(&ring(100.0, 10.0, 3.0, 0.0), &cone, 70.0 * 100.0 / 13_600.0_f64.sqrt() - 10.0);
}

#[test]
fn a_tube_in_a_tube_is_found() {
    let (outer, inner) = (along_x([0.0; 3], 100.0, 30.0), along_x([20.0, 5.0, 0.0], 50.0, 10.0));
    assert!((inner.to_solid(&outer).distance + 10.0).abs() < 1e-9);
    // From the outer's side the inner reaches in past the axis.
    assert!((outer.to_solid(&inner).distance + 30.0).abs() < 1e-9);
    // A thin one beside the axis: 12 from it, less 2, less the outer's radius.
    let thin = along_x([20.0, 12.0, 0.0], 50.0, 2.0);
    assert!((outer.to_solid(&thin).distance + 20.0).abs() < 1e-9);
    assert!((thin.to_solid(&outer).distance + 2.0).abs() < 1e-9);
    let bend = ring(100.0, 30.0, 3.0, 0.0);
    let held = ball([0.0, 112.0, 0.0], 4.0);
    assert!((bend.to_solid(&held).distance + 22.0).abs() < 1e-9);
    assert!((held.to_solid(&bend).distance + 4.0).abs() < 1e-9);
}

#[test]
fn far_ones_are_left_out() {
    let (a, b) = (along_x([0.0; 3], 100.0, 20.0), along_x([30.0, 50.0, 0.0], 200.0, 10.0));
    assert_eq!(a.to_solid_below(&b, 20.0), None);
    assert_eq!(a.to_solid_below(&b, 21.0), Some(a.to_solid(&b)));
}

/// A length of a bend, and another beyond a gap in the same bend, whose own circle runs on through the first: the
/// flat ends are nearest, at the inside of the bend. And the same where the second's plane is turned.
#[test]
fn bends_of_one_tube_meet_at_their_ends_only() {
    let start = Frame::upright(DVec3::ZERO, DVec3::X).unwrap();
    let first = Solid::Bend(Bend { frame: start, clr: 51.0, angle: 0.001, radius: 25.0 });
    let gap: f64 = 0.1;
    let next = start.bent(51.0, 0.001 + gap);
    let bend = |frame: Frame| Solid::Bend(Bend { frame, clr: 51.0, angle: 0.5, radius: 25.0 });
    let at_the_inside = 52.0 * geom::math::sin(0.5 * gap);
    holds(&first, &bend(next), at_the_inside);
    let turned = first.to_solid(&bend(next.turned(-0.35))).distance;
    assert!((turned - at_the_inside).abs() < 1e-9, "the ends stand as they stood: {turned}");
}
