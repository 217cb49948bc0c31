//! Distances to half-spaces against a large triangle that stands for the plane.

mod common;

use common::Dice;

/// Beside a plane the triangle is nearest or deepest as the half-space is, but where a body lies wholly below.
#[test]
fn as_a_large_triangle() {
    let mut dice = Dice(3);
    for round in 0..1500 {
        let solid = dice.solid(round);
        let at = solid.bounds().centre();
        let out = if round % 3 == 0 { geom::DVec3::Z } else { dice.direction() };
        let at = at + out * dice.between(-150.0, 100.0);
        let near = solid.to_half_space(at, out);
        let (u, v) = (out.any_orthonormal_pair().0, out.any_orthonormal_pair().1);
        let triangle = [at + u * 1e4, at - u * 1e4 + v * 1e4, at - u * 1e4 - v * 1e4];
        let plane = solid.to_triangle(triangle);
        // A triangle through a body cannot be deeper than the half-space, which is at least as deep.
        assert!(near.distance <= plane.distance + 1e-9, "{round}: {near:?} {plane:?} {solid:?} {at} {out}");
        let deepest = (0..500).map(|_| {
            let b = solid.bounds();
            let share =
                geom::DVec3::new(dice.between(0.0, 1.0), dice.between(0.0, 1.0), dice.between(0.0, 1.0));
            b.min + (b.max - b.min) * share
        });
        let below = deepest.filter(|p| (*p - at).dot(out) <= 0.0).map(|p| solid.to_point(p).distance);
        let sampled = below.fold(plane.distance, f64::min);
        assert!(near.distance <= sampled + 1e-9, "{round}: {near:?} sampled {sampled} {solid:?} {at} {out}");
        if plane.distance > 0.0 && near.distance > 0.0 {
            assert!((near.distance - plane.distance).abs() < 1e-9, "{round}: {near:?} {plane:?}");
        }
        // Its place is in the half-space and as deep as told.
        assert!((near.there - at).dot(out) <= 1e-9, "{round}: {near:?} is above the plane");
        let hair = [0.0, 1e-10, -1e-10];
        let around = hair
            .iter()
            .flat_map(|x| hair.iter().flat_map(move |y| hair.map(|z| geom::DVec3::new(*x, *y, z))));
        let told = around.map(|h| (solid.to_point(near.there + h).distance - near.distance).abs());
        assert!(
            told.fold(f64::INFINITY, f64::min) < 1e-8,
            "{round}: {near:?} not so there: {solid:?} {at} {out}"
        );
    }
}
