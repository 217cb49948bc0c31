//! The short table of `check`.

use std::fmt;

use clearance::Row;
use geom::angle::to_degrees;
use geom::unit::{Units, fixed};
use layout::closing::{Solved, SolvedValue};
use layout::layout::{Group, Merge, Run};
use serde::Serialize;
use spec::Level;

use crate::reading::Job;
use crate::report::{ClearanceRow, Num, SolvedRow, Totals};

/// A header in a few lines. Numbers in mm, degrees and kg; printed in the spec's unit.
#[derive(Debug, Serialize)]
pub struct Summary<'a> {
    spec: &'a str,
    title: &'a str,
    #[serde(skip)]
    units: Units,
    released: bool,
    runs: Vec<RunLine<'a>>,
    groups: Vec<GroupLine<'a>>,
    merges: Vec<MergeLine<'a>>,
    /// The tightest places against the bay.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    clearance: Vec<ClearanceRow<'a>>,
    /// What of them people see.
    #[serde(skip)]
    clearance_table: Vec<Vec<String>>,
    totals: Totals,
    failures: usize,
    warnings: usize,
    notes: usize,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    solved: Vec<SolvedRow<'a>>,
    /// What of it people see.
    #[serde(skip)]
    solved_table: Vec<Vec<String>>,
    /// How many solved values were written into the spec, where that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<usize>,
}

#[derive(Debug, Serialize)]
struct RunLine<'a> {
    name: &'a str,
    from: &'a str,
    to: &'a str,
    length: Num,
    length_to_tip: Option<Num>,
    target_length: Option<Num>,
    difference: Option<Num>,
    closure_gap: Num,
    closure_angle: Num,
}

#[derive(Debug, Serialize)]
struct GroupLine<'a> {
    name: &'a str,
    shortest: Num,
    longest: Num,
    spread: Num,
    allowed: Num,
}

#[derive(Debug, Serialize)]
struct MergeLine<'a> {
    name: &'a str,
    legs: usize,
    mouth_od: Num,
    spike_depth: Num,
    first_contact: Num,
}

impl<'a> Summary<'a> {
    /// Of a job of which `written` values were written into the spec, if that was asked for.
    pub fn of(job: &'a Job, written: Option<usize>) -> Summary<'a> {
        let layout = &job.layout;
        let tightest = job.clearance.tightest(SHOWN);
        let count = |level: Level| layout.findings.iter().filter(|f| f.level == level).count();
        Summary {
            spec: &job.design.name,
            title: &job.design.title,
            units: job.design.units,
            released: layout.released(),
            runs: layout.runs.iter().map(RunLine::of).collect(),
            groups: layout.groups.iter().map(GroupLine::of).collect(),
            merges: layout.merges.iter().map(MergeLine::of).collect(),
            clearance: tightest.iter().map(|row| ClearanceRow::of(row)).collect(),
            clearance_table: tightest.iter().map(|row| clearance_row(job, row)).collect(),
            totals: Totals::of(layout),
            failures: count(Level::Failure),
            warnings: count(Level::Warning),
            notes: count(Level::Note),
            solved: layout.solved.iter().map(|solved| SolvedRow::of(solved, layout)).collect(),
            solved_table: layout.solved.iter().map(|solved| solved_row(job, solved)).collect(),
            written,
        }
    }

    fn run_table(&self) -> Vec<Vec<String>> {
        let unit = self.units.symbol();
        let head = ["run", "from", "to", "length", "to tip", "target", "difference", "closure mm", "degrees"];
        let mut rows = vec![head.map(str::to_owned).to_vec()];
        for name in &mut rows[0][3..7] {
            *name = format!("{name} {unit}");
        }
        let length = |n: Num| self.units.decimal(n.0);
        let maybe = |n: Option<Num>| n.map_or_else(|| "-".to_owned(), length);
        rows.extend(self.runs.iter().map(|run| {
            let mut row =
                vec![run.name.to_owned(), run.from.to_owned(), run.to.to_owned(), length(run.length)];
            row.extend([run.length_to_tip, run.target_length, run.difference].map(maybe));
            row.extend([fixed(run.closure_gap.0, 3), fixed(run.closure_angle.0, 3)]);
            row
        }));
        rows
    }
}

impl fmt::Display for Summary<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.units.symbol();
        let length = |n: &Num| format!("{} {unit}", self.units.decimal(n.0));
        writeln!(f, "{}: {}\n", self.spec, self.title)?;
        table(f, &self.run_table(), 3)?;
        writeln!(f)?;
        for group in &self.groups {
            let GroupLine { name, shortest, longest, spread, allowed } = group;
            let range = format!("{} to {}", length(shortest), length(longest));
            writeln!(f, "group {name}: {range}, spread {} (allowed {})", length(spread), length(allowed))?;
        }
        for merge in &self.merges {
            let MergeLine { name, legs, mouth_od, spike_depth, first_contact } = merge;
            let inside = format!("spike {}, first contact {}", length(spike_depth), length(first_contact));
            writeln!(
                f,
                "merge {name}: {legs} legs, mouth {} OD; inside the mouth: {inside}",
                length(mouth_od)
            )?;
        }
        if !self.solved_table.is_empty() {
            let head = ["left open", "of", "solved", "drawn"].map(str::to_owned).to_vec();
            writeln!(f)?;
            table(f, &[vec![head], self.solved_table.clone()].concat(), 2)?;
            writeln!(f)?;
        }
        if !self.clearance_table.is_empty() {
            let head = ["tightest", "against", "where", "worst when", "room", "needs"].map(str::to_owned);
            writeln!(f)?;
            table(f, &[vec![head.to_vec()], self.clearance_table.clone()].concat(), 4)?;
            writeln!(f)?;
        }
        let Totals { mass, weld_length } = &self.totals;
        writeln!(f, "mass {} kg, weld {}", fixed(mass.0, 3), length(weld_length))?;
        let (failures, warnings, notes) = (self.failures, self.warnings, self.notes);
        write!(f, "{}, ", counted(failures, "failure"))?;
        writeln!(f, "{}, {}", counted(warnings, "warning"), counted(notes, "note"))?;
        writeln!(f, "{}", if self.released { "released" } else { "NOT RELEASED" })?;
        match self.written {
            Some(0) if self.solved.is_empty() => writeln!(f, "nothing is left open: the spec stays as it is"),
            Some(0) => {
                writeln!(f, "the spec stays as it is: solved values are not written while there is a failure")
            }
            Some(count) => writeln!(f, "{} written into the spec", counted(count, "solved value")),
            None => Ok(()),
        }
    }
}

impl<'a> RunLine<'a> {
    fn of(run: &'a Run) -> RunLine<'a> {
        RunLine {
            name: &run.name,
            from: &run.from,
            to: &run.to,
            length: Num(run.length()),
            length_to_tip: run.length_to_tip().map(Num),
            target_length: run.target.map(Num),
            difference: run.target.map(|target| Num(run.measured_length() - target)),
            closure_gap: Num(run.closure.gap),
            closure_angle: Num::degrees(run.closure.angle),
        }
    }
}

impl<'a> GroupLine<'a> {
    fn of(group: &'a Group) -> GroupLine<'a> {
        GroupLine {
            name: &group.name,
            shortest: Num(group.shortest),
            longest: Num(group.longest),
            spread: Num(group.longest - group.shortest),
            allowed: Num(group.allowed),
        }
    }
}

impl<'a> MergeLine<'a> {
    fn of(merge: &'a Merge) -> MergeLine<'a> {
        MergeLine {
            name: &merge.name,
            legs: merge.legs.len(),
            mouth_od: Num(merge.mouth_od),
            spike_depth: Num(merge.spike_depth()),
            first_contact: Num(merge.first_contact_depth()),
        }
    }
}

/// What is open, of which run or group, its solved value, the drawn one.
fn solved_row(job: &Job, solved: &Solved) -> Vec<String> {
    let units = job.design.units;
    let length = |mm: f64| format!("{} {}", fixed(mm / units.in_millimetres(), 3), units.symbol());
    let angle = |radians: f64| format!("{} deg", fixed(to_degrees(radians), 3));
    let drawn = |said: &dyn Fn(f64) -> String| solved.drawn.map_or_else(|| "-".to_owned(), said);
    let (value, drawn) = match solved.value {
        SolvedValue::Length(mm) => (length(mm), drawn(&length)),
        SolvedValue::Angle(radians) => (angle(radians), drawn(&angle)),
        SolvedValue::Direction(v) => {
            (format!("[{}]", v.to_array().map(|x| fixed(x, 4)).join(", ")), "-".into())
        }
    };
    vec![solved.name(), solved.owner().to_owned(), value, drawn]
}

/// Part, obstacle, place, state, room and what is needed.
fn clearance_row(job: &Job, row: &Row) -> Vec<String> {
    let units = job.design.units;
    vec![
        format!("{} {}", row.kind.noun(), row.subject),
        row.against.clone(),
        row.place(units),
        row.state.words(),
        units.written(row.distance),
        units.written(row.required),
    ]
}

/// How many of the tightest places are shown.
const SHOWN: usize = 5;

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// Rows in columns two spaces apart: the first `words` to the left, numbers to the right.
fn table(f: &mut fmt::Formatter<'_>, rows: &[Vec<String>], words: usize) -> fmt::Result {
    let columns = rows.first().map_or(0, Vec::len);
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    for row in rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(column, (cell, &width))| {
            if column < words { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        writeln!(f, "{}", cells.collect::<Vec<_>>().join("  ").trim_end())?;
    }
    Ok(())
}
