//! The runs of a spec.

use geom::DVec3;
use tube::Section;

use crate::design::{From, Making, Merge, Miter, Path, Port, Run, SectionFrom, To};
use crate::diagnostic::Fault;
use crate::ends_file::Ends;
use crate::names::Names;
use crate::path_file::{Setting, path};
use crate::place_file::inside;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// Two diameters or walls that differ by less, mm, are the same.
const SAME: f64 = 1e-6;

/// What the runs of a spec have around them.
pub(crate) struct Around<'a> {
    pub ports: &'a [Read<Port>],
    pub merges: &'a [Read<Merge>],
    pub groups: Names<'a>,
    pub making: Read<&'a str>,
}

/// One `[run.NAME]`.
pub(crate) fn run(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    ends: &Ends,
    around: &Around,
) -> Read<Run> {
    let group = around.groups.refer(reader, fields, "group");
    let cuts = check_cuts(reader, fields, ends);
    let (path, inside) = match &ends.sections {
        Ok(sections) => {
            let fit = check_leg(reader, fields, ends, around.merges);
            let inside = start_inside(reader, fields, ends, around);
            let path = self::centreline(reader, fields, ends, sections);
            (fit.and(path), inside)
        }
        Err(reported) => (Err(*reported), Ok(None)),
    };
    cuts?;
    Ok(Run {
        name: name.to_owned(),
        from: ends.from?,
        to: ends.to?,
        inside: inside?,
        path: path?,
        sections: ends.sections.clone()?,
        making: making(match fields.get("making")? {
            Some(word) => word,
            None => around.making?,
        }),
        start_cut: miter(reader, fields, "start_cut")?,
        end_cut: miter(reader, fields, "end_cut")?,
        target: fields.get("target")?,
        group: group?,
        allowed_gap: allowed_gap(reader, fields)?,
    })
}

fn making(word: &str) -> Making {
    if word == "assembled" { Making::Assembled } else { Making::Drawn }
}

fn centreline(reader: &mut Reader, fields: &Fields, ends: &Ends, sections: &[SectionFrom]) -> Read<Path> {
    let has_pose = matches!(ends.to?, To::Leg { .. } | To::Flange(_));
    path(reader, fields, &Setting { has_pose, sections })
}

/// The run's `inside`, square to the direction in which it starts.
fn start_inside(reader: &mut Reader, fields: &Fields, ends: &Ends, around: &Around) -> Read<Option<DVec3>> {
    let along = match ends.from? {
        From::Port(port) => around.ports[port].as_ref().map(|port| port.along),
        From::Merge(merge) => around.merges[merge].as_ref().map(|merge| merge.along),
    };
    inside(reader, fields, along.map_err(|reported| *reported)?)
}

fn miter(reader: &mut Reader, fields: &Fields, key: &str) -> Read<Option<Miter>> {
    let Some(cut) = fields.get::<&Fields>(key)? else { return Ok(None) };
    Ok(Some(Miter { angle: reader.must(cut, "angle")?, roll: reader.must(cut, "roll")? }))
}

fn allowed_gap(reader: &mut Reader, fields: &Fields) -> Read<Option<(f64, f64)>> {
    let Some(gap) = fields.get::<&Fields>("allow_gap")? else { return Ok(None) };
    Ok(Some((reader.must(gap, "length")?, reader.must(gap, "angle")?)))
}

/// Checks that cuts are only where the run's end is free to have one.
fn check_cuts(reader: &mut Reader, fields: &Fields, ends: &Ends) -> Read<()> {
    let has = |key| fields.get::<&Fields>(key).is_ok_and(|cut| cut.is_some());
    let mut result = Ok(());
    if has("start_cut") && matches!(ends.from, Ok(From::Merge(_))) {
        let fault = Fault::new("cut-at-merge", "a run that leaves a merge starts with the merge's own cut")
            .label("not free")
            .help("leave `start_cut` out");
        result = Err(reader.fault(fields.span_of("start_cut"), fault));
    }
    let fault = match ends.to {
        Ok(To::Leg { .. }) => {
            Fault::new("cut-at-leg", "a run that ends on a leg ends square, at its inlet face")
        }
        Ok(To::Host(_)) => Fault::new("cut-at-host", "a run that ends on a host is cut to fit its outside"),
        _ => return result,
    };
    if has("end_cut") {
        let fault = fault.label("not free").help("leave `end_cut` out");
        result = Err(reader.fault(fields.span_of("end_cut"), fault));
    }
    result
}

/// Checks that a run arrives at a leg with the leg's own section.
fn check_leg(reader: &mut Reader, fields: &Fields, ends: &Ends, merges: &[Read<Merge>]) -> Read<()> {
    let (Ok(To::Leg { merge, .. }), Ok(sections)) = (ends.to, &ends.sections) else { return Ok(()) };
    let (Ok(merge), Some(last)) = (&merges[merge], sections.last()) else { return Ok(()) };
    let (run, leg) = (last.section, merge.section);
    if (run.od - leg.od).abs() < SAME && (run.wall - leg.wall).abs() < SAME {
        return Ok(());
    }
    let size = |section: Section| format!("{} x {}", reader.say(section.od), reader.say(section.wall));
    let (title, name) = (&fields.title, &merge.name);
    let message = format!("{title} ends as {}, and the legs of \"{name}\" are {}", size(run), size(leg));
    let fault = Fault::new("leg-section", message)
        .label("unlike the leg")
        .help("add a step to the leg's tube: steps = [ { at = ..., tube = ... } ]");
    let key = if sections.len() > 1 { "steps" } else { "tube" };
    Err(reader.fault(fields.span_of(key), fault))
}
