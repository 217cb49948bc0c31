//! Functions of an angle around a tube: where they are least, and the lengths of curves.

use std::f64::consts::TAU;

use geom::roots;

/// The clock at which `f`, smooth but for `kinks`, is least.
pub(crate) fn lowest(f: impl Fn(f64) -> f64, kinks: &[f64]) -> f64 {
    const STEPS: usize = 96;
    let mut best = (f64::INFINITY, 0.0);
    let mut offer = |clock: f64, value: f64| {
        if value < best.0 {
            best = (value, clock);
        }
    };
    let step = TAU / STEPS as f64;
    let values: Vec<f64> = (0..STEPS).map(|i| f(i as f64 * step)).collect();
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let spread = values.iter().copied().fold(f64::NEG_INFINITY, f64::max) - least;
    for &kink in kinks {
        offer(kink, f(kink));
    }
    for (i, &value) in values.iter().enumerate() {
        let (before, after) = (values[(i + STEPS - 1) % STEPS], values[(i + 1) % STEPS]);
        offer(i as f64 * step, value);
        if value <= before && value <= after && value < least + 0.1 * spread + f64::MIN_POSITIVE {
            let clock = roots::minimum(&f, (i as f64 - 1.0) * step, (i as f64 + 1.0) * step, 1e-9);
            offer(geom::angle::wrap_turn(clock), f(clock));
        }
    }
    best.1
}

/// Length of a curve from its chords: halved, and extrapolated to vanishing chords (Richardson; the
/// error of chords falls with the square of their number on smooth curves, more slowly at a vertical
/// tangent, where halving goes on). To a relative `accuracy`.
pub(crate) fn curve_length(chord: &impl Fn(f64, f64) -> f64, (from, to): (f64, f64), accuracy: f64) -> f64 {
    let sum = |parts: u32| {
        let step = (to - from) / f64::from(parts);
        let at = |i: u32| if i == parts { to } else { from + f64::from(i) * step };
        (0..parts).map(|i| chord(at(i), at(i + 1))).sum::<f64>()
    };
    let (mut parts, mut rough) = (32, sum(16));
    let mut before = f64::NAN;
    loop {
        let fine = sum(parts);
        let best = fine + (fine - rough) / 3.0;
        if (best - before).abs() <= accuracy * best || parts >= 1 << 15 {
            return best;
        }
        (rough, before, parts) = (fine, best, 2 * parts);
    }
}
