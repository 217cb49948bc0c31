//! Values left open with "?": solved so that each run closes on its end and has its length.
//!
//! A run of bend rows onto a demanded pose is a system of equations (`chain`, `search`); every other
//! run has at most one open value, which its length tells (`single`). What the runs of a group share
//! is found first (`common`).

mod chain;
mod common;
mod least_squares;
mod miss;
mod problem;
mod search;
mod single;

use geom::DVec3;
use spec::Design;

use crate::closing::problem::Problem;
use crate::layout::Fault;
use crate::merges::{self, MergeFrame};
use crate::run_ends::{self, RunEnds};
use crate::run_lines::{Line, host_run};

/// A design without open values, and what they were solved to.
#[derive(Clone, Debug)]
pub struct Closed {
    /// The design, every number set.
    pub design: Design,
    /// Each value that was open, in the order of the runs, then of the groups.
    pub solved: Vec<Solved>,
}

/// A value that the spec left open.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// Index of its run; `None` for a group's target.
    pub run: Option<usize>,
    /// Its dotted key, as [`spec::Origins`] knows it.
    pub key: String,
    /// The value.
    pub value: SolvedValue,
    /// The drawn value, mm or rad, that it is the nearest to.
    pub drawn: Option<f64>,
}

impl Solved {
    /// What it is, in words: `straight of entry 3`.
    pub fn name(&self) -> String {
        name(&self.key)
    }

    /// The name of the run or group that it belongs to.
    pub fn owner(&self) -> &str {
        self.key.split('.').nth(1).unwrap_or_default()
    }
}

/// What the value of a dotted key is, in words: `straight of entry 3`, `y of entry 2`, `inside`. Entries of a
/// path are counted from 1.
fn name(key: &str) -> String {
    let last = key.rsplit('.').next().unwrap_or_default();
    let what = match last {
        "at[0]" => "x",
        "at[1]" => "y",
        "at[2]" => "z",
        other => other,
    };
    let entry = key.split_once("path[").and_then(|(_, rest)| rest.split_once(']'));
    match entry.and_then(|(index, _)| index.parse::<usize>().ok()) {
        Some(index) => format!("{what} of entry {}", index + 1),
        None => what.to_owned(),
    }
}

/// What an open value was solved to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SolvedValue {
    /// mm.
    Length(f64),
    /// rad.
    Angle(f64),
    /// A unit vector.
    Direction(DVec3),
}

/// Solves every open value of a design: so that each run closes on its end and has its target, its
/// group's, or the length that its group shares; of several solutions the one nearest to the drawn
/// values (bare "?": of least bend, then shortest).
///
/// Errors: for each run without a solution, how nearly it comes to one.
pub fn close(design: &Design) -> Result<Closed, Vec<Fault>> {
    let mut faults = Vec::new();
    let frames = merges::frames(design, &mut faults);
    if faults.is_empty() { close_between(design, &frames) } else { Err(faults) }
}

/// The same where the merges are known.
pub(crate) fn close_between(design: &Design, merges: &[MergeFrame]) -> Result<Closed, Vec<Fault>> {
    let closed = Closed { design: design.clone(), solved: Vec::new() };
    if design.runs.iter().all(|run| run.open.is_empty()) && design.groups.iter().all(|g| g.open.is_none()) {
        return Ok(closed);
    }
    let lines = design.runs.iter().map(|_| None).collect();
    Closing { design, merges, lines, closed, faults: Vec::new() }.all()
}

/// A design that is being closed.
struct Closing<'a> {
    design: &'a Design,
    merges: &'a [MergeFrame],
    /// The lines of the runs that are closed.
    lines: Vec<Option<Line>>,
    closed: Closed,
    faults: Vec<Fault>,
}

/// Runs that are closed together: one, or those of a group that shares an open length.
struct Party {
    group: Option<usize>,
    runs: Vec<usize>,
}

impl<'a> Closing<'a> {
    /// Closes every run, after those from which it branches off.
    fn all(mut self) -> Result<Closed, Vec<Fault>> {
        let mut waiting = self.parties();
        loop {
            let is_ready = |party: &Party| party.runs.iter().all(|&run| self.has_host(run));
            let (ready, later): (Vec<Party>, Vec<Party>) = waiting.into_iter().partition(is_ready);
            waiting = later;
            if ready.is_empty() {
                break;
            }
            for party in ready {
                if let Err(found) = self.party(&party) {
                    self.faults.extend(found);
                }
            }
        }
        if self.faults.is_empty() {
            self.faults = waiting.iter().map(|party| self.stuck(party)).collect();
        }
        let keys: Vec<&str> = self.design.runs.iter().flat_map(|r| &r.open).map(|o| o.key.as_str()).collect();
        self.closed.solved.sort_by_key(|s| keys.iter().position(|key| *key == s.key).unwrap_or(keys.len()));
        if self.faults.is_empty() { Ok(self.closed) } else { Err(self.faults) }
    }

    fn parties(&self) -> Vec<Party> {
        let runs = &self.design.runs;
        let sharing = |run: usize| runs[run].group.filter(|&g| self.design.groups[g].open.is_some());
        let alone = (0..runs.len()).filter(|&run| sharing(run).is_none());
        let mut parties: Vec<Party> = alone.map(|run| Party { group: None, runs: vec![run] }).collect();
        for group in (0..self.design.groups.len()).filter(|&g| self.design.groups[g].open.is_some()) {
            let runs = (0..runs.len()).filter(|&run| sharing(run) == Some(group)).collect();
            parties.push(Party { group: Some(group), runs });
        }
        parties
    }

    /// Whether the run from which `run` branches off, if it does, is closed.
    fn has_host(&self, run: usize) -> bool {
        host_run(self.design, run).is_none_or(|host| self.lines[host].is_some())
    }

    fn party(&mut self, party: &Party) -> Result<(), Vec<Fault>> {
        let design = self.design;
        let problems: Vec<Problem> =
            party.runs.iter().map(|&run| self.problem(run)).collect::<Result<_, _>>().map_err(|f| vec![f])?;
        let mut targets: Vec<Option<f64>> = problems.iter().map(Problem::target).collect();
        if let Some(group) = party.group {
            let length = common::length(&design.groups[group], &problems, &mut targets)?;
            let target = &mut self.closed.design.groups[group];
            target.target = Some(length);
            if let Some(open) = target.open.take() {
                let value = SolvedValue::Length(length);
                self.closed.solved.push(Solved { run: None, key: open.key, value, drawn: open.drawn });
            }
        }
        let mut faults = Vec::new();
        for ((&run, problem), target) in party.runs.iter().zip(problems).zip(targets) {
            match self.run(run, &problem, target) {
                Ok(line) => self.lines[run] = Some(line),
                Err(found) => faults.extend(found),
            }
        }
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    fn problem(&self, run: usize) -> Result<Problem<'a>, Fault> {
        let wanted = &self.design.runs[run];
        let root = run_ends::root(self.design, self.merges, &self.lines, wanted)?;
        let ends = RunEnds::of(self.design, self.merges, wanted, root.as_ref());
        Ok(Problem { design: self.design, run: wanted, ends })
    }

    /// Closes one run; gives its line.
    fn run(&mut self, run: usize, problem: &Problem, target: Option<f64>) -> Result<Line, Vec<Fault>> {
        if problem.run.open.is_empty() {
            return problem.line(&[]);
        }
        let values = problem.solve(target).map_err(|fault| vec![fault])?;
        self.closed.solved.extend(problem.solved(run, &values));
        self.closed.design.runs[run] = problem.filled(&values);
        problem.line(&values)
    }

    /// That runs wait for themselves.
    fn stuck(&self, party: &Party) -> Fault {
        let names: Vec<&str> = party.runs.iter().map(|&run| self.design.runs[run].name.as_str()).collect();
        Fault {
            key: format!("run.{}", names.first().copied().unwrap_or_default()),
            code: "cannot-close",
            message: format!(
                "runs `{}`: one of them begins at a branch of a run whose length waits for theirs",
                names.join("`, `")
            ),
            help: "write the group's target".into(),
        }
    }
}
