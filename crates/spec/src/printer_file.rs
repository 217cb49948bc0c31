//! The printer of a shop file.

use geom::DVec3;

use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::shop::Printer;
use crate::value::{Fields, Read, Reported};

/// Edge of the test cube, mm.
const CUBE: f64 = 50.0;

/// Ranges of lengths, both ends with them, mm.
const BED: [f64; 2] = [100.0, 3000.0];
const HEIGHT: [f64; 2] = [60.0, 3000.0];
const NOZZLE: [f64; 2] = [0.1, 2.0];
const FIT_GAP: [f64; 2] = [0.05, 1.0];
const SPIGOT: [f64; 2] = [6.0, 40.0];
const APART: [f64; 2] = [0.5, 20.0];
const MEASURED: [f64; 2] = [45.0, 55.0];
const WIDEST_WALL: f64 = 20.0;

/// The `[printer]` of a shop; the default one where it has none.
pub(crate) fn printer(reader: &mut Reader, root: &Fields) -> Read<Printer> {
    let default = Printer::default();
    let Some(found) = root.get::<&Fields>("printer")? else { return Ok(default) };
    let nozzle = length(reader, found, "nozzle", default.nozzle, NOZZLE);
    let bed = found.get_or("bed", default.bed).and_then(|bed| all(reader, found, "bed", bed, BED));
    let height = length(reader, found, "height", default.height, HEIGHT);
    let fit_gap = length(reader, found, "fit_gap", default.fit_gap, FIT_GAP);
    let spigot = length(reader, found, "spigot", default.spigot, SPIGOT);
    let apart = length(reader, found, "apart", default.apart, APART);
    let cube = found.get_or("cube", DVec3::splat(CUBE));
    let cube = cube.and_then(|cube| all(reader, found, "cube", cube.to_array(), MEASURED));
    let wall = nozzle.and_then(|nozzle| wall(reader, found, nozzle));
    Ok(Printer {
        stated: true,
        bed: bed?,
        height: height?,
        nozzle: nozzle?,
        material: found.get_or("material", default.material.as_str())?.to_owned(),
        density: found.get_or("density", default.density)?,
        fit_gap: fit_gap?,
        spigot: spigot?,
        wall: wall?,
        overhang: found.get_or("overhang", default.overhang)?,
        apart: apart?,
        scale: cube?.map(|measured| CUBE / measured),
    })
}

/// A length in its range, mm.
fn length(reader: &mut Reader, found: &Fields, key: &str, default: f64, range: [f64; 2]) -> Read<f64> {
    let value = found.get_or(key, default)?;
    all(reader, found, key, [value], range).map(|[value]| value)
}

/// Lengths that are all in a range, mm.
fn all<const N: usize>(
    reader: &mut Reader,
    found: &Fields,
    key: &str,
    values: [f64; N],
    [low, high]: [f64; 2],
) -> Read<[f64; N]> {
    let Some(outside) = values.into_iter().find(|value| !(low..=high).contains(value)) else {
        return Ok(values);
    };
    let message = format!("`{key}` is {}; it has to be from {low} to {high} mm", reader.say(outside));
    Err(out_of_range(reader, found, key, message))
}

/// The wall of hollow prints: no thinner than what the nozzle lays down.
fn wall(reader: &mut Reader, found: &Fields, nozzle: f64) -> Read<Option<f64>> {
    let Some(wall) = found.get::<f64>("wall")? else { return Ok(None) };
    if wall < nozzle {
        let (said, nozzle, missing) = (reader.say(wall), reader.say(nozzle), reader.say(nozzle - wall));
        let message = format!("a wall of {said} is thinner than the nozzle, {nozzle}, by {missing}");
        return Err(out_of_range(reader, found, "wall", message));
    }
    length(reader, found, "wall", wall, [nozzle, WIDEST_WALL]).map(Some)
}

fn out_of_range(reader: &mut Reader, found: &Fields, key: &str, message: String) -> Reported {
    let doc = found.table.key(key).map_or("", |key| key.doc);
    reader
        .fault(found.span_of(key), Fault::new("printer-range", message).label("outside its range").help(doc))
}
