//! `report.json`: every number, for other programs. mm, degrees, kg, mm3.

mod access;
mod branch;
mod clearance;
mod fitting;
mod flange;
mod merge;
mod number;
mod piece;
mod run;
mod solved;
mod transition;

use layout::Layout;
use layout::layout::Joint;
use serde::Serialize;
use spec::{Design, Finding};

pub use number::{Num, Point, Unit, point, unit};

use ::clearance::Clearance;
use access::{Access, DrainRow, GroundRow};
use branch::{BranchRow, BungRow};
pub use clearance::ClearanceRow;
use clearance::ScanRow;
use fitting::FittingRow;
use flange::FlangeRow;
use merge::MergeRow;
use piece::PieceRow;
use run::RunRow;
pub use solved::SolvedRow;
use transition::TransitionRow;

/// The whole report.
#[derive(Debug, Serialize)]
pub struct Report<'a> {
    format: u32,
    spec: &'a str,
    hotside: &'static str,
    runs: Vec<RunRow<'a>>,
    pieces: Vec<PieceRow<'a>>,
    joints: Vec<JointRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    merges: Vec<MergeRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    branches: Vec<BranchRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    bungs: Vec<BungRow<'a>>,
    fittings: Vec<FittingRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    flanges: Vec<FlangeRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    transitions: Vec<TransitionRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    clearance: Vec<ClearanceRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    scans: Vec<ScanRow<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    access: Option<Access<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ground: Option<GroundRow<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    drain: Option<DrainRow>,
    totals: Totals,
    findings: Vec<FindingRow<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    solved: Vec<SolvedRow<'a>>,
}

#[derive(Debug, Serialize)]
struct JointRow<'a> {
    mark: &'a str,
    a: &'a str,
    a_end: &'static str,
    b: &'a str,
    b_end: &'static str,
    at: Point,
    clock_a: Num,
    clock_b: Num,
    weld_length: Num,
    kind: &'static str,
    overlap: Num,
}

/// Sums over the header: kg and mm.
#[derive(Debug, Serialize)]
pub struct Totals {
    /// Mass of all pieces, kg.
    pub mass: Num,
    /// Length of all welds, mm.
    pub weld_length: Num,
}

/// Something that was noticed.
#[derive(Debug, Serialize)]
pub struct FindingRow<'a> {
    level: &'static str,
    code: &'a str,
    #[serde(rename = "where")]
    place: &'a str,
    message: &'a str,
    value: Option<Num>,
    limit: Option<Num>,
}

impl<'a> Report<'a> {
    /// The report of a laid-out design in its bay.
    pub fn of(design: &'a Design, layout: &'a Layout, clearance: &'a Clearance) -> Report<'a> {
        Report {
            format: 1,
            spec: &design.name,
            hotside: env!("CARGO_PKG_VERSION"),
            runs: layout.runs.iter().map(|run| RunRow::of(run, layout)).collect(),
            pieces: (0..layout.pieces.len()).map(|index| PieceRow::of(index, layout)).collect(),
            joints: layout.joints.iter().map(|joint| JointRow::of(joint, layout)).collect(),
            merges: (0..layout.merges.len()).map(|merge| MergeRow::of(merge, layout)).collect(),
            branches: layout.branches.iter().map(|branch| BranchRow::of(branch, layout)).collect(),
            bungs: layout.bungs.iter().map(|bung| BungRow::of(bung, design, layout)).collect(),
            fittings: layout.fittings.iter().map(|f| FittingRow::of(f, design, layout)).collect(),
            flanges: flange::rows(design, layout),
            transitions: layout
                .transitions
                .iter()
                .map(|part| TransitionRow::of(part, design, layout))
                .collect(),
            clearance: clearance.rows.iter().chain(&clearance.own).map(ClearanceRow::of).collect(),
            scans: clearance::scans(design, clearance),
            access: Access::of(clearance),
            ground: clearance.ground.as_ref().map(GroundRow::of),
            drain: clearance.drain.as_ref().map(DrainRow::of),
            totals: Totals::of(layout),
            findings: layout.findings.iter().map(FindingRow::of).collect(),
            solved: layout.solved.iter().map(|solved| SolvedRow::of(solved, layout)).collect(),
        }
    }
}

impl<'a> JointRow<'a> {
    fn of(joint: &'a Joint, layout: &'a Layout) -> JointRow<'a> {
        JointRow {
            mark: &joint.mark,
            a: &layout.pieces[joint.a].mark,
            a_end: sheets::csv::a_end_name(joint),
            b: &layout.pieces[joint.b].mark,
            b_end: sheets::csv::end_name(joint.b_end),
            at: point(joint.at),
            clock_a: Num::degrees(joint.clock_a),
            clock_b: Num::degrees(joint.clock_b),
            weld_length: Num(joint.weld_length),
            kind: sheets::csv::joint_kind(joint.kind),
            overlap: Num(joint.overlap),
        }
    }
}

impl Totals {
    /// Of all pieces and joints.
    pub fn of(layout: &Layout) -> Totals {
        Totals { mass: Num(layout.mass()), weld_length: Num(layout.weld_length()) }
    }
}

impl<'a> FindingRow<'a> {
    /// A finding for machines.
    pub fn of(finding: &'a Finding) -> FindingRow<'a> {
        FindingRow {
            level: finding.level.name(),
            code: finding.code,
            place: &finding.place,
            message: &finding.message,
            value: finding.value.map(Num),
            limit: finding.limit.map(Num),
        }
    }
}
