//! Roots and minima of functions of one variable.

/// The root of `f` between `a` and `b`, where its signs differ, to within `tolerance` of the argument.
///
/// Bisection safeguarded secant steps (the Illinois form of false position; common numerical
/// practice). `None` when the signs at the ends are the same or a value is not finite.
pub fn bracketed(f: impl Fn(f64) -> f64, a: f64, b: f64, tolerance: f64) -> Option<f64> {
    let (mut a, mut b) = (a, b);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa * fb > 0.0 || (fa * fb).is_nan() {
        return None;
    }
    for step in 0..200 {
        let secant = b - fb * (b - a) / (fb - fa);
        let inside = secant > a.min(b) && secant < a.max(b);
        let x = if step % 3 == 2 || !inside { 0.5 * (a + b) } else { secant };
        let fx = f(x);
        if !fx.is_finite() {
            return None;
        }
        if fx == 0.0 {
            return Some(x);
        }
        if fx * fb < 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa *= 0.5;
        }
        (b, fb) = (x, fx);
        if (b - a).abs() <= tolerance {
            break;
        }
    }
    Some(b)
}

/// The argument between `a` (where `holds` is true) and `b` (where it is false) at which it changes,
/// to the last bit of the argument.
///
/// Bisection. If it holds nowhere the answer is `a`; if everywhere, `b`.
pub fn threshold(holds: impl Fn(f64) -> bool, a: f64, b: f64) -> f64 {
    if !holds(a) {
        return a;
    }
    if holds(b) {
        return b;
    }
    let (mut a, mut b) = (a, b);
    loop {
        let middle = 0.5 * (a + b);
        if middle == a || middle == b {
            return middle;
        }
        if holds(middle) {
            a = middle;
        } else {
            b = middle;
        }
    }
}

/// Where `f` is least on `[a, b]`, to within `tolerance` of the argument.
///
/// Golden-section search: finds the minimum where `f` has only one there.
pub fn minimum(f: impl Fn(f64) -> f64, a: f64, b: f64, tolerance: f64) -> f64 {
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (a, b);
    let (mut x1, mut x2) = (b - ratio * (b - a), a + ratio * (b - a));
    let (mut f1, mut f2) = (f(x1), f(x2));
    while (b - a).abs() > tolerance {
        if f1 <= f2 {
            (b, x2, f2) = (x2, x1, f1);
            x1 = b - ratio * (b - a);
            f1 = f(x1);
        } else {
            (a, x1, f1) = (x1, x2, f2);
            x2 = a + ratio * (b - a);
            f2 = f(x2);
        }
        if x2 <= x1 {
            break;
        }
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_root_of_two() {
        let root = bracketed(|x| x * x - 2.0, 0.0, 2.0, 1e-14).unwrap();
        assert!((root - 2.0_f64.sqrt()).abs() < 1e-13);
        assert_eq!(bracketed(|x| x * x + 1.0, 0.0, 2.0, 1e-14), None);
    }

    #[test]
    fn finds_the_lowest_point_of_a_parabola() {
        assert!((minimum(|x| (x - 0.3) * (x - 0.3), -1.0, 2.0, 1e-10) - 0.3).abs() < 1e-8);
    }
}
