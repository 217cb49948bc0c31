//! The one open value of a run that closes by itself, from its length.

use std::f64::consts::PI;

use geom::roots::bracketed;
use spec::design::{Path, Slot};
use tube::{Centreline, VertexError, VertexTolerance};

use crate::closing::chain::LEAST_BEND;
use crate::closing::miss;
use crate::closing::problem::Problem;
use crate::layout::Fault;
use crate::run_lines::corners;

/// Values at which the length is sampled.
const SAMPLES: usize = 1200;

/// A length this near, mm, is reached: a bracket may also close on a jump.
const REACHED: f64 = 1e-6;

/// The length and the sum of all bends with one value put in; `None` where no line can be laid.
type Sample = (f64, Option<(f64, f64)>);

/// The value with which the run has `length`: the nearest to the drawn one, else of least bend.
pub(crate) fn solve(problem: &Problem, length: f64) -> Result<f64, Fault> {
    let samples = samples(problem, length);
    let off = |value: f64| measured(problem, value).map_or(f64::NAN, |(found, _)| found - length);
    let mut best: Option<(f64, f64)> = None;
    for pair in samples.windows(2) {
        let (Some(a), Some(b)) = (usable(problem, pair[0], pair[1]), usable(problem, pair[1], pair[0]))
        else {
            continue;
        };
        let Some(value) = bracketed(off, a, b, 1e-12) else { continue };
        let Some((_, bend)) = measured(problem, value).filter(|(f, _)| (f - length).abs() < REACHED) else {
            continue;
        };
        let rank = problem.run.open[0].drawn.map_or(bend, |drawn| (value - drawn).abs());
        if best.is_none_or(|(_, least)| rank < least) {
            best = Some((value, rank));
        }
    }
    best.map(|(value, _)| value).ok_or_else(|| missed(problem, length, &samples))
}

/// The length that the run has by itself: with the drawn value, else the shortest that it can have.
pub(crate) fn natural(problem: &Problem) -> Option<f64> {
    if let Some(drawn) = problem.run.open[0].drawn {
        return measured(problem, drawn).map(|(length, _)| length);
    }
    let lengths =
        samples(problem, 0.0).into_iter().filter_map(|(_, sample)| sample.map(|(length, _)| length));
    lengths.min_by(f64::total_cmp)
}

fn measured(problem: &Problem, value: f64) -> Option<(f64, f64)> {
    let line = problem.line(&[value]).ok()?;
    let bend = line.centreline.rows().rows.iter().map(|row| row.bend).sum();
    Some((problem.measured(&line), bend))
}

/// The length over the whole range of the value, for a run that is to be `length` long.
fn samples(problem: &Problem, length: f64) -> Vec<Sample> {
    let far = problem.ends.demanded.map_or(0.0, |end| end.at.distance(problem.ends.at));
    let radii: f64 = match &problem.run.path {
        Path::Vertices(vertices) => vertices.iter().map(|v| v.radius).sum(),
        Path::Rows { rows, .. } => rows.iter().map(|r| r.radius).sum(),
    };
    let reach = length + far + 4.0 * radii + 100.0;
    let (low, high) = match problem.run.open[0].slot {
        Slot::Bend { .. } => (LEAST_BEND, PI),
        Slot::Rotate { .. } | Slot::Plane => (-PI, PI),
        Slot::Straight { .. } => (0.0, reach),
        Slot::Distance { .. } => (1e-6, reach),
        Slot::Coordinate { axis, .. } => (problem.ends.at[axis] - reach, problem.ends.at[axis] + reach),
        Slot::Target => return Vec::new(),
    };
    let value = |i: usize| low + (high - low) * i as f64 / SAMPLES as f64;
    (0..=SAMPLES).map(|i| (value(i), measured(problem, value(i)))).collect()
}

/// The value of a sample; where no line can be laid there but at its `neighbour`, the last value on the
/// way from there at which one can.
fn usable(problem: &Problem, (value, sample): Sample, neighbour: Sample) -> Option<f64> {
    if sample.is_some() {
        return Some(value);
    }
    neighbour.1?;
    let (mut good, mut bad) = (neighbour.0, value);
    for _ in 0..60 {
        let middle = 0.5 * (good + bad);
        if measured(problem, middle).is_some() {
            good = middle;
        } else {
            bad = middle;
        }
    }
    Some(good)
}

/// That the run cannot be laid with any value.
pub(crate) fn unlayable(problem: &Problem) -> Fault {
    miss::of_room(problem, room_missing(problem, &samples(problem, 0.0)))
}

/// How nearly the run comes to `length`.
fn missed(problem: &Problem, length: f64, samples: &[Sample]) -> Fault {
    let borders = samples.windows(2).flat_map(|pair| {
        [usable(problem, pair[0], pair[1]), usable(problem, pair[1], pair[0])].into_iter().flatten()
    });
    let found = borders.filter_map(|value| measured(problem, value)).map(|(found, _)| found);
    let nearest = found.min_by(|a, b| (a - length).abs().total_cmp(&(b - length).abs()));
    match nearest {
        Some(nearest) => miss::of_length(problem, nearest, length),
        None => miss::of_room(problem, room_missing(problem, samples)),
    }
}

/// The least by which the straights of a path of vertices are too short at any sample, mm.
fn room_missing(problem: &Problem, samples: &[Sample]) -> Option<f64> {
    let missing = |&(value, _): &Sample| {
        let Path::Vertices(vertices) = problem.filled(&[value]).path else { return None };
        let (corners, end) = corners(problem.ends, &vertices);
        let errors =
            Centreline::from_vertices(problem.ends.at, &corners, end, VertexTolerance::default()).err()?;
        let short = errors.into_iter().map(|error| match error {
            VertexError::Overlap { missing, .. } => Some(missing),
            _ => None,
        });
        short.sum::<Option<f64>>()
    };
    samples.iter().filter_map(missing).min_by(f64::total_cmp)
}
