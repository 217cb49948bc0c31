//! The least of a function of one variable, by halving.

use crate::gap::Gap;

/// The shortest of the ways that `probe` tells, if shorter than `best`.
///
/// `probe(middle, half)` tells a way and what no way of the whole stretch falls below. Stretches that cannot be
/// better are dropped, the others halved. It is exact to 1e-10 mm; where more than 500 stretches are left (two
/// bends nearly about one axis are nearly equally near everywhere) to 1e-6 mm, more than 20,000 to 1e-3 mm.
pub(crate) fn halved(
    best: Gap,
    [from, to]: [f64; 2],
    pieces: usize,
    probe: impl Fn(f64, f64) -> (Gap, f64),
) -> Gap {
    let mut best = best;
    let mut half = 0.5 * (to - from) / pieces as f64;
    let mut middles: Vec<f64> = (0..pieces).map(|i| from + half * (2 * i + 1) as f64).collect();
    let least = 1e-14 * (to - from);
    while !middles.is_empty() && half > least {
        let told: Vec<(f64, f64)> = middles
            .iter()
            .map(|&middle| {
                let (way, floor) = probe(middle, half);
                best = best.or(way);
                (middle, floor.max(0.0))
            })
            .collect();
        let slack = match told.len() {
            0..=500 => 1e-10,
            501..=20_000 => 1e-6,
            _ => 1e-3,
        };
        let open = told.into_iter().filter(|&(_, floor)| floor < best.distance - slack);
        middles = open.flat_map(|(middle, _)| [middle - 0.5 * half, middle + 0.5 * half]).collect();
        half *= 0.5;
    }
    best
}
