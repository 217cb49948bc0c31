//! What stands around a header, out of its spec.

use geom::angle::from_degrees;
use geom::{DVec3, Frame};

use crate::design::{Bay, Class, Drain, Form, Ground, Holder, Move, Obstacle, Plug, Rock};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::scan_file::{SCAN_KEYS, scan_file};
use crate::shop::ClearanceRules;
use crate::value::{Fields, Read};

/// The drain's largest angle from straight down where the spec says nothing, degrees (common practice, no source).
const DRAIN: f64 = 20.0;

/// The bay of a spec; `rules` are the shop's.
pub(crate) fn bay(reader: &mut Reader, root: &Fields, rules: Read<ClearanceRules>) -> Read<Bay> {
    let obstacles: Vec<Read<Obstacle>> = root
        .named("obstacle")
        .unwrap_or_default()
        .iter()
        .map(|(name, fields)| obstacle(reader, name, fields, rules))
        .collect();
    let plugs: Vec<Read<Plug>> = root
        .named("plug")
        .unwrap_or_default()
        .iter()
        .map(|(name, fields)| plug(reader, name, fields))
        .collect();
    let (ground, rock) = (ground(reader, root, rules), rock(reader, root));
    let (way_out, drain) = (way_out(reader, root), drain(reader, root));
    root.named("obstacle")?;
    root.named("plug")?;
    Ok(Bay {
        obstacles: obstacles.into_iter().collect::<Read<_>>()?,
        ground: ground?,
        rock: rock?,
        way_out: way_out?,
        plugs: plugs.into_iter().collect::<Read<_>>()?,
        drain: drain?,
    })
}

fn obstacle(reader: &mut Reader, name: &str, fields: &Fields, rules: Read<ClearanceRules>) -> Read<Obstacle> {
    let form = match fields.get::<&str>("file") {
        Ok(Some(file)) => scan_file(reader, name, fields, file).map(|scan| {
            reader.scans.push(scan.clone());
            Form::Scan(scan)
        }),
        Ok(None) => {
            let unused = unused(reader, fields);
            body(reader, fields).and_then(|form| unused.map(|()| form))
        }
        Err(reported) => Err(reported),
    };
    let class = match reader.must(fields, "class")? {
        "moving" => Class::Moving,
        "wiring" => Class::Wiring,
        "fuel" => Class::Fuel,
        "steering" => Class::Steering,
        _ => Class::Fixed,
    };
    let required = match fields.get("clearance")? {
        Some(own) => own,
        None => rules?.of(class),
    };
    let on = if fields.get_or("on", "car")? == "engine" { Holder::Engine } else { Holder::Car };
    Ok(Obstacle { name: name.to_owned(), class, required, on, form: form? })
}

/// Refuses what only a scan has a use for.
fn unused(reader: &mut Reader, fields: &Fields) -> Read<()> {
    let mut result = Ok(());
    for key in SCAN_KEYS.iter().filter(|key| fields.entries.contains_key(*key)) {
        let fault = Fault::new("unused-key", format!("`{key}` says nothing about a plain body"));
        let help = "leave it out: it belongs to a scan's file";
        result = Err(reader.fault(fields.span_of(key), fault.label("of no use here").help(help)));
    }
    result
}

/// The one plain body of an obstacle.
fn body(reader: &mut Reader, fields: &Fields) -> Read<Form> {
    if let Some(table) = fields.get::<&Fields>("box")? {
        return cuboid(reader, table);
    }
    if let Some(table) = fields.get::<&Fields>("sphere")? {
        let (at, d): (DVec3, f64) = (reader.must(table, "at")?, reader.must(table, "d")?);
        return Ok(Form::Sphere { at, radius: 0.5 * d });
    }
    if let Some(table) = fields.get::<&Fields>("half_space")? {
        return Ok(Form::HalfSpace { at: reader.must(table, "at")?, out: reader.must(table, "out")? });
    }
    if let Some(table) = fields.get::<&Fields>("cylinder")? {
        let (from, to, radius) = bar(reader, table)?;
        return Ok(Form::Cylinder { from, to, radius });
    }
    let table = reader.must::<&Fields>(fields, "capsule")?;
    let (from, to, radius) = bar(reader, table)?;
    Ok(Form::Capsule { from, to, radius })
}

fn cuboid(reader: &mut Reader, table: &Fields) -> Read<Form> {
    let (along, inside) = (table.get_or("along", DVec3::Z)?, table.get_or("inside", DVec3::X)?);
    let (at, size): (DVec3, DVec3) = (reader.must(table, "at")?, reader.must(table, "size")?);
    if let Some(frame) = Frame::new(at, along, inside) {
        return Ok(Form::Box { frame, half: 0.5 * size });
    }
    let (key, message) = match table.entries.contains_key("inside") {
        true => ("inside", "the box's `inside` lies along its `along`"),
        false => ("along", "the box's `along` lies along x, and it has no `inside`"),
    };
    let fault = Fault::new("inside-along", message).label("spans no plane");
    let help = "write along = [...] and inside = [...], the directions of its own z and of its own x";
    Err(reader.fault(table.span_of(key), fault.help(help)))
}

/// Ends and radius of a round bar.
fn bar(reader: &mut Reader, table: &Fields) -> Read<(DVec3, DVec3, f64)> {
    let (from, to): (DVec3, DVec3) = (reader.must(table, "from")?, reader.must(table, "to")?);
    if from.distance(to) < LEAST_LENGTH {
        let fault =
            Fault::new("zero-length", format!("`from` and `to` of a {} are one point", table.table.name));
        let help = "write its two ends; a ball is sphere = { at = [...], d = ... }";
        return Err(reader.fault(table.span_of("to"), fault.label("no length").help(help)));
    }
    Ok((from, to, 0.5 * reader.must::<f64>(table, "d")?))
}

/// The shortest bar, mm: below it its direction is rounding.
const LEAST_LENGTH: f64 = 1e-3;

fn ground(reader: &mut Reader, root: &Fields, rules: Read<ClearanceRules>) -> Read<Option<Ground>> {
    let Some(table) = root.get::<&Fields>("ground")? else { return Ok(None) };
    let required = match table.get("clearance")? {
        Some(own) => own,
        None => rules?.ground,
    };
    Ok(Some(Ground { at: reader.must(table, "at")?, up: table.get_or("up", DVec3::Z)?, required }))
}

fn rock(reader: &mut Reader, root: &Fields) -> Read<Option<Rock>> {
    let Some(table) = root.get::<&Fields>("rock")? else { return Ok(None) };
    Ok(Some(Rock {
        at: reader.must(table, "at")?,
        axis: reader.must(table, "axis")?,
        forward: table.get_or("forward", 0.0)?,
        back: table.get_or("back", 0.0)?,
        shift: table.get_or("shift", DVec3::ZERO)?,
    }))
}

fn way_out(reader: &mut Reader, root: &Fields) -> Read<Vec<Move>> {
    let list = root.get_or::<&[Read<Fields>]>("way_out", &[])?;
    let one = |item: &Read<Fields>| {
        let item = item.as_ref().map_err(|reported| *reported)?;
        Ok(Move { along: reader.must(item, "along")?, distance: reader.must(item, "distance")? })
    };
    list.iter().map(one).collect()
}

fn plug(reader: &mut Reader, name: &str, fields: &Fields) -> Read<Plug> {
    Ok(Plug {
        name: name.to_owned(),
        at: reader.must(fields, "at")?,
        along: reader.must(fields, "along")?,
        radius: 0.5 * reader.must::<f64>(fields, "d")?,
        length: reader.must(fields, "length")?,
    })
}

fn drain(reader: &mut Reader, root: &Fields) -> Read<Option<Drain>> {
    let Some(table) = root.get::<&Fields>("drain")? else { return Ok(None) };
    Ok(Some(Drain {
        along: reader.must(table, "along")?,
        up: table.get_or("up", DVec3::Z)?,
        largest: table.get_or("largest", from_degrees(DRAIN))?,
    }))
}
