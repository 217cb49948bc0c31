//! LAS 1.0 to 1.4 (ASPRS), without compression: the places of its points.

use geom::DVec3;

use crate::bulk::{Bad, MOST, counted, grouped, nothing, too_many, truncated};
use crate::fault::{Fault, Place};
use crate::scan::Scan;

/// Bytes of a record of each point format, 0 to 10 (LAS 1.4 R15, tables 7 to 17), at least.
const RECORDS: [usize; 11] = [20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67];

/// What the head says about the points.
struct Header {
    minor: u8,
    /// Where the points begin.
    begin: usize,
    format: u8,
    record: usize,
    count: u64,
    scale: DVec3,
    offset: DVec3,
}

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    let header = header(bytes)?;
    let end = extent(bytes, &header)?;
    let mut points = Vec::with_capacity(header.count as usize);
    let mut bad = Bad::default();
    let mut skipped = 0;
    for (k, record) in bytes[header.begin..end].chunks_exact(header.record).enumerate() {
        if is_withheld(record, &header) {
            skipped += 1;
            continue;
        }
        let axis = |at: usize| f64::from(i32::from_le_bytes(taken(record, at)));
        let point = DVec3::new(axis(0), axis(4), axis(8)) * header.scale + header.offset;
        if bad.passes(point, || Place::Byte((header.begin + k * header.record) as u64)) {
            points.push(point);
        }
    }
    bad.settled("point")?;
    if points.is_empty() {
        return Err(nothing("points that are not withheld"));
    }
    Ok(Scan { skipped, ..Scan::of_points(points) })
}

/// The flag of points that should not be used: bit 7 of the classification, and from format 6 on bit 2 of
/// the flags. LAS 1.0 has none.
fn is_withheld(record: &[u8], header: &Header) -> bool {
    let bit = if header.format < 6 { 0x80 } else { 0x04 };
    header.minor > 0 && record[15] & bit != 0
}

fn taken<const N: usize>(bytes: &[u8], at: usize) -> [u8; N] {
    let mut out = [0; N];
    out.copy_from_slice(&bytes[at..at + N]);
    out
}

fn header(bytes: &[u8]) -> Result<Header, Fault> {
    if !bytes.starts_with(b"LASF") {
        let message = "the file does not begin with `LASF`".to_owned();
        return Err(Fault::new(
            Place::Byte(0),
            "head",
            message,
            "export the scan again, or correct the ending",
        ));
    }
    let length = match bytes.get(25) {
        Some(4..) => 375,
        Some(3) => 235,
        _ => 227,
    };
    if bytes.len() < length {
        let message = format!("the head of a LAS file takes {length} bytes; the file has {}", bytes.len());
        return Err(truncated(bytes.len() as u64, message));
    }
    let (major, minor) = (bytes[24], bytes[25]);
    if major != 1 || minor > 4 {
        let message = format!("LAS {major}.{minor} is not read");
        return Err(Fault::new(Place::Byte(24), "head", message, "export the scan as LAS 1.0 to 1.4"));
    }
    let word = |at: usize| u32::from_le_bytes(taken(bytes, at));
    let real = |at: usize| f64::from_le_bytes(taken(bytes, at));
    let old = u64::from(word(107));
    let count = if minor >= 4 { u64::from_le_bytes(taken(bytes, 247)) } else { old };
    if old != 0 && old != count {
        let message =
            format!("the head states {} and, in its older place, {}", counted(count, "point"), grouped(old));
        return Err(Fault::new(Place::Byte(247), "count", message, "export the file again"));
    }
    let header = Header {
        minor,
        begin: word(96) as usize,
        format: bytes[104],
        record: usize::from(u16::from_le_bytes(taken(bytes, 105))),
        count,
        scale: DVec3::new(real(131), real(139), real(147)),
        offset: DVec3::new(real(155), real(163), real(171)),
    };
    check(&header, length)?;
    Ok(header)
}

fn check(header: &Header, length: usize) -> Result<(), Fault> {
    let fault =
        |at: u64, message: String, help: &str| Err(Fault::new(Place::Byte(at), "head", message, help));
    if header.format & 0xc0 != 0 {
        let message = "the points are compressed (LAZ)".to_owned();
        let help = "unpack it to LAS, or export the scan without compression";
        return Err(Fault::new(Place::Byte(104), "compressed", message, help));
    }
    let Some(least) = RECORDS.get(usize::from(header.format)) else {
        let message = format!("point format {} is not known", header.format);
        return fault(104, message, "export the scan with a point format of 0 to 10");
    };
    if header.record < *least {
        let message =
            format!("records of {} bytes are too short for point format {}", header.record, header.format);
        return fault(105, message, "export the file again");
    }
    if header.begin < length {
        let message = format!("the points begin at byte {}, within the head", header.begin);
        return fault(96, message, "export the file again");
    }
    let sound =
        header.scale.cmpgt(DVec3::ZERO).all() && header.scale.is_finite() && header.offset.is_finite();
    if !sound {
        let message =
            format!("a scale of {} with an offset of {} gives no places", header.scale, header.offset);
        return fault(131, message, "export the file again");
    }
    Ok(())
}

/// Where the points end. Errors: the file ends before, or goes on with records that are not counted.
fn extent(bytes: &[u8], header: &Header) -> Result<usize, Fault> {
    if header.count == 0 {
        return Err(nothing("points"));
    }
    let room = bytes.len().saturating_sub(header.begin) / header.record;
    if header.count > room as u64 {
        let states = counted(header.count, "point");
        let message = format!("the head states {states}; the file has room for {}", grouped(room as u64));
        return Err(truncated(bytes.len() as u64, message));
    }
    if header.count > MOST {
        return Err(too_many(header.count, "points"));
    }
    let end = header.begin + header.count as usize * header.record;
    // What may come behind the points: waveforms (1.3 on) and extended records (1.4).
    let behind = |at: usize| u64::from_le_bytes(taken(bytes, at)) >= end as u64;
    let more = (header.minor >= 3 && behind(227)) || (header.minor >= 4 && behind(235));
    if room as u64 > header.count && !more {
        let message = format!(
            "the head states {}, but the file goes on with room for {} more",
            counted(header.count, "point"),
            grouped(room as u64 - header.count)
        );
        return Err(Fault::new(
            Place::Byte(end as u64),
            "count",
            message,
            "export the file again: its count is wrong",
        ));
    }
    Ok(end)
}
