//! A run's `path`: bend rows or vertices.

use geom::angle::wrap_signed;
use tube::Row;

use crate::design::{OpenValue, Path, PathVertex, Place, SectionFrom, Slot};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::value::{Fields, Figure, Read};

/// What a path has to fit to.
pub(crate) struct Setting<'a> {
    /// The run's name.
    pub run: &'a str,
    /// Whether the run's end demands a pose: a leg or a flange does.
    pub has_pose: bool,
    /// The run's sections.
    pub sections: &'a [SectionFrom],
}

/// A path with the values that it leaves open.
pub(crate) struct Drawn {
    pub path: Path,
    pub open: Vec<OpenValue>,
}

/// Reads the `path` of run `run`.
pub(crate) fn path(reader: &mut Reader, run: &Fields, setting: &Setting) -> Read<Drawn> {
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

fn no_entries(reader: &mut Reader, run: &Fields, setting: &Setting) -> Read<Drawn> {
    if setting.has_pose {
        return Ok(Drawn { path: Path::Vertices(Vec::new()), open: Vec::new() });
    }
    let fault = Fault::new("missing-path", format!("{} has no path, and its end demands no pose", run.title))
        .label("goes nowhere")
        .help("write a path; only a run to a leg or a flange may do without, as a straight line");
    Err(reader.fault(run.span_of("path"), fault))
}

/// Bend rows while they are read.
#[derive(Default)]
struct RowsRead {
    rows: Vec<Row>,
    open: Vec<OpenValue>,
    /// The straight since the last bend, mm, as far as it is given.
    feed: f64,
    /// Station of the last bend's end, mm.
    station: f64,
    /// Whether a bend was met, even one at fault.
    met_bend: bool,
}

fn rows(reader: &mut Reader, run: &Fields, entries: &[&Fields], setting: &Setting) -> Read<Drawn> {
    let (mut read, mut faults) = (RowsRead::default(), Vec::new());
    for (index, entry) in entries.iter().enumerate() {
        let key = format!("run.{}.path[{index}]", setting.run);
        let result = match entry.get::<Figure>("straight")? {
            Some(straight) => read.straight(reader, entry, key, straight),
            None => read.bend(reader, run, entry, key, setting),
        };
        faults.extend(result.err());
    }
    if let Some(reported) = faults.first() {
        return Err(*reported);
    }
    let RowsRead { rows, mut open, feed, .. } = read;
    if rows.is_empty() && feed == 0.0 && open.is_empty() {
        let fault = Fault::new("no-length", format!("{} has no length", run.title)).label("adds up to 0");
        return Err(reader.fault(run.span_of("path"), fault.help("write a straight above 0, or a bend")));
    }
    for value in &mut open {
        if let Slot::Straight { row, given } = &mut value.slot {
            *given = rows.get(*row).map_or(feed, |row| row.feed);
        }
    }
    open.extend(plane(reader, run, setting, !rows.is_empty())?);
    Ok(Drawn { path: Path::Rows { rows, tail: feed }, open })
}

/// The plane of the first bend, if it is left open.
fn plane(reader: &mut Reader, run: &Fields, setting: &Setting, bends: bool) -> Read<Option<OpenValue>> {
    let is_open = run.get::<Figure>("inside")?.is_some();
    if is_open && !bends {
        let fault = Fault::new("unused-inside", "`inside` is left open, and there is no bend")
            .label("nothing to solve")
            .help("leave it out");
        return Err(reader.fault(run.span_of("inside"), fault));
    }
    if bends && !is_open && run.get::<geom::DVec3>("inside")?.is_none() {
        let fault = Fault::new("missing-inside", format!("{} has bend rows and no `inside`", run.title))
            .label("in which plane is its first bend?")
            .help("write inside = [x, y, z]: the direction of the inside of the first bend");
        return Err(reader.fault(run.span.clone(), fault));
    }
    let key = format!("run.{}.inside", setting.run);
    Ok(is_open.then_some(OpenValue { key, slot: Slot::Plane, drawn: None }))
}

impl RowsRead {
    fn straight(&mut self, reader: &mut Reader, entry: &Fields, key: String, straight: Figure) -> Read<()> {
        let drawn = match straight {
            Figure::Given(length) => {
                self.feed += length;
                return Ok(());
            }
            Figure::Open(drawn) => drawn,
        };
        let row = self.rows.len();
        if self.open.iter().any(|o| matches!(o.slot, Slot::Straight { row: other, .. } if other == row)) {
            let fault = Fault::new("open-straights", "two straights that follow each other are both open")
                .label("only their sum can be solved")
                .help("leave one of them open, and write the other or leave it out");
            return Err(reader.fault(entry.span_of("straight"), fault));
        }
        let slot = Slot::Straight { row, given: 0.0 };
        self.open.push(OpenValue { key: format!("{key}.straight"), slot, drawn });
        Ok(())
    }

    /// One bend row after the straight read before it.
    fn bend(
        &mut self,
        reader: &mut Reader,
        run: &Fields,
        entry: &Fields,
        key: String,
        setting: &Setting,
    ) -> Read<()> {
        let radius = radius(reader, run, entry);
        let (row, is_first) = (self.rows.len(), !std::mem::replace(&mut self.met_bend, true));
        let rotate = entry.get_or("rotate", Figure::Given(0.0))?;
        if is_first && rotate != Figure::Given(0.0) {
            let fault = Fault::new("first-rotate", "the first bend cannot be rotated: there is none before it")
                .label("not 0")
                .help("leave `rotate` out; the run's `inside` gives the plane of its first bend, and inside = \"?\" leaves it open");
            return Err(reader.fault(entry.span_of("rotate"), fault));
        }
        let bend: Figure = reader.must(entry, "bend")?;
        for (name, figure, slot) in
            [("rotate", rotate, Slot::Rotate { row }), ("bend", bend, Slot::Bend { row })]
        {
            if let Figure::Open(drawn) = figure {
                self.open.push(OpenValue { key: format!("{key}.{name}"), slot, drawn });
            }
        }
        let feed = std::mem::take(&mut self.feed);
        let (radius, bend) = (radius?, bend.or(0.0));
        self.rows.push(Row { feed, rotate: wrap_signed(rotate.or(0.0)), bend, radius });
        self.station += feed;
        check_radius(reader, entry, radius, self.diameter(setting.sections))?;
        self.station += bend * radius;
        Ok(())
    }

    /// The diameter at the bend; the thinnest of the run where an open value keeps its station unknown.
    fn diameter(&self, sections: &[SectionFrom]) -> f64 {
        if self.open.is_empty() { section_at(sections, self.station) } else { thinnest(sections) }
    }
}

fn vertices(reader: &mut Reader, run: &Fields, entries: &[&Fields], setting: &Setting) -> Read<Drawn> {
    if run.get::<geom::DVec3>("inside")?.is_some() || run.get::<Figure>("inside")?.is_some() {
        let fault = Fault::new("unused-inside", "`inside` belongs to a path of bend rows")
            .label("not needed")
            .help("leave it out: vertices give the planes of the bends by themselves");
        return Err(reader.fault(run.span_of("inside"), fault));
    }
    let thinnest = thinnest(setting.sections);
    let (mut vertices, mut open) = (Vec::new(), Vec::new());
    for (index, entry) in entries.iter().enumerate() {
        let is_last = index + 1 == entries.len();
        open.extend(open_in(entry, &format!("run.{}.path[{index}]", setting.run), index)?);
        vertices.push(place(reader, entry, index == 0, is_last, setting.has_pose).and_then(|place| {
            if is_last && !setting.has_pose {
                return Ok(PathVertex { place, radius: 0.0 });
            }
            let radius = radius(reader, run, entry)?;
            check_radius(reader, entry, radius, thinnest)?;
            Ok(PathVertex { place, radius })
        }));
    }
    let path = vertices.into_iter().collect::<Read<_>>().map(Path::Vertices)?;
    Ok(Drawn { path, open })
}

/// The values that vertex `vertex` leaves open; `key` is its entry's.
fn open_in(entry: &Fields, key: &str, vertex: usize) -> Read<Vec<OpenValue>> {
    let mut open = Vec::new();
    for name in ["out", "back"] {
        if let Some(Figure::Open(drawn)) = entry.get(name)? {
            open.push(OpenValue { key: format!("{key}.{name}"), slot: Slot::Distance { vertex }, drawn });
        }
    }
    for (axis, figure) in entry.get::<[Figure; 3]>("at")?.into_iter().flatten().enumerate() {
        if let Figure::Open(drawn) = figure {
            let slot = Slot::Coordinate { vertex, axis };
            open.push(OpenValue { key: format!("{key}.at[{axis}]"), slot, drawn });
        }
    }
    Ok(open)
}

fn place(reader: &mut Reader, entry: &Fields, is_first: bool, is_last: bool, has_pose: bool) -> Read<Place> {
    if let Some(point) = entry.get::<[Figure; 3]>("at")? {
        return Ok(Place::At(geom::DVec3::from_array(point.map(|figure| figure.or(0.0)))));
    }
    if let Some(out) = entry.get::<Figure>("out")? {
        if is_first {
            return Ok(Place::Out(out.or(0.0)));
        }
        let fault = Fault::new("path-order", "only the first vertex can be `out`").label("not the first");
        return Err(reader.fault(entry.span.clone(), fault.help("write `at` for the vertices between")));
    }
    let back = reader.must::<Figure>(entry, "back")?.or(0.0);
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

/// The smallest diameter of a run.
fn thinnest(sections: &[SectionFrom]) -> f64 {
    sections.iter().map(|s| s.section.od).fold(f64::INFINITY, f64::min)
}

/// The diameter of the section at a station.
fn section_at(sections: &[SectionFrom], station: f64) -> f64 {
    let here = sections.iter().rev().find(|section| section.from <= station);
    here.map_or(0.0, |section| section.section.od)
}
