//! Which solution of a chain is taken, and how nearly one without a solution comes to one.

use std::f64::consts::PI;

use geom::angle::wrap_signed;
use geom::math::atan2;
use spec::design::Slot;

use crate::closing::chain::{Chain, Goal, Reached, SCALE};
use crate::closing::least_squares::{Bounds, Minimum, System, UNKNOWNS, Unknowns, minimise, slide};

/// How exactly a chain has to reach its goal where no solution reaches it wholly: because it has fewer
/// open values than equations, and the given ones are rounded.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tolerance {
    /// Between its end and where that has to be, mm.
    pub gap: f64,
    /// Between the directions of travel, rad.
    pub angle: f64,
    /// Between its length and the goal's, mm.
    pub length: f64,
}

/// The open values of a chain that are taken.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Solution {
    /// Scaled as in the chain; rotates in `(-PI, PI]`.
    pub x: Unknowns,
    rank: Rank,
}

/// How nearly a chain comes to its goal.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Miss {
    /// With every value in its range: distance from the goal's place, mm.
    pub gap: f64,
    /// Angle to the goal's direction, rad.
    pub angle: f64,
    /// Length less the goal's, mm; 0 without one.
    pub length: f64,
    /// Values that would reach the goal, and of which one at least is outside its range.
    pub beyond: Option<Unknowns>,
}

/// Starts from which every chain is solved; all their solutions are compared.
const STARTS: usize = 96;
/// Starts more, in portions of [`STARTS`], while none has led to a solution.
const PORTIONS: usize = 6;
/// Starts from which the nearest miss is looked for.
const MISS_STARTS: usize = 64;
/// A residual, scaled, that counts as none for a chain of length 1; longer ones round more.
const EXACT: f64 = 1e-12;
/// Differences in rank that are nothing but rounding.
const SAME: f64 = 1e-9;

/// The solution nearest to the drawn values; where those do not tell, of least bend, then shortest.
pub(crate) fn solve(chain: &Chain, tolerance: Tolerance) -> Result<Solution, Miss> {
    let bounds = chain.bounds();
    let mut best: Option<Solution> = None;
    for portion in 0..PORTIONS {
        for number in portion * STARTS..(portion + 1) * STARTS {
            let found = minimise(chain, start(chain, number), &bounds);
            if found.miss <= exact(chain) {
                keep_better(&mut best, settled(chain, found, &bounds));
            }
        }
        if let Some(best) = best {
            return Ok(best);
        }
    }
    nearly(chain, &bounds, tolerance)
}

/// The solution that misses the goal by no more than the tolerance, or how nearly one comes.
fn nearly(chain: &Chain, bounds: &Bounds, tolerance: Tolerance) -> Result<Solution, Miss> {
    let goal =
        |length_weight, length| Chain { goal: Goal { length_weight, length, ..chain.goal }, ..chain.clone() };
    let light = goal(1e-3, chain.goal.length);
    let free = goal(1.0, None);
    let mut nearest = missed(chain, &start(chain, 0));
    let mut best: Option<Solution> = None;
    for number in 0..MISS_STARTS {
        let weighed = minimise(&light, start(chain, number), bounds);
        let closed = minimise(&free, weighed.x, bounds);
        let miss = missed(chain, &closed.x);
        if miss.is_within(tolerance) {
            let rank = Rank::of(chain, &closed.x);
            keep_better(&mut best, Solution { x: chain.wrapped(&closed.x), rank });
        }
        if number == 0 || miss.size() < nearest.size() {
            nearest = miss;
        }
    }
    best.ok_or_else(|| Miss { beyond: beyond(chain, bounds), ..nearest })
}

impl Miss {
    fn is_within(&self, tolerance: Tolerance) -> bool {
        self.gap <= tolerance.gap && self.angle <= tolerance.angle && self.length.abs() <= tolerance.length
    }

    /// What misses are compared by: closing first, then the length.
    fn size(&self) -> f64 {
        self.gap / SCALE + self.angle + 1e-3 * self.length.abs() / SCALE
    }
}

/// Of the solutions outside the values' ranges the one that is least outside.
fn beyond(chain: &Chain, bounds: &Bounds) -> Option<Unknowns> {
    let mut wide = *bounds;
    for (i, open) in chain.open.iter().enumerate() {
        let (low, high) = match open.slot {
            Slot::Bend { .. } => (-PI, 2.0 * PI),
            _ => (f64::MIN, f64::MAX),
        };
        (wide.low[i], wide.high[i]) = (low, high);
    }
    let outside = |x: &Unknowns| -> f64 {
        let inside = bounds.clamped(*x);
        (0..chain.unknowns()).map(|i| (x[i] - inside[i]).abs()).sum()
    };
    let found = (0..MISS_STARTS).map(|number| minimise(chain, start(chain, number), &wide));
    let solved = found.filter(|found| found.miss <= exact(chain)).map(|found| found.x);
    solved.min_by(|a, b| outside(a).total_cmp(&outside(b)))
}

/// The residual that counts as none.
pub(crate) fn exact(chain: &Chain) -> f64 {
    let far = chain.goal.end.at.distance(chain.start.at) + chain.goal.length.unwrap_or(0.0);
    EXACT * (1.0 + far / SCALE)
}

/// A solution moved to the nearest one where it is not alone, with its rank.
fn settled(chain: &Chain, found: Minimum, bounds: &Bounds) -> Solution {
    let (mut near, mut weight) = (found.x, [1e-3; UNKNOWNS]);
    for (i, open) in chain.open.iter().enumerate() {
        (near[i], weight[i]) = match (open.drawn, open.slot) {
            (Some(_), _) => (found.x[i] - from_drawn(chain, i, found.x[i]), 1.0),
            (None, Slot::Bend { .. }) => (0.0, 0.03),
            (None, Slot::Straight { .. }) => (bounds.low[i], 3e-3),
            (None, _) => (found.x[i], 1e-3),
        };
    }
    let x = slide(chain, found, bounds, (&near, &weight)).x;
    Solution { x: chain.wrapped(&x), rank: Rank::of(chain, &x) }
}

/// How far the value `x` of unknown `i` is from the drawn one; 0 where none is drawn.
fn from_drawn(chain: &Chain, i: usize, x: f64) -> f64 {
    let open = &chain.open[i];
    match (open.drawn, open.slot) {
        (Some(drawn), Slot::Straight { given, .. }) => x - (given + drawn) / SCALE,
        (Some(drawn), Slot::Bend { .. }) => x - drawn,
        (Some(drawn), _) => wrap_signed(x - drawn),
        (None, _) => 0.0,
    }
}

/// What solutions are chosen by, the lowest first.
#[derive(Clone, Copy, Debug)]
struct Rank {
    /// Sum of squares of the distances from the drawn values, scaled.
    from_drawn: f64,
    /// All bends, rad.
    bend: f64,
    /// Length, scaled.
    length: f64,
}

impl Rank {
    fn of(chain: &Chain, x: &Unknowns) -> Rank {
        let rows = chain.filled(x);
        Rank {
            from_drawn: (0..chain.unknowns()).map(|i| from_drawn(chain, i, x[i]).powi(2)).sum(),
            bend: rows.rows.iter().map(|row| row.bend).sum(),
            length: chain.reached(x).length / SCALE,
        }
    }

    fn is_below(&self, other: &Rank) -> bool {
        let pairs =
            [(self.from_drawn, other.from_drawn), (self.bend, other.bend), (self.length, other.length)];
        pairs
            .into_iter()
            .find(|(own, other)| (own - other).abs() > SAME)
            .is_some_and(|(own, other)| own < other)
    }
}

fn keep_better(best: &mut Option<Solution>, found: Solution) {
    if best.is_none_or(|best| found.rank.is_below(&best.rank)) {
        *best = Some(found);
    }
}

/// By how much the end misses the goal with `x`.
fn missed(chain: &Chain, x: &Unknowns) -> Miss {
    let Reached { at, along, length } = chain.reached(x);
    let end = chain.goal.end;
    Miss {
        gap: at.distance(end.at),
        angle: atan2(along.cross(end.along).length(), along.dot(end.along)),
        length: chain.goal.length.map_or(0.0, |goal| length - goal),
        beyond: None,
    }
}

/// Start `number`: 0 is the drawn values; the others fill the whole range evenly, and every second one
/// stays within a third of the way from the drawn values.
fn start(chain: &Chain, number: usize) -> Unknowns {
    let spread = spread(chain.unknowns(), number);
    let far = chain.goal.end.at.distance(chain.start.at).max(2.0 * SCALE);
    let part = match number {
        0 => 0.0,
        n if n % 2 == 1 => 0.35,
        _ => 1.0,
    };
    let mut x = [0.0; UNKNOWNS];
    for (i, open) in chain.open.iter().enumerate() {
        let (middle, width) = match open.slot {
            Slot::Straight { given, .. } => (given / SCALE + 0.4 * far / SCALE, 0.8 * far / SCALE),
            Slot::Bend { .. } => (0.3 * PI, 0.6 * PI),
            _ => (0.0, 2.0 * PI),
        };
        let wide = middle + width * (spread[i] - 0.5);
        x[i] = match (open.drawn, open.slot) {
            (None, _) => wide,
            (Some(drawn), Slot::Straight { given, .. }) => mixed((given + drawn) / SCALE, wide, part),
            (Some(drawn), _) => mixed(drawn, wide, part),
        };
    }
    x
}

fn mixed(a: f64, b: f64, part: f64) -> f64 {
    a + (b - a) * part
}

/// Point `number` of the additive recurrence that fills a cube of `n` dimensions evenly: steps of
/// `1 / g^i` for the root `g` of `g^(n + 1) = g + 1`, which generalises the golden section (common
/// numerical practice).
fn spread(n: usize, number: usize) -> Unknowns {
    let mut root = 2.0_f64;
    for _ in 0..60 {
        root = geom::math::pow(1.0 + root, 1.0 / (n as f64 + 1.0));
    }
    let mut step = 1.0;
    std::array::from_fn(|_| {
        step /= root;
        (0.5 + step * number as f64).fract()
    })
}
