//! What is done up in a flange's holes.

use geom::angle::from_degrees;
use geom::unit::Units;

use crate::design::{Fastener, Plate, ToolKind};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::thread::across_flats;
use crate::value::{Fields, Read};

/// How far a tool's room reaches where the spec says nothing, mm (common practice, no source).
const REACH: f64 = 100.0;
/// How far a spanner swings where the spec says nothing, degrees: a hexagon's next flats.
const SWING: f64 = 60.0;

/// The fastener of a flange's plate: as its table says, else a hex of the thread that its holes fit.
pub(crate) fn fastener(
    reader: &mut Reader,
    fields: &Fields,
    plate: Option<&Plate>,
) -> Read<Option<Fastener>> {
    let Some(plate) = plate else { return Ok(None) };
    let known = across(plate, reader.units.unwrap_or(Units::Millimetre));
    let Some(table) = fields.get::<&Fields>("fastener")? else {
        let swing = from_degrees(SWING);
        return Ok(known.map(|across| Fastener { across, tool: None, reach: REACH, swing }));
    };
    let tool = table.get::<&str>("tool")?.map(|tool| match tool {
        "spanner" => ToolKind::Spanner,
        _ => ToolKind::Socket,
    });
    if tool == Some(ToolKind::Socket) && table.entries.contains_key("swing") {
        let fault = Fault::new("unused-key", "`swing` says nothing about a socket").label("of no use here");
        let help = "leave it out, or write tool = \"spanner\"";
        return Err(reader.fault(table.span_of("swing"), fault.help(help)));
    }
    let Some(across) = table.get("across")?.or(known) else {
        let fault =
            Fault::new("missing-key", "`fastener` has no `across`, and the plate's holes tell no thread");
        let help = "write its width across flats: across = 13 mm for an M8 (ISO 4014)";
        return Err(reader.fault(table.span.clone(), fault.label("how wide?").help(help)));
    };
    let (reach, swing) = (table.get_or("reach", REACH)?, table.get_or("swing", from_degrees(SWING))?);
    Ok(Some(Fastener { across, tool, reach, swing }))
}

/// The width across flats that all round holes of a plate agree on.
fn across(plate: &Plate, units: Units) -> Option<f64> {
    let mut widths = plate.holes.iter().map(|hole| across_flats(hole.diameter, units));
    let first = widths.next()??;
    widths.all(|width| width == Some(first)).then_some(first)
}
