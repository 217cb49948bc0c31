//! The pieces of runs: their cuts and formed ends, and what is added to their raw tube.

use std::f64::consts::PI;

use geom::Frame;
use spec::design::{self, From, To};
use spec::{Design, Finding, Level};
use tube::{Body, Cut, End, Form, Piece, Shape};

use crate::interruptions::{Link, Onto, Tube};
use crate::layout::{Fault, JointKind, Make, Part};
use crate::merges::MergeFrame;
use crate::run_lines::{Line, fault, saddle};
use crate::{drawn, segmented};

/// The piece between two stations of a run, with the run's own cuts at the run's ends and mitres where two
/// segments meet. Its clock 0 is the run's scribe line where it is `scribed`, else its own.
pub(crate) fn piece(
    design: &Design,
    merges: &[MergeFrame],
    run: &design::Run,
    (line, scribed): (&Line, bool),
    tube: Tube,
) -> Result<Piece, Fault> {
    let part = line.centreline.reaching(tube.from, tube.to);
    let centreline = if scribed { part } else { part.normalised() };
    let start_cut = start_cut(design, merges, run, line, &tube, centreline.start);
    let end_cut = end_cut(design, run, line, &tube, (centreline.end(), centreline.length()));
    let piece = Piece::tube(centreline, tube.section, start_cut, end_cut)
        .ok_or_else(|| cut_into_bend(run, ".path", None))?;
    let part_at = |end: End| match end {
        End::Start if run.start_cut.is_some() => ".start_cut",
        End::End if run.end_cut.is_some() => ".end_cut",
        _ => ".path",
    };
    let mut ends = [End::Start, End::End].into_iter();
    match ends.find_map(|end| piece.missing_straight(end).map(|missing| (end, missing))) {
        Some((end, missing)) => Err(cut_into_bend(run, part_at(end), Some(missing))),
        None => with_forms(run, piece, tube.forms),
    }
}

/// The cut at a piece's station 0, where its frame is `own`.
fn start_cut(
    design: &Design,
    merges: &[MergeFrame],
    run: &design::Run,
    line: &Line,
    tube: &Tube,
    own: Frame,
) -> Cut {
    match (run.from, run.start_cut) {
        _ if !tube.own_ends[0] => segmented::inner_cut(line.centreline.mitre_at(tube.from), End::Start, 0.0),
        (From::Merge(merge), _) if design.merges[merge].cone.is_none() => merges[merge].outlet_cut(own),
        (From::Branch(_), _) => line.root.as_ref().map_or(Cut::square(0.0), |root| root.start_cut(own)),
        // A start cut reaches furthest upstream at its long point: half a turn from the plane's zero.
        (_, Some(cut)) => mitred(cut, line.centreline.start_at_first_bend(), own, 0.0, PI),
        _ => Cut::square(0.0),
    }
}

/// The cut at a piece's end, where its frame is `own`, at the station `length`.
fn end_cut(design: &Design, run: &design::Run, line: &Line, tube: &Tube, (own, length): (Frame, f64)) -> Cut {
    match (run.to, run.end_cut) {
        _ if !tube.own_ends[1] => segmented::inner_cut(line.centreline.mitre_at(tube.to), End::End, length),
        (To::Host(host), _) => {
            Cut { station: length, roll: 0.0, shape: Shape::Saddle(saddle(&design.hosts[host], own)) }
        }
        (_, Some(cut)) => mitred(cut, line.centreline.end_at_last_bend(), own, length, 0.0),
        _ => Cut::square(length),
    }
}

/// A slanting cut of a run's end at a piece's `station`: its roll, given about the frame `pose`, about the piece's own
/// and `flip` further.
fn mitred(cut: design::Miter, pose: Frame, own: Frame, station: f64, flip: f64) -> Cut {
    let roll = own.clock_of(pose.outward(cut.roll)) + flip;
    Cut { station, roll, shape: Shape::Plane { tilt: cut.angle } }
}

fn cut_into_bend(run: &design::Run, part: &str, missing: Option<f64>) -> Fault {
    let missing = missing.map_or(String::new(), |m| format!(": {m:.2} mm of straight are missing"));
    let message = format!("its cut reaches into a bend, where no template fits{missing}");
    let help = "lengthen the straight at that end, or cut it at a smaller angle";
    fault(run, part, "cut-into-bend", message, help)
}

/// The piece with its ends formed.
fn with_forms(run: &design::Run, piece: Piece, forms: [Option<Form>; 2]) -> Result<Piece, Fault> {
    [End::Start, End::End].into_iter().zip(forms).try_fold(piece, |piece, (end, form)| {
        let Some(form) = form else { return Ok(piece) };
        piece.formed(end, form).ok_or_else(|| {
            let message =
                format!("the straight of its piece there is shorter than the {:.2} mm formed", form.length());
            fault(
                run,
                ".steps",
                "form-too-long",
                message,
                "make taper and land shorter, or the straight longer",
            )
        })
    })
}

/// The way of making once the cuts are known: a cut that is not square reaches beyond the run's end, so
/// the raw tube and its marks, or the leg kept of a bought bend, grow with it.
pub(crate) fn settled(
    design: &Design,
    run: &design::Run,
    make: Make,
    piece: &Piece,
    findings: &mut Vec<Finding>,
) -> Make {
    let Body::Tube { centreline, section } = &piece.body else { return make };
    match make {
        Make::Drawn(_) => drawn::drawing(design, centreline, *section).map_or(make, Make::Drawn),
        Make::Bought(mut cutting) => {
            let (first, last) = centreline.end_straights();
            for (end, straight) in [first, last].into_iter().enumerate() {
                let grown = straight - cutting.legs[end];
                cutting.legs[end] = straight;
                cutting.waste -= grown;
                let leg = cutting.stock.map(|s| design.shop.bends[s].legs);
                let longest = leg.map_or(f64::INFINITY, |l| l[0].max(l[1]));
                if grown > 1e-9 && straight > longest + 1e-9 {
                    findings.push(Finding {
                        level: Level::Failure,
                        code: "leg-too-short",
                        place: run.name.clone(),
                        message: format!(
                            "its end is cut across the leg of a bought bend and needs {} of leg; the stock bend \
                             has {}",
                            design.units.written(straight),
                            design.units.written(longest)
                        ),
                        value: Some(straight),
                        limit: Some(longest),
                    });
                }
            }
            Make::Bought(cutting)
        }
        Make::Straight | Make::Cone | Make::Segment | Make::Whole(_) => make,
    }
}

/// Gives each piece of a run half the weld shrinkage at each end that is butt welded, and what forming takes.
pub(crate) fn shrink(design: &Design, run: &design::Run, own: &[usize], links: &[Link], pieces: &mut [Part]) {
    let half = 0.5 * design.shop.weld_shrinkage;
    for (i, &piece) in own.iter().enumerate() {
        let butted = |link: &Link| matches!(link.kind, JointKind::Butt | JointKind::Step | JointKind::Mitre);
        let welded_start = (i == 0 && matches!(run.from, From::Merge(_)))
            || links.iter().any(|l| matches!(l.b, Onto::Piece(b) if b == piece) && butted(l));
        let welded_end = (i + 1 == own.len() && matches!(run.to, To::Host(_)))
            || links.iter().any(|l| l.a == piece && butted(l));
        let shrinkage = [welded_start, welded_end].map(|welded| if welded { half } else { 0.0 });
        let part = &mut pieces[piece];
        if matches!(part.make, Make::Whole(_)) {
            continue;
        }
        let forming = part.forming();
        part.shrinkage = [shrinkage[0] + forming[0], shrinkage[1] + forming[1]];
        if let Make::Drawn(drawing) = &mut part.make {
            drawing.lengthen(part.shrinkage);
        }
    }
}
