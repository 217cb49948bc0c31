//! The branches and bungs of a spec.

use std::f64::consts::FRAC_PI_2;

use crate::design::{Branch, Bung, BungAt, On, Sensor, Set, Tool, Toward};
use crate::diagnostic::{Fault, known_names};
use crate::ends_file::Places;
use crate::names::Names;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// One `[branch.NAME]`.
pub(crate) fn branch(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    places: &Places,
    runs: Names,
) -> Read<Branch> {
    let on = on(reader, fields, places, runs);
    Ok(Branch {
        name: name.to_owned(),
        on: on?,
        at: reader.must(fields, "at")?,
        toward: toward(reader, fields)?,
        angle: reader.must(fields, "angle")?,
        offset: fields.get_or("offset", 0.0)?,
        set: set(fields)?,
    })
}

/// One `[bung.NAME]`.
pub(crate) fn bung(reader: &mut Reader, name: &str, fields: &Fields) -> Read<Bung> {
    let tool = match fields.get::<&Fields>("tool")? {
        Some(tool) => Some(Tool { od: reader.must(tool, "od")?, length: reader.must(tool, "length")? }),
        None => None,
    };
    let (od, bore): (f64, f64) = (reader.must(fields, "od")?, reader.must(fields, "bore")?);
    if bore >= od {
        let message = format!("a bore of {} leaves no wall in {}", reader.say(bore), reader.say(od));
        let fault = Fault::new("bung-without-wall", message)
            .label("as wide as the bung")
            .help("write the bore of the thread and the outside diameter of the boss");
        return Err(reader.fault(fields.span_of("bore"), fault));
    }
    let thread: &str = reader.must(fields, "thread")?;
    if thread.trim().is_empty() {
        let fault = Fault::new("empty-thread", format!("{} has no thread", fields.title))
            .label("empty")
            .help("write it as it is bought: \"M18x1.5\"");
        return Err(reader.fault(fields.span_of("thread"), fault));
    }
    Ok(Bung {
        name: name.to_owned(),
        sensor: match reader.must(fields, "use")? {
            "oxygen" => Sensor::Oxygen,
            "temperature" => Sensor::Temperature,
            _ => Sensor::Pressure,
        },
        thread: thread.to_owned(),
        od,
        bore,
        height: reader.must(fields, "height")?,
        set: set(fields)?,
        tool,
        alloy: fields.get("alloy")?,
        mass: fields.get("mass")?,
    })
}

/// The `bungs` of a run or a group, whose dotted key is `owner`.
pub(crate) fn bung_places(
    reader: &mut Reader,
    fields: &Fields,
    owner: &str,
    bungs: Names,
) -> Read<Vec<BungAt>> {
    let list = fields.get_or::<&[Read<Fields>]>("bungs", &[])?;
    let mut places = Vec::new();
    for (index, item) in list.iter().enumerate() {
        let key = format!("{owner}.bungs[{index}]");
        places.push(match item {
            Ok(item) => bung_place(reader, item, key, bungs),
            Err(reported) => Err(*reported),
        });
    }
    places.into_iter().collect()
}

fn bung_place(reader: &mut Reader, fields: &Fields, key: String, bungs: Names) -> Read<BungAt> {
    let bung = match bungs.refer(reader, fields, "bung")? {
        Some(bung) => bung,
        None => return Err(reader.absent(fields, "bung")),
    };
    Ok(BungAt {
        bung,
        at: reader.must(fields, "at")?,
        toward: toward(reader, fields)?,
        angle: fields.get_or("angle", FRAC_PI_2)?,
        key,
    })
}

fn toward(reader: &mut Reader, fields: &Fields) -> Read<Toward> {
    match fields.get("clock")? {
        Some(clock) => Ok(Toward::Clock(clock)),
        None => Ok(Toward::Direction(reader.must(fields, "toward")?)),
    }
}

fn set(fields: &Fields) -> Read<Set> {
    Ok(if fields.get_or("set", "on")? == "in" { Set::In } else { Set::On })
}

/// What a branch leaves.
fn on(reader: &mut Reader, fields: &Fields, places: &Places, runs: Names) -> Read<On> {
    let name: &str = reader.must(fields, "on")?;
    match name.split_once('.') {
        Some((merge, "cone")) => cone(reader, fields, places, merge),
        Some((merge, leg)) => {
            let (merge, leg) = places.leg(reader, fields.span_of("on"), merge, leg)?;
            Ok(On::Leg { merge, leg })
        }
        None => match runs.position(name)? {
            Some(run) => Ok(On::Run(run)),
            None => {
                let fault = no_run(name, places, runs)?;
                Err(reader.fault(fields.span_of("on"), fault))
            }
        },
    }
}

fn no_run(name: &str, places: &Places, runs: Names) -> Read<Fault> {
    Ok(if places.merges.position(name)?.is_some() {
        Fault::new(
            "wrong-host",
            format!("\"{name}\" is a merge: say through which wall the branch leaves it"),
        )
        .label("which wall?")
        .help(format!(
            "write on = \"{name}.1\" (leg 1), \"{name}.cone\", or the name of the run that leaves it"
        ))
    } else {
        let legs: Vec<String> = places.merges.all().iter().map(|merge| format!("{merge}.1")).collect();
        let mut known = runs.all();
        known.extend(legs.iter().map(String::as_str));
        Fault::new("unknown-host", format!("there is no run, leg or cone \"{name}\""))
            .label("unknown")
            .help(known_names(name, "[run.NAME]", &known))
    })
}

fn cone(reader: &mut Reader, fields: &Fields, places: &Places, merge: &str) -> Read<On> {
    let index = places.merge(reader, fields.span_of("on"), merge)?;
    if places.merges.list()[index].1.get::<&Fields>("cone")?.is_some() {
        return Ok(On::Cone(index));
    }
    let fault = Fault::new("no-cone", format!("merge \"{merge}\" has no cone"))
        .label("no cone")
        .help("give the merge a cone, or let the branch leave the run behind it");
    Err(reader.fault(fields.span_of("on"), fault))
}
