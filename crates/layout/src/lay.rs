//! The way from a Design to a Layout.

use spec::Design;

use crate::branches::Roots;
use crate::closing::{self, Closed};
use crate::interruptions::Link;
use crate::layout::{Fault, Layout, Make, Owner, Part};
use crate::merges::MergeFrame;
use crate::returning::returning;
use crate::run_lines::Line;
use crate::{branches, joints, merges, movement, noticed, plates, plug, run_lines, runs, weld_seams};

/// Lays a design out in space, or says everything that keeps it from being laid out.
///
/// Merges come first, because they demand the poses of the runs' ends; then the values left open are
/// solved; then each run's centreline, then the pieces, the holes of branches and bungs in them, the
/// joints between them, and the findings.
pub fn lay(design: &Design) -> Result<Layout, Vec<Fault>> {
    let mut faults = Vec::new();
    let frames = merges::frames(design, &mut faults);
    none(faults)?;
    let Closed { design, solved } = closing::close_between(design, &frames)?;
    let design = &design;
    let (lines, roots) = lines(design, &frames)?;
    let mut faults = Vec::new();
    let mut pieces: Vec<Part> = Vec::new();
    let mut findings = Vec::new();
    let laid = runs::lay(design, &frames, lines, &mut pieces, &mut findings, &mut faults);
    let mut merges = merges::lay(design, frames, &mut pieces, &mut faults);
    let mut plates = plates::lay(design, &mut faults);
    plates.extend(plug::lay(design, &mut merges, &mut faults));
    let transitions = plates::transitions(design, &mut faults);
    none(faults)?;
    let unusable = |part| vanishing(design, part).or_else(|| crossing(design, part));
    none(pieces.iter().filter_map(unusable).collect())?;
    let mut faults = Vec::new();
    let (branches, bungs) = branches::lay(design, &roots, (&laid.runs, &merges), &mut pieces, &mut faults);
    none(faults)?;
    let marks = pieces.iter().map(|part| part.mark.as_str());
    let marks: Vec<&str> = marks.chain(transitions.iter().map(|part| part.mark.as_str())).collect();
    none(plates::marks_taken(&plates, &marks))?;
    let mut layout = Layout {
        runs: laid.runs,
        fittings: laid.fittings,
        pieces,
        joints: Vec::new(),
        merges,
        weld_seams: Vec::new(),
        branches,
        bungs,
        plates,
        transitions,
        groups: Vec::new(),
        solved,
        findings,
    };
    settle(design, &mut layout, &laid.links);
    Ok(layout)
}

/// The runs' centrelines, and where branches begin on theirs.
fn lines(design: &Design, frames: &[MergeFrame]) -> Result<(Vec<Line>, Roots), Vec<Fault>> {
    let mut faults = Vec::new();
    let lines = run_lines::lines(design, frames, &mut faults);
    let roots = branches::roots(design, frames, &lines, &mut faults);
    let runs = design.runs.iter().zip(&lines);
    faults.extend(runs.filter_map(|(run, line)| returning(&run.name, line.as_ref()?)));
    none(faults)?;
    Ok((lines.into_iter().flatten().collect(), roots))
}

/// What follows from all that is laid: joints, seams, groups, movements, and what they show.
fn settle(design: &Design, layout: &mut Layout, links: &[Link]) {
    layout.joints = joints::between(design, layout, links);
    layout.weld_seams = weld_seams::of(design, layout);
    layout.groups = noticed::groups(design, layout);
    movement::settle(design, layout);
    noticed::findings(design, layout);
}

/// Goes on where there are no faults.
fn none(faults: Vec<Fault>) -> Result<(), Vec<Fault>> {
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

/// What is wrong with a piece that is too short to be one.
fn vanishing(design: &Design, part: &Part) -> Option<Fault> {
    let length = part.piece.length();
    let key = match part.owner {
        Owner::Run(run) => format!("run.{}", design.runs[run].name),
        Owner::Merge(merge) => format!("merge.{}", design.merges[merge].name),
    };
    (length < SHORTEST).then(|| Fault {
        key,
        code: "piece-too-short",
        message: format!(
            "piece `{}` would be {length:.6} mm long, and the least is {SHORTEST} mm",
            part.mark
        ),
        help: "check the units of its path, or leave out what comes so close together".into(),
    })
}

/// The shortest piece that is laid out, mm; what a shop can hold is `least_piece`, which is a finding.
const SHORTEST: f64 = 0.01;

/// What is wrong with a piece whose two cuts meet, so that no metal is left between them.
fn crossing(design: &Design, part: &Part) -> Option<Fault> {
    let (clock, by) = part.piece.crossing()?;
    // Lengthening a piece moves its end cut away from its start cut by as much.
    let short = (by * 100.0).ceil() / 100.0;
    let (key, help) = match part.owner {
        Owner::Run(run) => (
            format!("run.{}", design.runs[run].name),
            format!("make the run at least {short:.2} mm longer, or its cuts less steep"),
        ),
        Owner::Merge(merge) => (
            format!("merge.{}", design.merges[merge].name),
            match part.make {
                Make::Cone => format!("make the cone at least {short:.2} mm longer"),
                _ => format!("make leg_length at least {short:.2} mm larger, or inlet_gap larger"),
            },
        ),
    };
    let clock = geom::angle::to_degrees(clock);
    let message = format!(
        "the cuts at the two ends of piece `{}` cross by {by:.2} mm at clock {clock:.1} degrees",
        part.mark
    );
    Some(Fault { key, code: "cuts-cross", message, help })
}
