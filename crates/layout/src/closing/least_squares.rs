//! Least squares of a few equations in a few bounded unknowns.

/// The most unknowns of a system.
pub(crate) const UNKNOWNS: usize = 6;
/// The most equations of a system: place, direction (as a unit vector) and length.
pub(crate) const EQUATIONS: usize = 7;
const STACKED: usize = EQUATIONS + UNKNOWNS;

/// A value for each unknown; those beyond the system's own are 0.
pub(crate) type Unknowns = [f64; UNKNOWNS];
/// By how much each equation is missed; those beyond the system's own are 0.
pub(crate) type Residual = [f64; EQUATIONS];
/// For each unknown, what it does to each equation.
pub(crate) type Jacobian = [Residual; UNKNOWNS];

/// Equations, all to become 0. Unknowns and equations are to be scaled to about 1.
pub(crate) trait System {
    /// How many unknowns it has.
    fn unknowns(&self) -> usize;
    /// The equations and their derivatives.
    fn at(&self, x: &Unknowns) -> (Residual, Jacobian);
}

/// The range of each unknown.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    pub low: Unknowns,
    pub high: Unknowns,
}

/// Where a search for least squares has ended.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Minimum {
    pub x: Unknowns,
    /// The residual's length.
    pub miss: f64,
}

/// Residuals this short are nothing but rounding.
const CLOSED: f64 = 1e-15;
const MOST_STEPS: usize = 60;
/// The longest step, in scaled units.
const LONGEST_STEP: f64 = 2.0;
/// A search whose last steps each gained less than this part is given up, unless it is nearly there.
const LEAST_GAIN: f64 = 0.03;
const SLOW_STEPS: usize = 6;
const NEARLY: f64 = 1e-8;

/// The local minimum of the sum of squares that lies downhill of `from`, within the bounds.
///
/// Levenberg-Marquardt (common numerical practice): each step solves the damped normal problem by
/// Householder QR; the damping falls to the square of the residual near a solution, where convergence
/// is quadratic even if the derivatives are dependent. An unknown that stands at a bound and is pushed
/// against it keeps still for that step.
pub(crate) fn minimise(system: &impl System, from: Unknowns, bounds: &Bounds) -> Minimum {
    let n = system.unknowns();
    let mut x = bounds.clamped(from);
    let (mut residual, mut jacobian) = system.at(&x);
    let mut size = dot(&residual, &residual);
    let (mut damping, mut slow) = (1e-2, 0);
    for _ in 0..MOST_STEPS {
        if size <= CLOSED * CLOSED || slow > SLOW_STEPS || damping > 1e6 {
            break;
        }
        let held = bounds.held(n, &x, &jacobian, &residual);
        let low = [f64::sqrt(damping); UNKNOWNS];
        let step = step(n, &jacobian, &residual, (low, [0.0; UNKNOWNS]), &held);
        let next = bounds.clamped(moved(&x, &step));
        let (next_residual, next_jacobian) = system.at(&next);
        let next_size = dot(&next_residual, &next_residual);
        if next_size < size {
            let gained = 1.0 - next_size / size;
            slow = if gained < LEAST_GAIN && size > NEARLY * NEARLY { slow + 1 } else { 0 };
            (x, residual, jacobian, size) = (next, next_residual, next_jacobian, next_size);
            damping = (0.1 * damping).min(size);
        } else if size < 1e-22 {
            break;
        } else {
            damping = 8.0 * damping.max(1e-9);
        }
    }
    Minimum { x, miss: size.sqrt() }
}

/// The point on the set of solutions around `from` that is nearest to `near`, each unknown weighed by
/// its `weight`; `from` itself where it is the only solution there.
///
/// Gauss-Newton steps on the weighed distance, the equations held by a large factor; after each step
/// the equations are closed again, and a step that does not lead nearer is halved.
pub(crate) fn slide(
    system: &impl System,
    from: Minimum,
    bounds: &Bounds,
    (near, weight): (&Unknowns, &Unknowns),
) -> Minimum {
    const FACTOR: f64 = 1e5;
    let n = system.unknowns();
    let distance = |x: &Unknowns| (0..n).map(|i| (weight[i] * (x[i] - near[i])).powi(2)).sum::<f64>();
    let mut best = from;
    let mut part = 1.0;
    for _ in 0..40 {
        let (residual, jacobian) = system.at(&best.x);
        let pull: Unknowns = std::array::from_fn(|i| weight[i] * (best.x[i] - near[i]));
        let mut held = [false; UNKNOWNS];
        for i in 0..n {
            let at_low = best.x[i] <= bounds.low[i] && near[i] <= best.x[i];
            let at_high = best.x[i] >= bounds.high[i] && near[i] >= best.x[i];
            held[i] = at_low || at_high;
        }
        let scaled = |column: &Residual| column.map(|v| FACTOR * v);
        let step = step(n, &jacobian.map(|c| scaled(&c)), &scaled(&residual), (*weight, pull), &held);
        let step = step.map(|s| part * s);
        if step.iter().all(|s| s.abs() < 1e-7) {
            break;
        }
        let next = minimise(system, moved(&best.x, &step), bounds);
        if next.miss <= from.miss.max(1e-12) && distance(&next.x) < distance(&best.x) {
            best = next;
            part = f64::min(1.0, 2.0 * part);
        } else {
            part *= 0.5;
        }
    }
    best
}

impl Bounds {
    /// `x` brought into the range.
    pub fn clamped(&self, x: Unknowns) -> Unknowns {
        std::array::from_fn(|i| x[i].clamp(self.low[i], self.high[i]))
    }

    /// Which unknowns stand at a bound that going downhill would cross.
    fn held(&self, n: usize, x: &Unknowns, jacobian: &Jacobian, residual: &Residual) -> [bool; UNKNOWNS] {
        let mut held = [false; UNKNOWNS];
        for i in 0..n {
            let uphill = dot(&jacobian[i], residual);
            held[i] = (x[i] <= self.low[i] && uphill > 0.0) || (x[i] >= self.high[i] && uphill < 0.0);
        }
        held
    }
}

/// The step that makes `|residual + jacobian step|^2 + |pull + weight step|^2` least, no longer than
/// [`LONGEST_STEP`]; unknowns that are held do not move.
fn step(
    n: usize,
    jacobian: &Jacobian,
    residual: &Residual,
    (weight, pull): (Unknowns, Unknowns),
    held: &[bool; UNKNOWNS],
) -> Unknowns {
    let mut columns = [[0.0; STACKED]; UNKNOWNS];
    let mut right = [0.0; STACKED];
    for (row, missed) in residual.iter().enumerate() {
        right[row] = -missed;
    }
    for i in 0..n {
        if !held[i] {
            columns[i][..EQUATIONS].copy_from_slice(&jacobian[i]);
            right[EQUATIONS + i] = -pull[i];
        }
        columns[i][EQUATIONS + i] = weight[i];
    }
    let mut step = [0.0; UNKNOWNS];
    solve(n, &mut columns, &mut right, &mut step);
    let length = dot(&step, &step).sqrt();
    let part = if length > LONGEST_STEP { LONGEST_STEP / length } else { 1.0 };
    step.map(|s| part * s)
}

/// Least squares of `columns x = right` by Householder reflections; unknowns without influence get 0.
fn solve(n: usize, columns: &mut [[f64; STACKED]; UNKNOWNS], right: &mut [f64; STACKED], x: &mut Unknowns) {
    for k in 0..n {
        let (done, rest) = columns.split_at_mut(k + 1);
        let column = &mut done[k];
        let length = dot(&column[k..], &column[k..]).sqrt();
        if length == 0.0 {
            continue;
        }
        let diagonal = if column[k] > 0.0 { -length } else { length };
        let mut mirror = *column;
        mirror[k] -= diagonal;
        let square = dot(&mirror[k..], &mirror[k..]);
        let reflect = |v: &mut [f64; STACKED]| {
            let factor = 2.0 * dot(&mirror[k..], &v[k..]) / square;
            for (value, m) in v[k..].iter_mut().zip(&mirror[k..]) {
                *value -= factor * m;
            }
        };
        rest.iter_mut().take(n - k - 1).for_each(&reflect);
        reflect(right);
        column[k] = diagonal;
    }
    for k in (0..n).rev() {
        let known: f64 = (k + 1..n).map(|j| columns[j][k] * x[j]).sum();
        x[k] = if columns[k][k] == 0.0 { 0.0 } else { (right[k] - known) / columns[k][k] };
    }
}

fn moved(x: &Unknowns, step: &Unknowns) -> Unknowns {
    std::array::from_fn(|i| x[i] + step[i])
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A circle of radius 1 about the origin and the line y = 0.5.
    struct Circle;

    impl System for Circle {
        fn unknowns(&self) -> usize {
            2
        }

        fn at(&self, x: &Unknowns) -> (Residual, Jacobian) {
            let (mut residual, mut jacobian) = ([0.0; EQUATIONS], [[0.0; EQUATIONS]; UNKNOWNS]);
            residual[0] = x[0] * x[0] + x[1] * x[1] - 1.0;
            (jacobian[0][0], jacobian[1][0]) = (2.0 * x[0], 2.0 * x[1]);
            (residual, jacobian)
        }
    }

    const FREE: Bounds = Bounds { low: [-1e3; UNKNOWNS], high: [1e3; UNKNOWNS] };

    #[test]
    fn it_slides_to_the_nearest_solution() {
        let found = minimise(&Circle, [2.0, 0.3, 0.0, 0.0, 0.0, 0.0], &FREE);
        assert!(found.miss < 1e-12);
        let near = [3.0, 4.0, 0.0, 0.0, 0.0, 0.0];
        let slid = slide(&Circle, found, &FREE, (&near, &[1.0; UNKNOWNS]));
        assert!((slid.x[0] - 0.6).abs() < 1e-6 && (slid.x[1] - 0.8).abs() < 1e-6, "{slid:?}");
    }

    #[test]
    fn a_bound_is_kept() {
        let mut bounds = FREE;
        bounds.high[0] = 0.6;
        bounds.low[1] = 0.0;
        let found = minimise(&Circle, [0.5, 0.1, 0.0, 0.0, 0.0, 0.0], &bounds);
        assert!(found.miss < 1e-12 && found.x[0] <= 0.6 && found.x[1] >= 0.0, "{found:?}");
    }
}
