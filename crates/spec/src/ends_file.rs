//! The ends and the sections of a spec's runs.

use std::ops::Range;

use tube::Section;

use crate::design::{From, SectionFrom, StepWay, To};
use crate::diagnostic::{Fault, known_names};
use crate::names::Names;
use crate::reader::Reader;
use crate::tube_file::Tubes;
use crate::value::{Fields, Read};

/// Everything that `from` and `to` may name.
pub(crate) struct Places<'a> {
    pub ports: Names<'a>,
    pub flanges: Names<'a>,
    pub hosts: Names<'a>,
    pub merges: Names<'a>,
    pub branches: Names<'a>,
}

impl Places<'_> {
    /// The index of the merge called `name`, which is written at `span`.
    pub fn merge(&self, reader: &mut Reader, span: Range<usize>, name: &str) -> Read<usize> {
        if let Some(index) = self.merges.position(name)? {
            return Ok(index);
        }
        let fault = Fault::new("unknown-merge", format!("there is no merge \"{name}\""))
            .label("unknown")
            .help(known_names(name, "[merge.NAME]", &self.merges.all()));
        Err(reader.fault(span, fault))
    }

    /// Leg `leg` (from 1, as written) of the merge called `merge`: both indices, from 0.
    pub fn leg(
        &self,
        reader: &mut Reader,
        span: Range<usize>,
        merge: &str,
        leg: &str,
    ) -> Read<(usize, usize)> {
        let index = self.merge(reader, span.clone(), merge)?;
        let legs = self.merges.list()[index].1.get::<f64>("legs")?.map_or(0, |legs| legs as usize);
        match leg.parse::<usize>() {
            Ok(leg) if (1..=legs).contains(&leg) => Ok((index, leg - 1)),
            _ => {
                let fault = Fault::new("leg-out-of-range", format!("merge \"{merge}\" has no leg \"{leg}\""))
                    .label("no such leg")
                    .help(format!("its legs are {merge}.1 to {merge}.{legs}"));
                Err(reader.fault(span, fault))
            }
        }
    }
}

/// Where a run begins and ends, and its sections.
pub(crate) struct Ends {
    pub from: Read<From>,
    pub to: Read<To>,
    pub sections: Read<Vec<SectionFrom>>,
}

impl Ends {
    pub fn read(reader: &mut Reader, fields: &Fields, places: &Places, tubes: &Tubes) -> Ends {
        let from = from(reader, fields, places);
        let to = to(reader, fields, places);
        Ends { from, to, sections: sections(reader, fields, tubes) }
    }

    /// The section at the start.
    pub fn first(&self) -> Read<Section> {
        self.sections.as_ref().map(|sections| sections[0].section).map_err(|reported| *reported)
    }
}

fn from(reader: &mut Reader, fields: &Fields, places: &Places) -> Read<From> {
    let name: &str = reader.must(fields, "from")?;
    if let Some(port) = places.ports.position(name)? {
        return Ok(From::Port(port));
    }
    if let Some(merge) = places.merges.position(name)? {
        return Ok(From::Merge(merge));
    }
    if let Some(branch) = places.branches.position(name)? {
        return Ok(From::Branch(branch));
    }
    let merge_of_leg = name.split_once('.').map(|(merge, _)| merge);
    let is_end = places.flanges.position(name)?.is_some() || places.hosts.position(name)?.is_some();
    let fault = match merge_of_leg {
        Some(merge) if places.merges.position(merge)?.is_some() => {
            Fault::new("wrong-end", format!("\"{name}\" is a leg: runs end on legs"))
                .label("a leg")
                .help(format!("to begin at the merge's outlet write from = \"{merge}\""))
        }
        _ if is_end => Fault::new("wrong-end", format!("a run cannot begin at \"{name}\": runs end there"))
            .label("not a port, a merge or a branch")
            .help("a run begins at a port, at a merge's outlet or at a branch"),
        _ => {
            let known = [places.ports.all(), places.merges.all(), places.branches.all()].concat();
            Fault::new("unknown-start", format!("there is no port, merge or branch \"{name}\""))
                .label("unknown")
                .help(known_names(name, "[port.NAME], [merge.NAME] or [branch.NAME]", &known))
        }
    };
    Err(reader.fault(fields.span_of("from"), fault))
}

fn to(reader: &mut Reader, fields: &Fields, places: &Places) -> Read<To> {
    let name: &str = reader.must(fields, "to")?;
    if name == "open" {
        return Ok(To::Open);
    }
    if let Some((merge, leg)) = name.split_once('.') {
        let (merge, leg) = places.leg(reader, fields.span_of("to"), merge, leg)?;
        return Ok(To::Leg { merge, leg });
    }
    if let Some(flange) = places.flanges.position(name)? {
        if !places.flanges.list()[flange].1.entries.contains_key("ports") {
            return Ok(To::Flange(flange));
        }
        let fault = Fault::new("wrong-end", format!("a run cannot end on the head flange \"{name}\""))
            .label("runs begin at its ports")
            .help("let it end on a leg, a flange without `ports`, a host or \"open\"");
        return Err(reader.fault(fields.span_of("to"), fault));
    }
    if let Some(host) = places.hosts.position(name)? {
        return Ok(To::Host(host));
    }
    let fault = if places.merges.position(name)?.is_some() {
        Fault::new("leg-missing", format!("\"{name}\" is a merge: say which of its legs"))
            .label("which leg?")
            .help(format!("write to = \"{name}.1\""))
    } else if places.ports.position(name)?.is_some() {
        Fault::new("wrong-end", format!("a run cannot end on the port \"{name}\""))
            .label("a port")
            .help("gas leaves ports: swap `from` and `to`")
    } else if places.branches.position(name)?.is_some() {
        Fault::new("wrong-end", format!("a run cannot end on the branch \"{name}\""))
            .label("a branch")
            .help("gas leaves through branches: swap `from` and `to`")
    } else {
        unknown_end(name, places)
    };
    Err(reader.fault(fields.span_of("to"), fault))
}

fn unknown_end(name: &str, places: &Places) -> Fault {
    let legs: Vec<String> = places.merges.all().iter().map(|merge| format!("{merge}.1")).collect();
    let mut known: Vec<&str> = legs.iter().map(String::as_str).collect();
    let ends = places.flanges.list().iter().filter(|(_, fields)| !fields.entries.contains_key("ports"));
    known.extend(ends.map(|(name, _)| name.as_str()));
    known.extend(places.hosts.all());
    known.push("open");
    Fault::new("unknown-end", format!("there is no leg, flange or host \"{name}\""))
        .label("unknown")
        .help(known_names(name, "ends", &known))
}

/// The run's first section and its steps.
fn sections(reader: &mut Reader, fields: &Fields, tubes: &Tubes) -> Read<Vec<SectionFrom>> {
    let first = tubes.section(reader, fields);
    let mut sections = vec![first.map(|section| SectionFrom { from: 0.0, section, way: StepWay::Butt })];
    let mut last = 0.0;
    for step in fields.get_or::<&[Read<Fields>]>("steps", &[])? {
        sections.push(match step {
            Ok(step) => self::step(reader, step, tubes, &mut last),
            Err(reported) => Err(*reported),
        });
    }
    sections.into_iter().collect()
}

/// One step; `last` is the station of the step before, or 0.
fn step(reader: &mut Reader, step: &Fields, tubes: &Tubes, last: &mut f64) -> Read<SectionFrom> {
    let section = tubes.section(reader, step);
    let way = way(reader, step);
    let from: f64 = reader.must(step, "at")?;
    let before = std::mem::replace(last, from);
    if from > before {
        return Ok(SectionFrom { from, section: section?, way: way? });
    }
    let (at, before) = (reader.say(from), reader.say(before));
    let fault = Fault::new("steps-not-ascending", format!("this step at {at} follows one at {before}"))
        .label("not after the one before")
        .help("list steps in the direction of travel");
    Err(reader.fault(step.span_of("at"), fault))
}

/// How a step's two tubes meet.
fn way(reader: &mut Reader, step: &Fields) -> Read<StepWay> {
    let way = step.get_or("way", "butt")?;
    let own: &[&str] = match way {
        "inserted" => &["insertion"],
        "formed" => &["taper", "land", "form"],
        _ => &[],
    };
    for key in ["insertion", "taper", "land", "form"] {
        if step.entries.contains_key(key) && !own.contains(&key) {
            let belongs = if key == "insertion" { "inserted" } else { "formed" };
            let message = format!("only a step with way = \"{belongs}\" has `{key}`");
            let help = format!("leave `{key}` out, or write way = \"{belongs}\"");
            let fault = Fault::new("unused-step-key", message).label("not used").help(help);
            return Err(reader.fault(step.span_of(key), fault));
        }
    }
    Ok(match way {
        "inserted" => StepWay::Inserted(reader.must(step, "insertion")?),
        "formed" => StepWay::Formed {
            taper: reader.must(step, "taper")?,
            land: step.get_or("land", LAND)?,
            upstream: step.get_or("form", "upstream")? == "upstream",
        },
        _ => StepWay::Butt,
    })
}

/// The land of a formed end where its step says nothing, mm (common practice, no source).
const LAND: f64 = 10.0;
