//! One run with open values: what it has to reach, and the run with values put in.

use geom::angle::from_degrees;
use spec::Design;
use spec::design::{self, CLOSING_EQUATIONS, LENGTH_EQUATIONS, Making, Path, Place, Slot};
use tube::Rows;

use crate::closing::chain::{Chain, Goal, SCALE};
use crate::closing::least_squares::UNKNOWNS;
use crate::closing::search::{self, Tolerance};
use crate::closing::{Solved, SolvedValue, miss, single};
use crate::layout::Fault;
use crate::noticed::{CLOSED, TARGET_MISSED};
use crate::run_ends::RunEnds;
use crate::run_lines::{self, Line};

/// A run whose open values are to be solved.
#[derive(Clone, Copy)]
pub(crate) struct Problem<'a> {
    pub design: &'a Design,
    pub run: &'a design::Run,
    pub ends: RunEnds,
}

impl<'a> Problem<'a> {
    /// The length that it is to have, mm: its own target or its group's.
    pub fn target(&self) -> Option<f64> {
        self.run.target.or(self.run.group.and_then(|g| self.design.groups[g].target))
    }

    /// The open values, mm and rad, with which the run closes and, where `length` is given (measured
    /// as a target is), has that length.
    pub fn solve(&self, length: Option<f64>) -> Result<Vec<f64>, Fault> {
        match (self.chain(length), length) {
            (Some(chain), _) => {
                let found = search::solve(&chain, self.tolerance());
                found
                    .map(|found| self.kept(self.values(&found.x)))
                    .map_err(|missed| miss::of_chain(self, &chain, missed))
            }
            (None, Some(length)) if self.run.open.len() == 1 => {
                single::solve(self, length).map(|value| vec![value])
            }
            // The reader counts equations, so that no spec comes here.
            (None, _) => {
                let message = "it leaves more values open than it has equations for".into();
                Err(self.fault(Some(0), message, "write the values"))
            }
        }
    }

    /// Straights that rounding has left below 0 are 0.
    fn kept(&self, mut values: Vec<f64>) -> Vec<f64> {
        for (open, value) in self.run.open.iter().zip(&mut values) {
            if !open.slot.is_angle() {
                *value = value.max(0.0);
            }
        }
        values
    }

    /// The run as a system of equations: bend rows onto a demanded pose.
    pub fn chain(&self, length: Option<f64>) -> Option<Chain<'a>> {
        let Path::Rows { rows, tail } = &self.run.path else { return None };
        if self.run.open.len() > UNKNOWNS {
            return None;
        }
        let start = self.ends.start(self.run.inside)?;
        let length = length.map(|length| length - self.ends.beyond.unwrap_or(0.0));
        Some(Chain {
            start,
            rows: Rows { rows: rows.clone(), tail: *tail },
            segments: match self.run.making {
                Making::Segmented(segments) => Some(segments),
                Making::Drawn | Making::Assembled => None,
            },
            open: &self.run.open,
            goal: Goal { end: self.ends.demanded?, length, length_weight: 1.0 },
        })
    }

    /// How exactly the goal has to be met where the given values are rounded; the length only as a target
    /// is, where fewer values are open than there are equations.
    fn tolerance(&self) -> Tolerance {
        let (gap, angle) = self.run.allowed_gap.unwrap_or((CLOSED.0, from_degrees(CLOSED.1)));
        let length = match self.run.open.len() {
            few if few < CLOSING_EQUATIONS + LENGTH_EQUATIONS => {
                self.run.group.map_or(TARGET_MISSED, |g| self.design.groups[g].spread)
            }
            _ => gap,
        };
        Tolerance { gap, angle, length }
    }

    /// A chain's unknowns as the spec's values, mm and rad.
    pub fn values(&self, x: &[f64]) -> Vec<f64> {
        let value = |(open, &x): (&design::OpenValue, &f64)| match open.slot {
            Slot::Straight { given, .. } => x * SCALE - given,
            _ => x,
        };
        self.run.open.iter().zip(x).map(value).collect()
    }

    /// The run with `values` in place of the open ones.
    pub fn filled(&self, values: &[f64]) -> design::Run {
        let mut run = design::Run { open: Vec::new(), ..self.run.clone() };
        for (open, &value) in self.run.open.iter().zip(values) {
            match (open.slot, &mut run.path) {
                (Slot::Straight { row, given }, Path::Rows { rows, tail }) => match rows.get_mut(row) {
                    Some(row) => row.feed = given + value,
                    None => *tail = given + value,
                },
                (Slot::Bend { row }, Path::Rows { rows, .. }) => rows[row].bend = value,
                (Slot::Rotate { row }, Path::Rows { rows, .. }) => rows[row].rotate = value,
                (Slot::Plane, _) => run.inside = self.ends.start(None).map(|start| start.outward(value)),
                (Slot::Distance { vertex }, Path::Vertices(vertices)) => {
                    if let Place::Out(distance) | Place::Back(distance) = &mut vertices[vertex].place {
                        *distance = value;
                    }
                }
                (Slot::Coordinate { vertex, axis }, Path::Vertices(vertices)) => {
                    if let Place::At(at) = &mut vertices[vertex].place {
                        at[axis] = value;
                    }
                }
                _ => {}
            }
        }
        run
    }

    /// Its open values with what they were solved to; `index` is the run's.
    pub fn solved(&self, index: usize, values: &[f64]) -> Vec<Solved> {
        let inside = self.filled(values).inside;
        let solved = |(open, &value): (&design::OpenValue, &f64)| Solved {
            run: Some(index),
            key: open.key.clone(),
            value: match (open.slot, inside) {
                (Slot::Plane, Some(inside)) => SolvedValue::Direction(inside),
                (slot, _) if slot.is_angle() => SolvedValue::Angle(value),
                _ => SolvedValue::Length(value),
            },
            drawn: open.drawn,
        };
        self.run.open.iter().zip(values).map(solved).collect()
    }

    /// The run's line with `values`.
    pub fn line(&self, values: &[f64]) -> Result<Line, Vec<Fault>> {
        run_lines::line(self.design, self.ends, &self.filled(values))
    }

    /// The length that is held against a target, mm, of a line of this run.
    pub fn measured(&self, line: &Line) -> f64 {
        line.centreline.length() + self.ends.beyond.unwrap_or(0.0)
    }

    /// A fault of this run, marked at one of its open values or at its path.
    pub fn fault(&self, open: Option<usize>, message: String, help: &str) -> Fault {
        let key = open.and_then(|i| self.run.open.get(i)).map(|open| open.key.clone());
        Fault {
            key: key.unwrap_or_else(|| format!("run.{}.path", self.run.name)),
            code: "cannot-close",
            message: format!("run `{}`: {message}", self.run.name),
            help: help.to_owned(),
        }
    }
}
