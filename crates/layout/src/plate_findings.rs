//! What plates show: thin webs, washers without a seat, openings that step, growth that is held.

use std::f64::consts::FRAC_PI_4;

use geom::angle::to_degrees;
use plate::{DVec2, Loop};
use spec::design::{Parting, TransitionMake};
use spec::{Design, Finding, Level};
use tube::Section;

use crate::flange_plate::{FlangePlate, Opening};
use crate::layout::Layout;
use crate::transition::{STRETCH, Transition};

/// A transition whose wall leans more than this, rad, is none (45 degrees: common practice, no source).
const STEEPEST: f64 = FRAC_PI_4;

/// How far an opening's edge may stand off the tube's bore on average, mm (common practice, no source).
const STEP: f64 = 1.0;

/// What a plate in one piece may grow more than its head before that is told, mm (common practice, no source).
const HELD: f64 = 1.0;

/// Adds what the plates of a layout show.
pub(crate) fn findings(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for plate in &layout.plates {
        webs(design, plate, found);
        washers(design, plate, found);
        for opening in &plate.openings {
            step(design, plate, opening, found);
        }
        growth(design, plate, found);
    }
    for part in &layout.transitions {
        transition(design, layout, part, found);
    }
}

/// Transitions that lean or stretch too much to be formed.
fn transition(design: &Design, layout: &Layout, part: &Transition, found: &mut Vec<Finding>) {
    let place = &layout.runs[part.run].name;
    let (least, length) = (part.least_length(), part.length);
    if part.lean() > STEEPEST {
        // At 45 degrees it is as long as its wall moves sideways.
        let message = format!(
            "the wall of its transition {} leans {:.0} degrees; over 45 it is a step, and cannot be formed or welded as \
             drawn (common practice, no source): make it {} long at least, and {} to form without folds",
            part.mark,
            to_degrees(part.lean()),
            design.units.written(part.offset()),
            design.units.written(least)
        );
        found.push(finding(Level::Failure, "transition-short", place, message, (length, part.offset())));
    } else if length < least {
        let message = format!(
            "the wall of its transition {} leans {:.0} degrees; 15 is what forms without folds (common practice, no \
             source): make it {} long",
            part.mark,
            to_degrees(part.lean()),
            design.units.written(least)
        );
        found.push(finding(Level::Warning, "transition-short", place, message, (length, least)));
    }
    let stretch = part.stretch();
    if part.make == TransitionMake::Tube && stretch.abs() > STRETCH {
        let message = format!(
            "the transition {} changes the tube's perimeter by {:+.1} %; 15 % is what one forming takes (common \
             practice, no source): use another tube, or build it from sheet: make = \"sheet\"",
            part.mark,
            100.0 * stretch
        );
        found.push(finding(
            Level::Warning,
            "transition-stretch",
            place,
            message,
            (100.0 * stretch, 100.0 * STRETCH),
        ));
    }
}

/// The thinnest web of each part, where it is thinner than the least.
fn webs(design: &Design, plate: &FlangePlate, found: &mut Vec<Finding>) {
    let Some(wanted) = plate.wanted(design) else { return };
    for part in &plate.parts {
        let loops: Vec<&Loop> = part.outline.loops().collect();
        let pairs = (0..loops.len()).flat_map(|b| (0..b).map(move |a| (a, b)));
        let gaps = pairs.map(|(a, b)| loops[a].gap(loops[b]));
        let Some(gap) = gaps.min_by(|a, b| a.distance.total_cmp(&b.distance)) else { continue };
        if gap.distance < wanted.least_web - 1e-9 {
            let middle = 0.5 * (gap.a + gap.b);
            let message = format!(
                "leaves {} between two edges at x {:.1}, y {:.1} mm; {} is the least (common practice, no source): move \
                 the hole, or draw the outside wider",
                design.units.written(gap.distance),
                middle.x,
                middle.y,
                design.units.written(wanted.least_web)
            );
            found.push(finding(
                Level::Warning,
                "thin-web",
                &part.mark,
                message,
                (gap.distance, wanted.least_web),
            ));
        }
    }
}

/// Bolt holes whose washer or nut does not clear a tube's outside.
fn washers(design: &Design, plate: &FlangePlate, found: &mut Vec<Finding>) {
    for (k, hole) in plate.holes.iter().enumerate() {
        let radius = 0.5 * hole.washer;
        let tubes = plate.openings.iter().filter_map(|opening| Some((opening, opening.tube?)));
        let rooms = tubes.map(|(opening, tube)| (outside(opening, tube, hole.at) - radius, opening));
        let least = rooms.min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((room, opening)) = least.filter(|(room, _)| *room < 0.0) else { continue };
        let message = format!(
            "the washer of hole {} ({} across) stands {} into the tube of `{}`: move the hole, or use smaller hardware \
             and say so: washer = ...",
            k + 1,
            design.units.written(hole.washer),
            design.units.written(-room),
            opening.name
        );
        found.push(finding(Level::Failure, "washer-on-tube", &plate.name, message, (room, 0.0)));
    }
}

/// How far a point lies outside what is welded to an opening, mm; below 0 inside it.
fn outside(opening: &Opening, tube: Section, at: DVec2) -> f64 {
    match &opening.port {
        Some(shape) if opening.transition => {
            let off = shape.nearest(at).distance;
            (if shape.contains(at) { -off } else { off }) - tube.wall
        }
        _ => at.distance(opening.centre) - tube.outer(),
    }
}

/// An opening or a port whose edge does not meet the tube's bore.
fn step(design: &Design, plate: &FlangePlate, opening: &Opening, found: &mut Vec<Finding>) {
    let (Some(tube), Some(edge), false) = (opening.tube, &opening.port, opening.transition) else { return };
    let bore = Loop::circle(opening.centre, 0.5 * tube.bore());
    let step = (edge.area().abs() - bore.area()) / bore.length();
    if step.abs() <= STEP {
        return;
    }
    let (which, percent) = (
        if step > 0.0 { "larger" } else { "smaller" },
        100.0 * (edge.area().abs() / bore.area() - 1.0).abs(),
    );
    let message = format!(
        "the opening `{}` is {percent:.1} % {which} in area than the tube's bore, a step of {} on average: use another \
         tube, or form its end",
        opening.name,
        design.units.written(step.abs())
    );
    found.push(finding(Level::Warning, "opening-step", &plate.name, message, (step, STEP)));
}

/// A plate in one piece that grows more than its head, and whose holes do not let it.
fn growth(design: &Design, plate: &FlangePlate, found: &mut Vec<Finding>) {
    let (Some(growth), Some(wanted)) = (plate.growth, plate.wanted(design)) else { return };
    let free = wanted.parting != Parting::One || plate.holes.iter().any(|hole| hole.travel > 0.0);
    if growth.abs() <= HELD || free || plate.holes.is_empty() {
        return;
    }
    let message = format!(
        "grows {} more than the head between its outermost ports (plate {:.0} C, head {:.0} C): slot its end holes \
         (slotted = \"growth\"), or write parting = \"split\" or \"relieved\"",
        design.units.written(growth),
        wanted.growth.plate,
        wanted.growth.head
    );
    found.push(finding(Level::Warning, "growth-held", &plate.name, message, (growth, HELD)));
}

fn finding(
    level: Level,
    code: &'static str,
    place: &str,
    message: String,
    (value, limit): (f64, f64),
) -> Finding {
    Finding { level, code, place: place.to_owned(), message, value: Some(value), limit: Some(limit) }
}
