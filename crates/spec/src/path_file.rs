//! A run's `path`: bend rows or vertices.

use geom::angle::wrap_signed;
use tube::Row;

use crate::design::{Path, PathVertex, Place, SectionFrom};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// What a path has to fit to.
pub(crate) struct Setting<'a> {
    /// Whether the run's end demands a pose: a leg or a flange does.
    pub has_pose: bool,
    /// The run's sections.
    pub sections: &'a [SectionFrom],
}

/// Reads the `path` of run `run`.
pub(crate) fn path(reader: &mut Reader, run: &Fields, setting: &Setting) -> Read<Path> {
    let entries: Vec<&Fields> = match run.get::<&[Read<Fields>]>("path")? {
        Some(list) => list.iter().map(|item| item.as_ref().map_err(|r| *r)).collect::<Read<_>>()?,
        None => Vec::new(),
    };
    let Some(first) = entries.first() else { return no_entries(reader, run, setting) };
    let is_row = |entry: &Fields| matches!(entry.form(), "straight" | "bend");
    if let Some(other) = entries.iter().find(|entry| is_row(entry) != is_row(first)) {
        let fault = Fault::new("mixed-path", "this path mixes bend rows and vertices")
            .label(format!("unlike the first, which is {}", first.title))
            .help("write either straight and bend, or out, at and back");
        return Err(reader.fault(other.span.clone(), fault));
    }
    if is_row(first) {
        rows(reader, run, &entries, setting)
    } else {
        vertices(reader, run, &entries, setting)
    }
}

fn no_entries(reader: &mut Reader, run: &Fields, setting: &Setting) -> Read<Path> {
    if setting.has_pose {
        return Ok(Path::Vertices(Vec::new()));
    }
    let fault = Fault::new("missing-path", format!("{} has no path, and its end demands no pose", run.title))
        .label("goes nowhere")
        .help("write a path; only a run to a leg or a flange may do without, as a straight line");
    Err(reader.fault(run.span_of("path"), fault))
}

fn rows(reader: &mut Reader, run: &Fields, entries: &[&Fields], setting: &Setting) -> Read<Path> {
    let (mut rows, mut feed, mut station) = (Vec::<Row>::new(), 0.0, 0.0);
    let (mut faults, mut is_first) = (Vec::new(), true);
    for entry in entries {
        if let Some(straight) = entry.get::<f64>("straight")? {
            feed += straight;
            continue;
        }
        match bend(reader, run, entry, feed, std::mem::replace(&mut is_first, false)) {
            Ok(row) => {
                station += feed;
                faults.extend(
                    check_radius(reader, entry, row.radius, section_at(setting.sections, station)).err(),
                );
                station += row.bend * row.radius;
                rows.push(row);
                feed = 0.0;
            }
            Err(reported) => faults.push(reported),
        }
    }
    if let Some(reported) = faults.first() {
        return Err(*reported);
    }
    if rows.is_empty() && feed == 0.0 {
        let fault = Fault::new("no-length", format!("{} has no length", run.title)).label("adds up to 0");
        return Err(reader.fault(run.span_of("path"), fault.help("write a straight above 0, or a bend")));
    }
    if !rows.is_empty() && run.get::<geom::DVec3>("inside")?.is_none() {
        let fault = Fault::new("missing-inside", format!("{} has bend rows and no `inside`", run.title))
            .label("in which plane is its first bend?")
            .help("write inside = [x, y, z]: the direction of the inside of the first bend");
        return Err(reader.fault(run.span.clone(), fault));
    }
    Ok(Path::Rows { rows, tail: feed })
}

/// One bend row after a straight of `feed`.
fn bend(reader: &mut Reader, run: &Fields, entry: &Fields, feed: f64, is_first: bool) -> Read<Row> {
    let radius = radius(reader, run, entry);
    let rotate = wrap_signed(entry.get_or("rotate", 0.0)?);
    if is_first && rotate != 0.0 {
        let fault = Fault::new("first-rotate", "the first bend cannot be rotated: there is none before it")
            .label("not 0")
            .help("leave `rotate` out; the run's `inside` gives the plane of its first bend");
        return Err(reader.fault(entry.span_of("rotate"), fault));
    }
    Ok(Row { feed, rotate, bend: reader.must(entry, "bend")?, radius: radius? })
}

fn vertices(reader: &mut Reader, run: &Fields, entries: &[&Fields], setting: &Setting) -> Read<Path> {
    if run.get::<geom::DVec3>("inside")?.is_some() {
        let fault = Fault::new("unused-inside", "`inside` belongs to a path of bend rows")
            .label("not needed")
            .help("leave it out: vertices give the planes of the bends by themselves");
        return Err(reader.fault(run.span_of("inside"), fault));
    }
    let thinnest = setting.sections.iter().map(|s| s.section.od).fold(f64::INFINITY, f64::min);
    let mut vertices = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let is_last = index + 1 == entries.len();
        vertices.push(place(reader, entry, index == 0, is_last, setting.has_pose).and_then(|place| {
            if is_last && !setting.has_pose {
                return Ok(PathVertex { place, radius: 0.0 });
            }
            let radius = radius(reader, run, entry)?;
            check_radius(reader, entry, radius, thinnest)?;
            Ok(PathVertex { place, radius })
        }));
    }
    vertices.into_iter().collect::<Read<_>>().map(Path::Vertices)
}

fn place(reader: &mut Reader, entry: &Fields, is_first: bool, is_last: bool, has_pose: bool) -> Read<Place> {
    if let Some(point) = entry.get("at")? {
        return Ok(Place::At(point));
    }
    if let Some(out) = entry.get("out")? {
        if is_first {
            return Ok(Place::Out(out));
        }
        let fault = Fault::new("path-order", "only the first vertex can be `out`").label("not the first");
        return Err(reader.fault(entry.span.clone(), fault.help("write `at` for the vertices between")));
    }
    let back = reader.must(entry, "back")?;
    if !has_pose {
        let fault = Fault::new("back-without-pose", "this run's end demands no pose to go back from")
            .label("back from where?")
            .help("end the path with an `at`: the point where the run ends");
        return Err(reader.fault(entry.span.clone(), fault));
    }
    if is_last {
        return Ok(Place::Back(back));
    }
    let fault = Fault::new("path-order", "only the last vertex can be `back`").label("not the last");
    Err(reader.fault(entry.span.clone(), fault.help("write `at` for the vertices between")))
}

/// The centreline radius of an entry, its own or the run's.
fn radius(reader: &mut Reader, run: &Fields, entry: &Fields) -> Read<f64> {
    if let Some(radius) = entry.get("radius")? {
        return Ok(radius);
    }
    if let Some(radius) = run.get("radius")? {
        return Ok(radius);
    }
    let fault =
        Fault::new("missing-radius", format!("{} has no radius, and neither has its run", entry.title))
            .label("which radius?")
            .help(format!("write `radius` here, or once for the run in {}", run.title));
    Err(reader.fault(entry.span.clone(), fault))
}

/// A centreline radius of no more than half the diameter would fold the inside of the bend.
fn check_radius(reader: &mut Reader, entry: &Fields, radius: f64, od: f64) -> Read<()> {
    if radius > 0.5 * od {
        return Ok(());
    }
    let (tube, bend) = (reader.say(od), reader.say(radius));
    let message = format!("a tube of {tube} cannot be bent to a centreline radius of {bend}");
    let fault = Fault::new("radius-folds", message)
        .label("the inside of the bend would fold")
        .help(format!("the radius has to be above {}", reader.say(0.5 * od)));
    Err(reader.fault(entry.span_of("radius"), fault))
}

/// The diameter of the section at a station.
fn section_at(sections: &[SectionFrom], station: f64) -> f64 {
    let here = sections.iter().rev().find(|section| section.from <= station);
    here.map_or(0.0, |section| section.section.od)
}
