//! The merges of a spec.

use tube::Section;

use crate::design::{Cone, Inlets, Merge, Way};
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
    })
}

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
