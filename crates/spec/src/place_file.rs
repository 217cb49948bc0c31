//! The places of a spec at which runs begin and end, other than merges.

use geom::DVec3;

use crate::design::{Host, Port};
use crate::diagnostic::Fault;
use crate::names::Names;
use crate::reader::Reader;
use crate::shape_file::{Load, shape, transition};
use crate::value::{Fields, Read};

/// The sine of the least angle, rad, at which two directions still span a plane that can be told.
const LEAST_SINE: f64 = 1e-6;

pub(crate) fn port(reader: &mut Reader, name: &str, fields: &Fields, load: Load) -> Read<Port> {
    let shape = shape(reader, fields, "shape", load);
    let transition = transition(reader, fields, "shape");
    let (at, along) = (reader.must(fields, "at")?, reader.must(fields, "along")?);
    Ok(Port { name: name.to_owned(), at, along, shape: shape?, transition: transition? })
}

pub(crate) fn host(reader: &mut Reader, name: &str, fields: &Fields) -> Read<Host> {
    let (at, along) = (reader.must(fields, "at")?, reader.must(fields, "along")?);
    let od: f64 = reader.must(fields, "od")?;
    let length: f64 = reader.must(fields, "length")?;
    let slope = 0.5 * (fields.get_or("end_od", od)? - od) / length;
    Ok(Host { name: name.to_owned(), at, along, radius: 0.5 * od, slope, length })
}

/// A table's `inside`, turned square to `along`.
pub(crate) fn inside(reader: &mut Reader, fields: &Fields, along: DVec3) -> Read<Option<DVec3>> {
    let Some(inside) = fields.get::<DVec3>("inside")? else { return Ok(None) };
    let square = inside - along * inside.dot(along);
    if square.length() > LEAST_SINE {
        return Ok(Some(square.normalize()));
    }
    let fault = Fault::new("inside-along", "`inside` lies along the direction of travel")
        .label("spans no plane")
        .help("name a direction to the side of it");
    Err(reader.fault(fields.span_of("inside"), fault))
}

/// Checks that ports, merges, flanges, hosts and branches have different names: `from` and `to` name
/// them all.
pub(crate) fn check_names(reader: &mut Reader, kinds: [Names; 5]) {
    let mut places: Vec<(&str, &Fields)> =
        kinds.iter().flat_map(|kind| kind.list()).map(|(name, fields)| (name.as_str(), fields)).collect();
    places.sort_by_key(|(_, fields)| fields.span.start);
    for (index, (name, fields)) in places.iter().enumerate() {
        if name.eq_ignore_ascii_case("open") {
            let fault = Fault::new("reserved-name", "\"open\" means an open end").label("reserved");
            reader.fault(fields.span.clone(), fault.help("choose another name"));
        }
        let same = |(other, _): &&(&str, &Fields)| other.eq_ignore_ascii_case(name);
        let Some((other, first)) = places[..index].iter().find(same) else { continue };
        if kind_of(first) == kind_of(fields) {
            continue;
        }
        let message = format!("{} and {} have the same name", first.title, fields.title);
        let fault = Fault::new("name-twice", message)
            .label(format!("\"{other}\" is taken"))
            .help("ports, merges, flanges, hosts and branches need names of their own: `from` and `to` name them all");
        reader.fault(fields.span.clone(), fault);
    }
}

/// `[port` of `[port.front]`: names within one kind are compared when they are read.
fn kind_of(fields: &Fields) -> &str {
    fields.title.split('.').next().unwrap_or_default()
}
