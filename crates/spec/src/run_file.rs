//! The runs of a spec.

use geom::DVec3;
use tube::{Section, Segments};

use crate::branch_file::bung_places;
use crate::design::{
    BungAt, CLOSING_EQUATIONS, From, Group, LENGTH_EQUATIONS, Making, Merge, Miter, OpenValue, Path, Port,
    Run, SectionFrom, To,
};
use crate::diagnostic::Fault;
use crate::ends_file::Ends;
use crate::fitting_file::FittingNames;
use crate::names::Names;
use crate::path_file::{Drawn, Setting, path};
use crate::place_file::inside;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// Two diameters or walls that differ by less, mm, are the same.
const SAME: f64 = 1e-6;

/// What the runs of a spec have around them.
pub(crate) struct Around<'a> {
    pub ports: &'a [Read<Port>],
    pub merges: &'a [Read<Merge>],
    pub groups: &'a [Read<Group>],
    pub group_names: Names<'a>,
    /// The bungs that each group gives to its runs.
    pub group_bungs: &'a [Read<Vec<BungAt>>],
    pub bungs: Names<'a>,
    pub making: Read<&'a str>,
    pub fittings: FittingNames<'a>,
}

/// One `[run.NAME]`.
pub(crate) fn run(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    ends: &Ends,
    around: &Around,
) -> Read<Run> {
    let group = around.group_names.refer(reader, fields, "group");
    let making = making(reader, fields, around);
    let cuts = check_cuts(reader, fields, ends);
    let fittings = around.fittings.on_run(reader, fields);
    let (drawn, inside) = match &ends.sections {
        Ok(sections) => {
            let fit = check_leg(reader, fields, ends, around.merges);
            let inside = start_inside(reader, fields, ends, around);
            let drawn = self::centreline(reader, name, fields, ends, sections);
            (fit.and(drawn), inside)
        }
        Err(reported) => (Err(*reported), Ok(None)),
    };
    let bungs = bungs(reader, name, fields, &group, around);
    cuts?;
    let target = fields.get("target")?;
    let (group, Drawn { path, open }) = (group?, drawn?);
    let in_group = group.and_then(|g| around.groups[g].as_ref().ok());
    let has_length = target.is_some() || in_group.is_some_and(|g| g.target.is_some() || g.open.is_some());
    check_open(reader, name, &path, &open, ends.to?, has_length)?;
    Ok(Run {
        name: name.to_owned(),
        from: ends.from?,
        to: ends.to?,
        inside: inside?,
        path,
        open,
        sections: ends.sections.clone()?,
        fittings: fittings?,
        hot: fields.get("hot")?,
        making: making?,
        start_cut: miter(reader, fields, "start_cut")?,
        end_cut: miter(reader, fields, "end_cut")?,
        in_place: in_place(fields)?,
        bungs: bungs?,
        target,
        group,
        allowed_gap: allowed_gap(reader, fields)?,
    })
}

/// How the run is made; a segmented one says into how many pieces its bends go, in one way, and no other does.
fn making(reader: &mut Reader, fields: &Fields, around: &Around) -> Read<Making> {
    let word = match fields.get("making")? {
        Some(word) => word,
        None => around.making?,
    };
    let count = fields.get::<f64>("segments")?.map(|n| Segments::Count(n as u32));
    let largest = fields.get("largest_cut")?.map(Segments::LargestCut);
    match (word, count, largest) {
        ("segmented", Some(_), Some(_)) => {
            let fault =
                Fault::new("both-segments", "`segments` and `largest_cut` both say how a bend is divided")
                    .label("one too many")
                    .help("leave one of the two out");
            Err(reader.fault(fields.span_of("largest_cut"), fault))
        }
        ("segmented", None, None) => {
            let message = format!("{} is segmented, and nothing says into how many pieces", fields.title);
            let fault = Fault::new("missing-segments", message).label("how many pieces?").help(
                "write segments = 5 (pieces of each bend), or largest_cut = 11.25 (degrees from square)",
            );
            Err(reader.fault(fields.span.clone(), fault))
        }
        ("segmented", count, largest) => Ok(count.or(largest).map_or(Making::Drawn, Making::Segmented)),
        (_, None, None) if word == "assembled" => Ok(Making::Assembled),
        (_, None, None) => Ok(Making::Drawn),
        (_, count, _) => {
            let key = if count.is_some() { "segments" } else { "largest_cut" };
            let fault = Fault::new(
                "unused-segments",
                format!("`{key}` belongs to a segmented run; this one is {word}"),
            )
            .label("not needed")
            .help("leave it out, or write making = \"segmented\"");
            Err(reader.fault(fields.span_of(key), fault))
        }
    }
}

/// Whether the welds at its start and its end are made on the car.
fn in_place(fields: &Fields) -> Read<[bool; 2]> {
    let named = fields.get_or::<&[String]>("in_place", &[])?;
    Ok(["start", "end"].map(|end| named.iter().any(|name| name == end)))
}

/// The run's own bungs, then its group's.
fn bungs(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    group: &Read<Option<usize>>,
    around: &Around,
) -> Read<Vec<BungAt>> {
    let mut bungs = bung_places(reader, fields, &format!("run.{name}"), around.bungs)?;
    if let Some(group) = (*group)? {
        bungs.extend(around.group_bungs[group].clone()?);
    }
    Ok(bungs)
}

fn centreline(
    reader: &mut Reader,
    run: &str,
    fields: &Fields,
    ends: &Ends,
    sections: &[SectionFrom],
) -> Read<Drawn> {
    path(reader, fields, &Setting { run, has_pose: has_pose(ends.to?), sections })
}

/// Whether an end demands a pose.
fn has_pose(to: To) -> bool {
    matches!(to, To::Leg { .. } | To::Flange(_))
}

/// Checks that no more values are open than there are equations to solve them from.
fn check_open(
    reader: &mut Reader,
    run: &str,
    path: &Path,
    open: &[OpenValue],
    to: To,
    has_length: bool,
) -> Read<()> {
    let closes = has_pose(to) && matches!(path, Path::Rows { .. });
    let closing = if closes { CLOSING_EQUATIONS } else { 0 };
    let length = if has_length { LENGTH_EQUATIONS } else { 0 };
    let Some(surplus) = open.get(closing + length) else { return Ok(()) };
    let values = if open.len() == 1 { "1 value".to_owned() } else { format!("{} values", open.len()) };
    let equations = match (closes, has_length) {
        (true, true) => format!("closing gives {closing} equations and its length {length}"),
        (true, false) => format!("closing gives {closing} equations"),
        (false, true) => format!("its length gives {length} equation"),
        (false, false) => "nothing gives an equation for it".to_owned(),
    };
    let ends = match (has_pose(to), closes) {
        (true, false) => "; a path of vertices closes by itself",
        (false, _) => "; its end demands no pose",
        _ => "",
    };
    let help = match (has_length, open.len() - closing - length) {
        (false, 1) => "write this value, or give the run or its group a `target`".to_owned(),
        (_, 1) => "write this value".to_owned(),
        (_, surplus) => format!("write {surplus} of the values"),
    };
    let message = format!("run `{run}` leaves {values} open, and {equations}{ends}");
    let fault = Fault::new("too-many-open", message).label("one too many").help(help);
    Err(reader.fault(reader.span_of(&surplus.key), fault))
}

/// The run's `inside`, square to the direction in which it starts.
fn start_inside(reader: &mut Reader, fields: &Fields, ends: &Ends, around: &Around) -> Read<Option<DVec3>> {
    let along = match ends.from? {
        From::Port(port) => around.ports[port].as_ref().map(|port| port.along),
        From::Merge(merge) => around.merges[merge].as_ref().map(|merge| merge.along),
        // Its direction is known once its host is laid.
        From::Branch(_) => return fields.get("inside"),
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
    let taken = match ends.from {
        Ok(From::Merge(_)) => {
            Some(Fault::new("cut-at-merge", "a run that leaves a merge starts with the merge's own cut"))
        }
        Ok(From::Branch(_)) => {
            Some(Fault::new("cut-at-branch", "a run that begins at a branch is cut to fit its host"))
        }
        _ => None,
    };
    if let Some(fault) = taken.filter(|_| has("start_cut")) {
        let fault = fault.label("not free").help("leave `start_cut` out");
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
