//! Distances to triangles against a dense sampling, refined at its best places.

mod common;

use common::Dice;
use distance::Solid;
use geom::DVec3;

/// The least distance over the triangle that sampling finds.
fn sampled(solid: &Solid, t: [DVec3; 3]) -> f64 {
    let at = |u: f64, v: f64| t[0] + (t[1] - t[0]) * u + (t[2] - t[0]) * v;
    let value = |u: f64, v: f64| {
        let (u, v) = (u.clamp(0.0, 1.0), v.clamp(0.0, 1.0));
        let (u, v) = if u + v > 1.0 { (u / (u + v), v / (u + v)) } else { (u, v) };
        (solid.to_point(at(u, v)).distance, u, v)
    };
    let n = 48;
    let mut found: Vec<_> = (0..=n)
        .flat_map(|i| (0..=n - i).map(move |j| (i, j)))
        .map(|(i, j)| value(i as f64 / n as f64, j as f64 / n as f64))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.truncate(6);
    let mut least = f64::INFINITY;
    for mut best in found {
        let mut step = 1.0 / n as f64;
        while step > 1e-13 {
            let tries = (0..8).map(|k| {
                let (s, c) = geom::math::sin_cos(k as f64 * std::f64::consts::FRAC_PI_4);
                value(best.1 + step * c, best.2 + step * s)
            });
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
    let rounds = std::env::var("HOTSIDE_ROUNDS").ok().and_then(|n| n.parse().ok()).unwrap_or(1500);
    let mut dice = Dice(1);
    for round in 0..rounds {
        let solid = dice.solid(round);
        let triangle = dice.triangle();
        let near = solid.to_triangle(triangle);
        let least = sampled(&solid, triangle);
        assert!(
            near.distance <= least + 1e-9,
            "round {round}: {} is more than the sampled {least} of {solid:?} and {triangle:?}",
            near.distance
        );
        // A hair to either side of an end plane the distance may be another.
        let hairs = [0.0, 1e-10, -1e-10];
        let around =
            hairs.iter().flat_map(|x| hairs.iter().flat_map(move |y| hairs.map(|z| DVec3::new(*x, *y, z))));
        let told = around.map(|hair| (solid.to_point(near.there + hair).distance - near.distance).abs());
        assert!(
            told.fold(f64::INFINITY, f64::min) < 1e-9,
            "round {round}: {} is told, not so at its place: {solid:?} and {triangle:?}",
            near.distance
        );
    }
}
