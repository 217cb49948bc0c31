//! The flanges of a spec and their plates.

use geom::DVec3;
use geom::angle::to_degrees;
use geom::math::atan2;
use plate::{Corner, DVec2, Loop, Outline, bolt_circle};

use crate::design::{
    BoltHole, Flange, Growth, HeadMetal, Parting, Plate, PlateForm, PlateSlot, Port, Relief, TubeFit,
};
use crate::diagnostic::Fault;
use crate::fastener_file::fastener;
use crate::names::Names;
use crate::reader::Reader;
use crate::shape_file::{Load, named, outline, shape, transition};
use crate::value::{Fields, Read};

/// How far ports of one head flange may lie out of their common plane, mm, and their directions apart, degrees.
const FLAT: (f64, f64) = (0.01, 0.01);

/// Where a spec says nothing, mm (common practice, no source).
const SETBACK: f64 = 2.0;
const CLEARANCE: f64 = 0.3;
const PARTING_WIDTH: f64 = 3.0;
const LEAST_WEB: f64 = 4.0;
const RELIEF: (f64, f64) = (4.0, 3.0);

/// Temperatures of plate and head, degrees C (common practice, no source).
const HOT: (f64, f64) = (650.0, 100.0);

/// One `[flange.NAME]`; `ports` are the spec's.
pub(crate) fn flange(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    ports: (Names, &[Read<Port>]),
    load: Load,
) -> Read<Flange> {
    let place = match fields.get::<&[String]>("ports")? {
        Some(listed) => head(reader, fields, listed, ports),
        None => reader.must(fields, "at").and_then(|at| Ok((at, reader.must(fields, "along")?, Vec::new()))),
    };
    let plate = plate(reader, fields, load).and_then(|plate| {
        let fastener = fastener(reader, fields, plate.as_ref())?;
        Ok((plate, fastener))
    });
    let (at, along, ports) = place?;
    if fields.entries.contains_key("datum") && ports.is_empty() {
        let fault = Fault::new("unused-key", "`datum` says nothing about a flange without ports");
        return Err(reader.fault(fields.span_of("datum"), fault.label("of no use here").help("leave it out")));
    }
    let fixed = match fields.get::<&str>("fixed")? {
        Some(word) => word == "yes",
        None => !ports.is_empty(),
    };
    let (up, (plate, fastener)) = (up(reader, fields, along)?, plate?);
    Ok(Flange { name: name.to_owned(), at, along, up, ports, plate, fixed, fastener })
}

/// Origin, direction and ports of a head flange.
fn head(
    reader: &mut Reader,
    fields: &Fields,
    listed: &[String],
    (names, ports): (Names, &[Read<Port>]),
) -> Read<(DVec3, DVec3, Vec<usize>)> {
    let mut found: Vec<usize> = Vec::new();
    for name in listed {
        let port = port_called(reader, fields, "ports", name, names)?;
        if found.contains(&port) {
            let fault = Fault::new("port-twice", format!("port \"{name}\" is listed twice")).label("twice");
            return Err(reader.fault(fields.span_of("ports"), fault.help("list each port once")));
        }
        found.push(port);
    }
    let mut own: Vec<&Port> = Vec::new();
    for port in &found {
        own.push(ports[*port].as_ref().map_err(|reported| *reported)?);
    }
    let along = own[0].along;
    for port in &own[1..] {
        let off = (port.at - own[0].at).dot(along);
        let askew = to_degrees(atan2(port.along.cross(along).length(), port.along.dot(along)));
        if off.abs() > FLAT.0 || askew > FLAT.1 {
            let message = format!(
                "{} lies {:.3} mm out of the plane of {}, and {askew:.3} degrees askew to it",
                port.name,
                off.abs(),
                own[0].name
            );
            let fault = Fault::new("ports-not-flat", message).label("not in one plane");
            return Err(reader.fault(
                fields.span_of("ports"),
                fault.help("a head flange is flat: give ports of one plane and one direction"),
            ));
        }
    }
    let at = match fields.get::<&str>("datum")? {
        Some(name) => match port_called(reader, fields, "datum", name, names)? {
            port if found.contains(&port) => ports[port].as_ref().map_err(|reported| *reported)?.at,
            _ => {
                let fault =
                    Fault::new("datum-not-listed", format!("port \"{name}\" is not one of this flange's"));
                return Err(reader.fault(
                    fields.span_of("datum"),
                    fault.label("not listed").help("name one of its ports"),
                ));
            }
        },
        None => own.iter().map(|port| port.at).sum::<DVec3>() / own.len() as f64,
    };
    Ok((at, along, found))
}

/// The index of the port `name`, which `key` lists.
pub(crate) fn port_called(
    reader: &mut Reader,
    fields: &Fields,
    key: &str,
    name: &str,
    names: Names,
) -> Read<usize> {
    if let Some(port) = names.position(name)? {
        return Ok(port);
    }
    let fault = Fault::new("unknown-port", format!("there is no port \"{name}\""))
        .label("unknown")
        .help(crate::diagnostic::known_names(name, "[port.NAME]", &names.all()));
    Err(reader.fault(fields.span_of(key), fault))
}

/// The direction of the drawing's y, square to `along`.
fn up(reader: &mut Reader, fields: &Fields, along: DVec3) -> Read<DVec3> {
    let square =
        |up: DVec3| (up - along * up.dot(along)).try_normalize().filter(|_| up.cross(along).length() > 1e-6);
    match fields.get::<DVec3>("up")? {
        Some(wanted) => square(wanted).ok_or_else(|| {
            let fault =
                Fault::new("up-along", "`up` lies along the direction of travel").label("spans no plane");
            reader.fault(fields.span_of("up"), fault.help("name a direction to the side of it"))
        }),
        None => Ok(square(DVec3::Z).or_else(|| square(DVec3::Y)).unwrap_or(DVec3::Z)),
    }
}

/// The keys that only a plate has a use for.
const PLATE_KEYS: [&str; 19] = [
    "transition",
    "margin",
    "outline",
    "form",
    "holes",
    "bolt_circle",
    "slots",
    "opening",
    "fit",
    "setback",
    "clearance",
    "relief",
    "parting",
    "parting_width",
    "neck",
    "washer",
    "least_web",
    "growth",
    "fastener",
];

/// The plate of a flange, if its table says how thick it is.
fn plate(reader: &mut Reader, fields: &Fields, load: Load) -> Read<Option<Plate>> {
    let Some(thickness) = fields.get::<f64>("thickness")? else {
        let needs = PLATE_KEYS.iter().chain(&["alloy"]).find(|key| fields.entries.contains_key(*key));
        return match needs {
            Some(key) => {
                let fault = Fault::new(
                    "plate-without-thickness",
                    format!("{} has `{key}` and no `thickness`", fields.title),
                );
                let help = "give `thickness` and `alloy` for a plate, or leave its keys out";
                Err(reader.fault(fields.span_of(key), fault.label("of no use without").help(help)))
            }
            None => Ok(None),
        };
    };
    let form = form(reader, fields, load);
    let holes = holes(reader, fields);
    let slots = slots(reader, fields);
    let opening = shape(reader, fields, "opening", load);
    let transition = transition(reader, fields, "opening");
    let fit = fit(reader, fields, thickness);
    let relief = relief(reader, fields, thickness);
    let parting = parting(reader, fields);
    Ok(Some(Plate {
        thickness,
        alloy: reader.must(fields, "alloy")?,
        form: form?,
        holes: holes?,
        slots: slots?,
        opening: opening?,
        transition: transition?,
        fit: fit?,
        clearance: fields.get_or("clearance", CLEARANCE)?,
        relief: relief?,
        parting: parting?,
        washer: fields.get("washer")?,
        least_web: fields.get_or("least_web", LEAST_WEB)?,
        growth: growth(fields)?,
    }))
}

fn form(reader: &mut Reader, fields: &Fields, load: Load) -> Read<PlateForm> {
    let given: Vec<&str> =
        ["margin", "outline", "form"].into_iter().filter(|key| fields.entries.contains_key(key)).collect();
    if let [first, second, ..] = given[..] {
        let fault = Fault::new("both-keys", format!("{} has `{second}` beside `{first}`", fields.title));
        return Err(
            reader.fault(fields.span_of(second), fault.label("one too many").help("keep one of them"))
        );
    }
    match given.first() {
        Some(&"margin") => Ok(PlateForm::Margin(reader.must(fields, "margin")?)),
        Some(&"outline") => polygon(reader, fields).map(PlateForm::Drawn),
        Some(_) => match outline(reader, fields, "form", load)? {
            Some(outline) => Ok(PlateForm::Drawn(outline)),
            None => Err(reader.absent(fields, "form")),
        },
        None => {
            let message = format!("{} has neither `margin` nor `outline` nor `form`", fields.title);
            let help =
                "say its outside: margin = 12, or outline = [ { corner = [...] }, ... ], or form = { ... }";
            let fault = Fault::new("missing-key", message).label("incomplete");
            Err(reader.fault(fields.span.clone(), fault.help(help)))
        }
    }
}

fn polygon(reader: &mut Reader, fields: &Fields) -> Read<Outline> {
    let mut corners = Vec::new();
    for corner in fields.get_or::<&[Read<Fields>]>("outline", &[])? {
        let corner = corner.as_ref().map_err(|reported| *reported)?;
        corners.push(Corner { at: spot(reader, corner, "corner")?, radius: corner.get_or("radius", 0.0)? });
    }
    match Loop::polygon(&corners) {
        Ok(outer) => Ok(Outline::new(outer, Vec::new())),
        Err(fault) => Err(reader.fault(fields.span_of("outline"), named(fault))),
    }
}

fn spot(reader: &mut Reader, fields: &Fields, key: &str) -> Read<DVec2> {
    reader.must::<[f64; 2]>(fields, key).map(DVec2::from_array)
}

fn holes(reader: &mut Reader, fields: &Fields) -> Read<Vec<BoltHole>> {
    let mut holes = Vec::new();
    for hole in fields.get_or::<&[Read<Fields>]>("holes", &[])? {
        let hole = hole.as_ref().map_err(|reported| *reported)?;
        let (at, diameter) = (spot(reader, hole, "at")?, reader.must(hole, "d")?);
        holes.push(BoltHole { at, diameter, slotted: hole.get_or("slotted", "no")? == "growth" });
    }
    if let Some(circle) = fields.get::<&Fields>("bolt_circle")? {
        let centre = DVec2::from_array(circle.get_or("at", [0.0; 2])?);
        let radius = 0.5 * reader.must::<f64>(circle, "d")?;
        let count = reader.must::<f64>(circle, "count")? as usize;
        let diameter: f64 = reader.must(circle, "hole")?;
        let centres = bolt_circle(centre, radius, count, circle.get_or("first", 0.0)?);
        holes.extend(centres.into_iter().map(|at| BoltHole { at, diameter, slotted: false }));
    }
    Ok(holes)
}

fn slots(reader: &mut Reader, fields: &Fields) -> Read<Vec<PlateSlot>> {
    let mut slots = Vec::new();
    for slot in fields.get_or::<&[Read<Fields>]>("slots", &[])? {
        let slot = slot.as_ref().map_err(|reported| *reported)?;
        let (at, width) = (spot(reader, slot, "at")?, reader.must(slot, "width")?);
        let (travel, angle) = (reader.must(slot, "travel")?, slot.get_or("angle", 0.0)?);
        match Loop::slot(at, width, travel, angle) {
            Ok(edge) => slots.push(PlateSlot { at, width, travel, angle, edge }),
            Err(fault) => return Err(reader.fault(slot.span.clone(), named(fault))),
        }
    }
    Ok(slots)
}

fn fit(reader: &mut Reader, fields: &Fields, thickness: f64) -> Read<TubeFit> {
    let word = fields.get_or("fit", "into")?;
    if word != "into" {
        if fields.entries.contains_key("setback") {
            let fault = Fault::new("unused-key", format!("`setback` says nothing about fit \"{word}\""));
            return Err(
                reader.fault(fields.span_of("setback"), fault.label("of no use here").help("leave it out"))
            );
        }
        return Ok(if word == "on" { TubeFit::On } else { TubeFit::Flush });
    }
    let setback: f64 = fields.get_or("setback", SETBACK)?;
    if setback < thickness {
        return Ok(TubeFit::Into(setback));
    }
    let message = format!(
        "a tube set back by {} does not stand in a plate of {}",
        reader.say(setback),
        reader.say(thickness)
    );
    let fault = Fault::new("setback-too-large", message).label("through the plate");
    Err(reader.fault(fields.span_of("setback"), fault.help("set it back by less, or write fit = \"on\"")))
}

fn relief(reader: &mut Reader, fields: &Fields, thickness: f64) -> Read<Option<Relief>> {
    let Some(relief) = fields.get::<&Fields>("relief")? else { return Ok(None) };
    let depth: f64 = reader.must(relief, "depth")?;
    if depth >= thickness {
        let message =
            format!("a groove of {} goes through a plate of {}", reader.say(depth), reader.say(thickness));
        let fault = Fault::new("relief-too-deep", message).label("through the plate");
        return Err(reader.fault(
            relief.span_of("depth"),
            fault.help("make it less deep: a third of the plate is usual (common practice, no source)"),
        ));
    }
    let (distance, width) = (relief.get_or("distance", RELIEF.0)?, relief.get_or("width", RELIEF.1)?);
    Ok(Some(Relief { distance, width, depth }))
}

fn parting(reader: &mut Reader, fields: &Fields) -> Read<Parting> {
    let width = fields.get_or("parting_width", PARTING_WIDTH)?;
    let word = fields.get_or("parting", "one")?;
    let unused = match word {
        "one" => &["parting_width", "neck"][..],
        "split" => &["neck"][..],
        _ => &[][..],
    };
    if let Some(key) = unused.iter().find(|key| fields.entries.contains_key(*key)) {
        let fault = Fault::new("unused-key", format!("`{key}` says nothing about parting \"{word}\""));
        return Err(reader.fault(fields.span_of(key), fault.label("of no use here").help("leave it out")));
    }
    Ok(match word {
        "split" => Parting::Split(width),
        "relieved" => Parting::Relieved { width, neck: reader.must(fields, "neck")? },
        _ => Parting::One,
    })
}

fn growth(fields: &Fields) -> Read<Growth> {
    let default = Growth { plate: HOT.0, head: HOT.1, metal: HeadMetal::Aluminium, fixed: None };
    let Some(table) = fields.get::<&Fields>("growth")? else { return Ok(default) };
    Ok(Growth {
        plate: table.get_or("plate", HOT.0)?,
        head: table.get_or("head", HOT.1)?,
        metal: match table.get_or("metal", "aluminium")? {
            "cast iron" => HeadMetal::CastIron,
            _ => HeadMetal::Aluminium,
        },
        fixed: table.get::<[f64; 2]>("fixed")?.map(DVec2::from_array),
    })
}
