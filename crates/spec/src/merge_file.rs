//! The merges of a spec.

use tube::Section;

use crate::design::{Cone, Inlets, Merge, MergePlug, Way};
use crate::diagnostic::Fault;
use crate::place_file::inside;
use crate::reader::Reader;
use crate::tube_file::{Tubes, check_wall};
use crate::value::{Fields, Read};

/// One `[merge.NAME]`; `outlet` is the section of the run that leaves it.
pub(crate) fn merge(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    tubes: &Tubes,
    outlet: Read<Section>,
) -> Read<Merge> {
    let section = tubes.section(reader, fields);
    let cone = match fields.get::<&Fields>("cone") {
        Ok(Some(table)) => cone(reader, table, outlet).map(Some),
        Ok(None) => Ok(None),
        Err(reported) => Err(reported),
    };
    let plug = match fields.get::<&Fields>("plug") {
        Ok(Some(table)) => plug(reader, fields, table).map(Some),
        Ok(None) => Ok(None),
        Err(reported) => Err(reported),
    };
    let along = reader.must(fields, "along")?;
    let inside = match inside(reader, fields, along)? {
        Some(inside) => inside,
        None => reader.must(fields, "inside")?,
    };
    let inlets = match fields.get("inlet_gap")? {
        Some(gap) => Inlets::Gap(gap),
        None => Inlets::Length(reader.must(fields, "leg_length")?),
    };
    Ok(Merge {
        name: name.to_owned(),
        legs: reader.must::<f64>(fields, "legs")? as usize,
        section: section?,
        convergence: reader.must(fields, "convergence")?,
        at: reader.must(fields, "at")?,
        along,
        inside,
        inlets,
        way: if fields.get_or("way", "trimmed")? == "fitted" { Way::Fitted } else { Way::Trimmed },
        cone: cone?,
        plug: plug?,
    })
}

/// The plug of a merge, `fields`; fewer than four legs leave no void that a plate could fill.
fn plug(reader: &mut Reader, merge: &Fields, fields: &Fields) -> Read<MergePlug> {
    let legs: f64 = reader.must(merge, "legs")?;
    if legs < LEAST_LEGS {
        let message =
            format!("a plug fills the void between {LEAST_LEGS} or more legs, and this merge has {legs}");
        let fault = Fault::new("plug-legs", message)
            .label("no void to fill")
            .help("leave it out: the legs' own seams close what so few leave open");
        return Err(reader.fault(merge.span_of("plug"), fault));
    }
    Ok(MergePlug {
        thickness: reader.must(fields, "thickness")?,
        alloy: reader.must(fields, "alloy")?,
        depth: fields.get_or("depth", 0.0)?,
        clearance: fields.get_or("clearance", CLEARANCE)?,
    })
}

/// The fewest legs that leave a void worth a plug.
const LEAST_LEGS: f64 = 4.0;

/// How far a plug's edge stays off the legs where a spec says nothing, mm (common practice, no source).
const CLEARANCE: f64 = 0.2;

fn cone(reader: &mut Reader, fields: &Fields, outlet: Read<Section>) -> Read<Cone> {
    let mouth: f64 = reader.must(fields, "mouth")?;
    let (length, wall) = (reader.must(fields, "length")?, reader.must(fields, "wall")?);
    let alloy = reader.must(fields, "alloy")?;
    let od = outlet?.od;
    check_wall(reader, fields, od, wall)?;
    if mouth > od {
        return Ok(Cone { mouth, length, section: Section { od, wall, alloy } });
    }
    let (mouth, outlet) = (reader.say(mouth), reader.say(od));
    let message = format!("the cone's mouth of {mouth} is no larger than the outlet of {outlet} behind it");
    let fault = Fault::new("cone-mouth", message)
        .label("too small")
        .help("a cone leads from a larger mouth down to the outlet; leave it out or enlarge its mouth");
    Err(reader.fault(fields.span_of("mouth"), fault))
}
