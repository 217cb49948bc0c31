//! The length that the runs of a group share where its target is left open.

use spec::design::Group;

use crate::closing::least_squares::minimise;
use crate::closing::problem::Problem;
use crate::closing::{search, single};
use crate::layout::Fault;

/// How far from the length nearest to what is drawn a shared one is looked for, in parts of it, and in
/// how many steps each way.
const LOOK: (f64, u32) = (0.3, 60);

/// The length that the runs of `group` share, mm: that of the runs that cannot have another; else the one
/// nearest to the drawn target; else to the lengths that the runs have by themselves. It becomes the
/// target of each run that can have it.
///
/// Errors: runs that cannot change and differ by more than the group's spread; runs that cannot be closed
/// at any length, or at no common one.
pub(crate) fn length(
    group: &Group,
    problems: &[Problem],
    targets: &mut [Option<f64>],
) -> Result<f64, Vec<Fault>> {
    let (mut fixed, mut natural, mut free, mut faults) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (index, problem) in problems.iter().enumerate() {
        match own_length(problem) {
            Ok(Own::Fixed(length)) => fixed.push(length),
            Ok(Own::Free(length)) => {
                natural.push(length);
                free.push(index);
            }
            Err(found) => faults.extend(found),
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let length = if fixed.is_empty() {
        let free: Vec<&Problem> = free.iter().map(|&index| &problems[index]).collect();
        nearest(group, &free, &natural)?
    } else {
        middle(group, problems, &fixed).map_err(|fault| vec![fault])?
    };
    for index in free {
        targets[index] = Some(length);
    }
    Ok(length)
}

/// The length nearest to the drawn one, else to the mean of the natural ones, at which all runs close.
fn nearest(group: &Group, free: &[&Problem], natural: &[f64]) -> Result<f64, Vec<Fault>> {
    let mean = natural.iter().sum::<f64>() / natural.len().max(1) as f64;
    let drawn = group.open.as_ref().and_then(|open| open.drawn).unwrap_or(mean);
    let step = |i: u32| drawn * LOOK.0 * f64::from(i) / f64::from(LOOK.1);
    let mut lengths = (0..=LOOK.1).flat_map(|i| [drawn + step(i), drawn - step(i)]);
    let closes = |length: &f64| free.iter().all(|problem| problem.solve(Some(*length)).is_ok());
    // None closes all: the first choice says why.
    let why = || free.iter().filter_map(|problem| problem.solve(Some(drawn)).err()).collect();
    lengths.find(closes).ok_or_else(why)
}

/// The length of a run before its group's is known.
enum Own {
    /// It cannot have another.
    Fixed(f64),
    /// The one nearest to what was drawn; its open values let it have others.
    Free(f64),
}

fn own_length(problem: &Problem) -> Result<Own, Vec<Fault>> {
    let run = problem.run;
    if run.open.is_empty() {
        return problem.line(&[]).map(|line| Own::Fixed(problem.measured(&line)));
    }
    if let Some(target) = run.target {
        return Ok(Own::Fixed(target));
    }
    if problem.chain(None).is_none() {
        let natural = single::natural(problem);
        return natural.map(Own::Free).ok_or_else(|| vec![single::unlayable(problem)]);
    }
    let values = problem.solve(None).map_err(|fault| vec![fault])?;
    let length = problem.line(&values).map(|line| problem.measured(&line))?;
    Ok(if is_flexible(problem, &values, length) { Own::Free(length) } else { Own::Fixed(length) })
}

/// Whether a closed run stays closed when it is made a little longer or shorter.
fn is_flexible(problem: &Problem, values: &[f64], length: f64) -> bool {
    const LITTLE: f64 = 0.5;
    [LITTLE, -LITTLE].into_iter().any(|by| {
        let Some(chain) = problem.chain(Some(length + by)) else { return false };
        let near = minimise(&chain, chain.unknowns_of(values), &chain.bounds());
        near.miss <= search::exact(&chain)
    })
}

/// The middle of the lengths that are given, which must agree within the group's spread.
fn middle(group: &Group, problems: &[Problem], lengths: &[f64]) -> Result<f64, Fault> {
    let shortest = lengths.iter().copied().fold(f64::INFINITY, f64::min);
    let longest = lengths.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let written = |mm: f64| problems[0].design.units.written(mm);
    if longest - shortest <= group.spread {
        return Ok(0.5 * (shortest + longest));
    }
    Err(Fault {
        key: format!("group.{}.target", group.name),
        code: "no-common-length",
        message: format!(
            "group `{}` has no common length: its runs that cannot be changed are {} to {} long, {} apart, and {} is \
             allowed",
            group.name,
            written(shortest),
            written(longest),
            written(longest - shortest),
            written(group.spread)
        ),
        help: "leave a value of those runs open too, or write the target".into(),
    })
}
