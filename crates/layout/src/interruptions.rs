//! Where a run's tube ends and goes on: at steps, fittings, and flanges at its ends.

use geom::angle::to_degrees;
use geom::math::atan2;
use spec::Finding;
use spec::design::{Run, StepWay};
use spec::{Design, Level};
use tube::{Centreline, End, Form, Piece, Section};

use crate::fittings;
use crate::layout::{Fault, JointKind, Make};
use crate::plates;

/// A place on a run where its tube ends and goes on. Stations are on the run, mm.
pub(crate) struct Interruption {
    /// Where the tube upstream ends; `None` at the run's start, where there is none.
    pub from: Option<f64>,
    /// Where the tube downstream begins, less than `from` where the two overlap; `None` at the run's end.
    pub to: Option<f64>,
    /// The section from there on, where it changes.
    pub section: Option<Section>,
    /// How the end of the tube upstream and the start of the tube downstream are formed.
    pub forms: [Option<Form>; 2],
    /// The stations that it takes, together with its parts; at the run's ends they may reach beyond.
    pub span: (f64, f64),
    /// Index of the run's fitting that it is.
    pub fitting: Option<usize>,
    /// The parts that stand between the two tubes, in the direction of travel.
    pub extras: Vec<Extra>,
    /// The rings of tubes and parts, in the direction of travel.
    pub rings: Vec<(Node, Node, JointKind)>,
}

/// A part that is no piece of the run's own tube.
pub(crate) struct Extra {
    /// Its geometry.
    pub piece: Piece,
    /// How it is made or that it is bought.
    pub make: Make,
}

/// What a ring of an interruption joins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Node {
    /// The tube upstream.
    Up,
    /// One of the interruption's parts.
    Extra(usize),
    /// The tube downstream; at the run's end the leg that it ends on.
    Down,
}

/// A ring between two parts of a layout.
pub(crate) struct Link {
    /// Index of the piece upstream.
    pub a: usize,
    /// What is downstream.
    pub b: Onto,
    /// What kind of joint it is.
    pub kind: JointKind,
}

/// What a ring's downstream side is.
pub(crate) enum Onto {
    /// Index of a piece.
    Piece(usize),
    /// The leg on which a run ends, which is laid after the runs.
    Leg {
        /// Index of the run.
        run: usize,
    },
}

/// A stretch of a run's own tube between two interruptions.
#[derive(Clone, Copy)]
pub(crate) struct Tube {
    /// Station at which it begins, mm.
    pub from: f64,
    /// Station at which it ends, mm.
    pub to: f64,
    /// Its section.
    pub section: Section,
    /// Whether it has the run's own start and end, with their cuts.
    pub own_ends: [bool; 2],
    /// How its ends are formed.
    pub forms: [Option<Form>; 2],
}

/// Two diameters that differ by less are the same, mm.
pub(crate) const SAME: f64 = 1e-6;

/// What overlaps by less only touches, mm: sentences with two decimals would call it 0.00.
pub(crate) const TOUCHING: f64 = 0.005;

/// Above this much clearance on the diameter a tube in a tube is hard to hold in line and to weld, mm
/// (common practice, no source).
const LOOSE: f64 = 1.0;

/// The interruptions of a run, in the direction of travel.
pub(crate) fn of(
    design: &Design,
    run: &Run,
    line: &Centreline,
    findings: &mut Vec<Finding>,
    faults: &mut Vec<Fault>,
) -> Vec<Interruption> {
    let mut found = Vec::new();
    found.extend(flange(design, run, line, End::Start, faults));
    for i in 1..run.sections.len() {
        match step(design, run, line, i, findings) {
            Ok(step) => found.push(step),
            Err(fault) => faults.extend(fault),
        }
    }
    for i in 0..run.fittings.len() {
        match fittings::interruption(design, run, line, i) {
            Ok(fitting) => found.push(fitting),
            Err(fault) => faults.extend(fault),
        }
    }
    found.extend(flange(design, run, line, End::End, faults));
    found.sort_by(|a, b| a.span.0.total_cmp(&b.span.0));
    faults.extend(found.windows(2).filter_map(|pair| crowded(run, &pair[0], &pair[1])));
    found
}

/// What is wrong with two interruptions that leave no tube between them.
fn crowded(run: &Run, a: &Interruption, b: &Interruption) -> Option<Fault> {
    let missing = a.span.1 - b.span.0;
    (missing > -SAME).then(|| Fault {
        key: match b.fitting.or(a.fitting) {
            Some(index) => format!("run.{}.fittings[{index}]", run.name),
            None => format!("run.{}.steps", run.name),
        },
        code: "fittings-overlap",
        message: format!(
            "run `{}`: what stands from {:.2} to {:.2} mm leaves no tube before what stands from {:.2} to {:.2}",
            run.name, a.span.0, a.span.1, b.span.0, b.span.1
        ),
        help: if missing < TOUCHING {
            "they touch: move one of them, so that tube is left between the two".to_owned()
        } else {
            format!("move one of them by more than {missing:.2} mm")
        },
    })
}

/// The interruption at a run's end whose tube stands back from the face of a flange with a plate.
fn flange(
    design: &Design,
    run: &Run,
    line: &Centreline,
    end: End,
    faults: &mut Vec<Fault>,
) -> Option<Interruption> {
    let (index, cut, part) = match end {
        End::Start => (plates::at_start(design, run)?, run.start_cut, "start_cut"),
        End::End => (plates::at_end(design, run)?, run.end_cut, "end_cut"),
    };
    let flange = &design.flanges[index];
    let back = plates::tube_behind(design, run, index, end)?;
    let key = format!("run.{}.{part}", run.name);
    if cut.is_some() {
        let message = format!("run `{}`: its {part} stands in the plate of `{}`", run.name, flange.name);
        let help = "leave the cut out: a tube in or on a plate ends square".to_owned();
        faults.push(Fault { key, code: "cut-in-flange", message, help });
        return None;
    }
    if back == 0.0 {
        return None;
    }
    let length = line.length();
    let from = if end == End::Start { 0.0 } else { length - back };
    let crosses = |s: &tube::Span| s.is_arc() && from + back > s.from && from < s.to;
    if back >= length || line.spans().into_iter().any(|span| crosses(&span)) {
        let message = format!(
            "run `{}`: its tube ends {back:.2} mm behind the face of `{}`, in a bend",
            run.name, flange.name
        );
        let help = "begin and end the path with a straight at least as long as that".to_owned();
        faults.push(Fault { key: format!("run.{}.path", run.name), code: "flange-in-bend", message, help });
        return None;
    }
    let (from, to, span) = match end {
        End::Start => (None, Some(back), (0.0, back)),
        End::End => (Some(length - back), None, (length - back, length)),
    };
    Some(Interruption {
        from,
        to,
        section: None,
        forms: [None; 2],
        span,
        fitting: None,
        extras: Vec::new(),
        rings: Vec::new(),
    })
}

/// The stretches of tube before, between and behind a run's interruptions: one more than these.
pub(crate) fn tubes(run: &Run, interruptions: &[Interruption], length: f64) -> Vec<Option<Tube>> {
    let mut tubes = Vec::with_capacity(interruptions.len() + 1);
    let mut section = run.sections[0].section;
    let (mut begin, mut own_start, mut form) = (Some(0.0), true, None);
    for interruption in interruptions {
        let [ahead, behind] = interruption.forms;
        let ends = begin.zip(interruption.from);
        tubes.push(ends.map(|(from, to)| Tube {
            from,
            to,
            section,
            own_ends: [own_start, false],
            forms: [form, ahead],
        }));
        section = interruption.section.unwrap_or(section);
        (begin, own_start, form) = (interruption.to, false, behind);
    }
    tubes.push(begin.map(|from| Tube {
        from,
        to: length,
        section,
        own_ends: [own_start, true],
        forms: [form, None],
    }));
    tubes
}

/// The interruption of step `i` of a run's sections.
fn step(
    design: &Design,
    run: &Run,
    line: &Centreline,
    i: usize,
    findings: &mut Vec<Finding>,
) -> Result<Interruption, Vec<Fault>> {
    let (before, after) = (run.sections[i - 1].section, &run.sections[i]);
    let at = after.from;
    let (mut span, mut forms) = ((at, at), [None; 2]);
    let (from, to, kind) = match after.way {
        StepWay::Butt => (at, at, JointKind::Butt),
        StepWay::Inserted(insertion) => {
            fits(design, run, i, findings).map_err(|fault| vec![fault])?;
            let upstream_smaller = before.od < after.section.od;
            let (from, to) = if upstream_smaller { (at + insertion, at) } else { (at, at - insertion) };
            span = (from.min(to), from.max(to));
            (from, to, JointKind::Socket)
        }
        StepWay::Formed { taper, land, upstream } => {
            let (own, other) = if upstream { (before, after.section) } else { (after.section, before) };
            let form = Form::of(&own, other.od, taper, land);
            forming(design, run, (at, own, form), findings);
            span = if upstream { (at - form.length(), at) } else { (at, at + form.length()) };
            forms[usize::from(!upstream)] = Some(form);
            (at, at, JointKind::Butt)
        }
    };
    let key = format!("run.{}.steps[{}]", run.name, i - 1);
    on_a_straight(run, line, &key, ("step", "step"), span, [false; 2])?;
    Ok(Interruption {
        from: Some(from),
        to: Some(to),
        section: Some(after.section),
        forms,
        span,
        fitting: None,
        extras: Vec::new(),
        rings: vec![(Node::Up, Node::Down, kind)],
    })
}

/// What a formed end asks of the metal. The limits are common practice for annealed tube, from memory and
/// without a source.
fn forming(design: &Design, run: &Run, (at, own, form): (f64, Section, Form), findings: &mut Vec<Finding>) {
    let stretch = form.stretch(&own);
    let lean = to_degrees(atan2((0.5 * (form.od - own.od)).abs(), form.taper));
    let what = format!(
        "the end formed at {}, from {} to {}",
        design.units.written(at),
        design.units.written(own.od),
        design.units.written(form.od)
    );
    let mut warn = |code, message: String, value, limit| {
        findings.push(Finding {
            level: Level::Warning,
            code,
            place: run.name.clone(),
            message,
            value: Some(value),
            limit: Some(limit),
        });
    };
    if stretch > MOST_EXPANDED {
        let message = format!(
            "{what}, stretches the tube by {:.0} % around and leaves {:.0} % of its wall: it may split; anneal \
             between steps, or use a step between",
            100.0 * stretch,
            100.0 * form.wall / own.wall
        );
        warn("formed-too-wide", message, stretch, MOST_EXPANDED);
    }
    if -stretch > MOST_SWAGED {
        let message = format!(
            "{what}, gathers the tube by {:.0} % around: its wall may buckle; swage in steps, or use a step between",
            -100.0 * stretch
        );
        warn("formed-too-narrow", message, -stretch, MOST_SWAGED);
    }
    if lean > STEEPEST {
        let message = format!(
            "{what}, leans {lean:.0} degrees to its axis: make `taper` longer, flow parts from a wall that leans more \
             than {STEEPEST:.0}"
        );
        warn("formed-too-steep", message, lean, STEEPEST);
    }
}

/// Growth and shrinkage of the mean diameter, as a part of it, that cold forming in one go takes; and the
/// steepest taper, degrees.
const MOST_EXPANDED: f64 = 0.20;
const MOST_SWAGED: f64 = 0.15;
const STEEPEST: f64 = 15.0;

/// Checks that the smaller tube of an inserted step goes into the larger, and not too loosely.
fn fits(design: &Design, run: &Run, i: usize, findings: &mut Vec<Finding>) -> Result<(), Fault> {
    let (before, after) = (run.sections[i - 1].section, run.sections[i].section);
    let (inner, outer) = if before.od < after.od { (before, after) } else { (after, before) };
    let gap = outer.bore() - inner.od;
    let written = |mm: f64| design.units.written(mm);
    if gap < -SAME {
        return Err(Fault {
            key: format!("run.{}.steps[{}]", run.name, i - 1),
            code: "step-does-not-fit",
            message: format!(
                "run `{}`: a tube of {} does not go into a bore of {}: {} too large",
                run.name,
                written(inner.od),
                written(outer.bore()),
                written(-gap)
            ),
            help: "choose a tube with a larger bore, or join them face to face: way = \"butt\"".into(),
        });
    }
    if gap > LOOSE {
        findings.push(Finding {
            level: Level::Warning,
            code: "loose-step",
            place: run.name.clone(),
            message: format!(
                "the step at {} leaves {} on the diameter between the two tubes: centre the inner one, and mind \
                 the weld's gap",
                written(run.sections[i].from),
                written(gap)
            ),
            value: Some(gap),
            limit: Some(LOOSE),
        });
    }
    Ok(())
}

/// Checks that a stretch of a run lies within it and on a straight; `what` is what stands there, as the
/// codes and as the message call it, and `at_end` whether it may end where the run does: start, end.
pub(crate) fn on_a_straight(
    run: &Run,
    line: &Centreline,
    key: &str,
    (code, what): (&'static str, &str),
    (from, to): (f64, f64),
    at_end: [bool; 2],
) -> Result<(), Vec<Fault>> {
    let codes = match code {
        "step" => ["step-beyond-end", "step-in-bend"],
        _ => ["fitting-beyond-end", "fitting-in-bend"],
    };
    let place = if from == to { format!("at {from:.2} mm") } else { format!("from {from:.2} to {to:.2} mm") };
    let fault = |code: &'static str, problem: String, help: &str| Fault {
        key: key.to_owned(),
        code,
        message: format!("run `{}`: the {what} {place} {problem}", run.name),
        help: help.to_owned(),
    };
    let length = line.length();
    // Tube has to be left ahead and behind, but where it is meant to stand at the run's own end.
    let ahead = if at_end[0] { from >= 0.0 } else { from > 0.0 };
    let behind = if at_end[1] { to <= length + SAME } else { to < length };
    if !ahead || !behind {
        let problem = if !ahead {
            "leaves no tube at its start".to_owned()
        } else {
            format!("lies beyond its end at {length:.2}")
        };
        return Err(vec![fault(codes[0], problem, &format!("move the {what} along the run"))]);
    }
    let crosses = |s: &tube::Span| s.is_arc() && !s.is_mitre() && to > s.from && from < s.to;
    if let Some(bend) = line.spans().into_iter().find(crosses) {
        let problem = format!("lies in the bend from {:.2} to {:.2}", bend.from, bend.to);
        return Err(vec![fault(codes[1], problem, &format!("move the {what} onto a straight"))]);
    }
    Ok(())
}
