//! The scans of a spec: which file, in which units, and where it goes.

use geom::math::sin_cos;
use geom::rigid_fit::spread;
use geom::{DMat3, DVec3, RigidFit, Similarity};
use scan::Format;

use crate::design::{Isolated, ScanFile};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// The keys that only a scan's file has a use for.
pub(crate) const SCAN_KEYS: [&str; 6] = ["units", "place", "pairs", "mirror", "seen", "isolated"];

/// The units of scans, and what one is in mm (the international foot of 1959 has 12 inches of 25.4 mm).
const UNITS: [(&str, f64); 5] = [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4), ("ft", 304.8)];

/// How far the distances between matched points may differ in scan and car, as a part of them: more is a wrong unit.
const STRETCH: f64 = 0.02;

/// Points whose second spread is less than this part of their first lie on a line.
const LEAST_SPREAD: f64 = 0.01;

/// Matched points that are nearer to each other, mm, are one.
const SAME: f64 = 1e-3;

/// The scan that an obstacle's `file` names.
pub(crate) fn scan_file(reader: &mut Reader, name: &str, fields: &Fields, file: &str) -> Read<ScanFile> {
    let format = format(reader, fields, file);
    let placed = placement(reader, fields);
    let isolated = isolated(reader, fields);
    let one_sided = fields.get_or("seen", "both").map(|word| word == "front");
    let (placement, residual) = placed?;
    Ok(ScanFile {
        file: file.to_owned(),
        format: format?,
        key: format!("obstacle.{name}.file"),
        placement,
        residual,
        one_sided: one_sided?,
        isolated: isolated?,
    })
}

/// The file's format, by its ending.
fn format(reader: &mut Reader, fields: &Fields, file: &str) -> Read<Format> {
    if file.trim().is_empty() {
        let fault = Fault::new("empty-file", "`file` names no file").label("empty");
        let help = "write the scan's path from this file's folder";
        return Err(reader.fault(fields.span_of("file"), fault.help(help)));
    }
    let ending =
        file.rsplit(['/', '\\']).next().and_then(|name| name.rsplit_once('.')).map_or("", |(_, e)| e);
    Format::of_ending(ending).ok_or_else(|| {
        let message = format!("the ending of \"{file}\" tells no format that is read");
        let fault = Fault::new("unknown-scan", message).label("unknown ending");
        let help = "scans are read from files that end in .stl, .ply, .obj, .xyz, .e57 or .las";
        reader.fault(fields.span_of("file"), fault.help(help))
    })
}

fn isolated(reader: &mut Reader, fields: &Fields) -> Read<Option<Isolated>> {
    let Some(table) = fields.get::<&Fields>("isolated")? else { return Ok(None) };
    let (within, least): (f64, f64) = (reader.must(table, "within")?, reader.must(table, "least")?);
    Ok(Some(Isolated { within, least: least as usize }))
}

/// From the scan into the car, and how far its matched points stay apart, mm.
fn placement(reader: &mut Reader, fields: &Fields) -> Read<(Similarity, Option<f64>)> {
    let unit = unit(reader, fields);
    let has = |key: &str| fields.entries.contains_key(key);
    match (has("place"), has("pairs")) {
        (true, false) => {
            let carried = place(reader, fields);
            let (linear, shift) = carried?;
            let scale = unit?;
            Ok((Similarity { linear: linear * scale, shift, scale }, None))
        }
        (false, true) => {
            let pairs = pairs(reader, fields);
            let mirror = mirror(fields)?;
            let (fitted, residual) = matched(reader, fields, &pairs?, unit?, mirror)?;
            Ok((fitted, Some(residual)))
        }
        (true, true) => {
            let fault = Fault::new("both-keys", format!("{} has `pairs` beside `place`", fields.title));
            Err(reader.fault(fields.span_of("pairs"), fault.label("one too many").help("keep one of them")))
        }
        (false, false) => {
            let message = format!("{} names a scan and not where it goes", fields.title);
            let help = "write place = \"as scanned\" if its axes are the car's, place = { mirror, turn, move }, or \
                        pairs = [ { scan = [...], here = [...] }, ... ] with three or more points";
            let fault = Fault::new("scan-without-place", message).label("where does it go?");
            Err(reader.fault(fields.span.clone(), fault.help(help)))
        }
    }
}

/// What one of the scan's units is in mm.
fn unit(reader: &mut Reader, fields: &Fields) -> Read<f64> {
    match fields.get::<&str>("units")? {
        Some(word) => Ok(UNITS.iter().find(|(name, _)| *name == word).map_or(1.0, |(_, mm)| *mm)),
        None => {
            let message = format!("{} names a scan and not its units", fields.title);
            let fault = Fault::new("scan-without-units", message).label("mm, m or in?");
            let help = "write units = \"mm\" (or \"cm\", \"m\", \"in\", \"ft\"), what the file's numbers are in: it is \
                        never guessed";
            Err(reader.fault(fields.span.clone(), fault.help(help)))
        }
    }
}

/// Mirror and turn, and the move after them, mm.
fn place(reader: &mut Reader, fields: &Fields) -> Read<(DMat3, DVec3)> {
    if fields.entries.contains_key("mirror") {
        let fault = Fault::new("unused-key", "`mirror` stands beside `place`").label("of no use here");
        let help = "write it in braces: place = { mirror = ... }";
        return Err(reader.fault(fields.span_of("mirror"), fault.help(help)));
    }
    let Some(table) = fields.get::<&Fields>("place")? else { return Ok((DMat3::IDENTITY, DVec3::ZERO)) };
    let turn = match table.get::<&Fields>("turn")? {
        Some(about) => turned(reader.must(about, "axis")?, reader.must(about, "angle")?),
        None => DMat3::IDENTITY,
    };
    Ok((turn * mirror(table)?, table.get_or("move", DVec3::ZERO)?))
}

/// The matrix that changes the sign of the coordinate that `mirror` names.
fn mirror(fields: &Fields) -> Read<DMat3> {
    Ok(DMat3::from_diagonal(match fields.get_or("mirror", "")? {
        "x" => DVec3::new(-1.0, 1.0, 1.0),
        "y" => DVec3::new(1.0, -1.0, 1.0),
        "z" => DVec3::new(1.0, 1.0, -1.0),
        _ => DVec3::ONE,
    }))
}

/// The turn by `angle`, rad, right-handed about the unit vector `axis` (Rodrigues' formula).
fn turned(axis: DVec3, angle: f64) -> DMat3 {
    let (s, c) = sin_cos(angle);
    let column = |v: DVec3| v * c + axis.cross(v) * s + axis * (axis.dot(v) * (1.0 - c));
    DMat3::from_cols(column(DVec3::X), column(DVec3::Y), column(DVec3::Z))
}

/// The matched points: in the scan's units, and in the car, mm.
fn pairs(reader: &mut Reader, fields: &Fields) -> Read<Vec<(DVec3, DVec3)>> {
    let list = fields.get_or::<&[Read<Fields>]>("pairs", &[])?;
    if list.len() < 3 {
        let message = format!("{} matched points do not place a scan", list.len());
        let fault = Fault::new("too-few-pairs", message).label("three or more are needed");
        let help = "add points that are far apart and not on one line; a fourth shows a slip in the residual";
        return Err(reader.fault(fields.span_of("pairs"), fault.help(help)));
    }
    let one = |item: &Read<Fields>| {
        let item = item.as_ref().map_err(|reported| *reported)?;
        Ok((reader.must(item, "scan")?, reader.must(item, "here")?))
    };
    let read: Vec<Read<(DVec3, DVec3)>> = list.iter().map(one).collect();
    read.into_iter().collect()
}

/// The scan carried to its matched points by least squares, and how far they stay apart, mm.
fn matched(
    reader: &mut Reader,
    fields: &Fields,
    pairs: &[(DVec3, DVec3)],
    unit: f64,
    mirror: DMat3,
) -> Read<(Similarity, f64)> {
    let from: Vec<DVec3> = pairs.iter().map(|(scan, _)| mirror * *scan * unit).collect();
    let to: Vec<DVec3> = pairs.iter().map(|(_, here)| *here).collect();
    let fault = degenerate(&from, "scan").or_else(|| degenerate(&to, "here"));
    if let Some(fault) = fault {
        return Err(reader.fault(fields.span_of("pairs"), fault));
    }
    let Some(fit) = RigidFit::of(&from, &to) else { return Err(reader.absent(fields, "pairs")) };
    if (fit.stretch - 1.0).abs() > STRETCH {
        return Err(reader.fault(fields.span_of("pairs"), stretched(fit.stretch, unit)));
    }
    let linear = fit.turn * mirror * unit;
    Ok((Similarity { linear, shift: fit.shift, scale: unit }, fit.residual))
}

/// Why points, the `which` of the pairs, mm, do not hold a scan.
fn degenerate(points: &[DVec3], which: &str) -> Option<Fault> {
    for (index, point) in points.iter().enumerate() {
        if let Some(first) = points[..index].iter().position(|other| other.distance(*point) < SAME) {
            let message = format!("`{which}` of pairs {} and {} is one point", first + 1, index + 1);
            let fault = Fault::new("pair-twice", message).label("twice the same");
            return Some(fault.help("match different points, far apart"));
        }
    }
    let [first, second, _] = spread(points);
    if second >= LEAST_SPREAD * first {
        return None;
    }
    let message = format!("the points `{which}` of `pairs` lie on one line, about which the scan could turn");
    let fault = Fault::new("pairs-on-line", message).label("on one line");
    Some(fault.help("add a point well to the side of the others"))
}

/// The fault of matched points that lie `stretch` times as far apart in the car as in the scan at `unit` mm.
fn stretched(stretch: f64, unit: f64) -> Fault {
    let known = |mm: f64| UNITS.iter().find(|(_, other)| (mm / other - 1.0).abs() <= STRETCH);
    let (name, _) = UNITS.iter().find(|(_, mm)| *mm == unit).unwrap_or(&UNITS[0]);
    let message = format!(
        "the points of `pairs` lie {stretch:.4} times as far apart in the car as in the scan in {name}"
    );
    let help = match known(stretch * unit) {
        Some((fits, _)) => format!("units = \"{fits}\" would fit"),
        None => "no unit would fit: see that each `scan` and its `here` are the same point".to_owned(),
    };
    Fault::new("pairs-scale", message).label("another size").help(help)
}
