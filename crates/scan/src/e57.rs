//! E57 (ASTM E2807), through the crate `e57`: the points of every cloud, each where its pose puts it.

use std::io::Cursor;

use e57::{E57Reader, PointCloud, RecordDataType, RecordName, RecordValue};
use geom::math::sin_cos;
use geom::{DMat3, DVec3};

use crate::bulk::{Bad, MOST, counted, grouped, nothing, too_many, truncated};
use crate::fault::{Fault, Place};
use crate::scan::Scan;

/// Bytes of the file's head.
const HEAD: usize = 48;
/// Bytes that have a checksum of their own.
const PAGE: u64 = 1024;

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    check_head(bytes)?;
    let mut file = E57Reader::new(Cursor::new(bytes)).map_err(|error| damaged(&error))?;
    let clouds: Vec<PointCloud> = file.pointclouds().into_iter().filter(|cloud| cloud.records > 0).collect();
    let total = expected(&clouds, bytes.len())?;
    let mut points = Vec::with_capacity(total as usize);
    let mut bad = Bad::default();
    let mut skipped = 0;
    for cloud in &clouds {
        let columns = Columns::of(cloud)?;
        let pose = Pose::of(cloud)?;
        for row in file.pointcloud_raw(cloud).map_err(|error| damaged(&error))? {
            let row = row.map_err(|error| damaged(&error))?;
            match columns.point(&row) {
                Some(point) => points.push(pose.apply(point)),
                None => skipped += 1,
            }
        }
    }
    for point in &points {
        bad.passes(*point, || Place::Whole);
    }
    bad.settled("point")?;
    if points.is_empty() {
        return Err(nothing("points that are not marked as invalid"));
    }
    Ok(Scan { skipped, ..Scan::of_points(points) })
}

fn damaged(error: &e57::Error) -> Fault {
    let help = "copy or export the file again; if it stays so, export another format";
    let text = error.to_string();
    let page = text
        .split_once("invalid checksum")
        .and_then(|(_, rest)| rest.rsplit(' ').next()?.parse::<u64>().ok());
    let Some(page) = page else { return Fault::new(Place::Whole, "e57", text, help) };
    let message =
        format!("the {PAGE} bytes from here do not fit their checksum: they are not as they were written");
    Fault::new(Place::Byte(page.saturating_mul(PAGE)), "checksum", message, help)
}

/// What the crate would take from the head as given.
fn check_head(bytes: &[u8]) -> Result<(), Fault> {
    if !bytes.starts_with(b"ASTM-E57") {
        let message = "the file does not begin with `ASTM-E57`".to_owned();
        return Err(Fault::new(
            Place::Byte(0),
            "head",
            message,
            "export the scan again, or correct the ending",
        ));
    }
    let have = bytes.len() as u64;
    if bytes.len() < HEAD {
        return Err(truncated(have, format!("an E57 file begins with {HEAD} bytes; the file has {have}")));
    }
    let word =
        |at: usize| bytes[at..at + 8].iter().rev().fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
    let (length, xml, xml_length) = (word(16), word(24), word(32));
    if length != have {
        let message = format!("the head states {} bytes; the file has {}", grouped(length), grouped(have));
        return Err(if have < length {
            truncated(have, message)
        } else {
            Fault::new(Place::Byte(16), "count", message, "copy or export the file again")
        });
    }
    if xml > have || xml_length > have - xml {
        let message = "the description of what the file holds lies beyond its end".to_owned();
        return Err(Fault::new(Place::Byte(24), "truncated", message, "copy or export the file again"));
    }
    Ok(())
}

/// How many points there will be. Errors: none, too many, or more than fit in so many bytes.
fn expected(clouds: &[PointCloud], length: usize) -> Result<u64, Fault> {
    let mut total = 0_u64;
    for cloud in clouds {
        let bits: u64 = cloud.prototype.iter().map(|record| bits(&record.data_type)).sum();
        let fits = bits > 0 && cloud.records.checked_mul(bits).is_some_and(|due| due / 8 <= length as u64);
        if !fits {
            let states = counted(cloud.records, "point");
            let message =
                format!("a cloud states {states} of {}, more than the file holds", counted(bits, "bit"));
            return Err(Fault::new(Place::Whole, "count", message, "copy or export the file again"));
        }
        total += cloud.records;
    }
    match total {
        0 => Err(nothing("points")),
        total if total > MOST => Err(too_many(total, "points")),
        total => Ok(total),
    }
}

/// Bits that a value takes.
fn bits(kind: &RecordDataType) -> u64 {
    match kind {
        RecordDataType::Single { .. } => 32,
        RecordDataType::Double { .. } => 64,
        RecordDataType::ScaledInteger { min, max, .. } | RecordDataType::Integer { min, max } => {
            u64::from(max.abs_diff(*min).checked_ilog2().map_or(0, |log| log + 1))
        }
    }
}

/// Which columns of a cloud say where its points are.
struct Columns<'a> {
    cloud: &'a PointCloud,
    cartesian: Option<[usize; 3]>,
    /// Range, azimuth and elevation.
    spherical: Option<[usize; 3]>,
    cartesian_state: Option<usize>,
    spherical_state: Option<usize>,
}

impl Columns<'_> {
    fn of(cloud: &PointCloud) -> Result<Columns<'_>, Fault> {
        let find = |name: RecordName| cloud.prototype.iter().position(|record| record.name == name);
        let all = |names: [RecordName; 3]| {
            let [a, b, c] = names.map(find);
            Some([a?, b?, c?])
        };
        let columns = Columns {
            cloud,
            cartesian: all([RecordName::CartesianX, RecordName::CartesianY, RecordName::CartesianZ]),
            spherical: all([
                RecordName::SphericalRange,
                RecordName::SphericalAzimuth,
                RecordName::SphericalElevation,
            ]),
            cartesian_state: find(RecordName::CartesianInvalidState),
            spherical_state: find(RecordName::SphericalInvalidState),
        };
        if columns.cartesian.is_none() && columns.spherical.is_none() {
            let message = "a cloud has neither x, y and z nor range, azimuth and elevation".to_owned();
            return Err(Fault::new(
                Place::Whole,
                "head",
                message,
                "export the scan again with its coordinates",
            ));
        }
        Ok(columns)
    }

    /// Where the point is; `None` where the file says that it does not know.
    fn point(&self, row: &[RecordValue]) -> Option<DVec3> {
        let value = |at: usize| row[at].to_f64(&self.cloud.prototype[at].data_type).unwrap_or(f64::NAN);
        let valid = |state: Option<usize>| state.is_none_or(|at| value(at) == 0.0);
        if let Some([x, y, z]) = self.cartesian.filter(|_| valid(self.cartesian_state)) {
            return Some(DVec3::new(value(x), value(y), value(z)));
        }
        let [range, azimuth, elevation] = self.spherical.filter(|_| valid(self.spherical_state))?;
        let (sin_azimuth, cos_azimuth) = sin_cos(value(azimuth));
        let (sin_elevation, cos_elevation) = sin_cos(value(elevation));
        Some(
            value(range)
                * DVec3::new(cos_elevation * cos_azimuth, cos_elevation * sin_azimuth, sin_elevation),
        )
    }
}

/// From a cloud's own axes to the file's.
struct Pose {
    turn: DMat3,
    shift: DVec3,
}

impl Pose {
    /// Errors: a quaternion that turns nothing, or is far from unit length.
    fn of(cloud: &PointCloud) -> Result<Pose, Fault> {
        let Some(given) = &cloud.transform else {
            return Ok(Pose { turn: DMat3::IDENTITY, shift: DVec3::ZERO });
        };
        let (q, t) = (&given.rotation, &given.translation);
        let square = q.w * q.w + q.x * q.x + q.y * q.y + q.z * q.z;
        let fine = (square - 1.0).abs() < 1e-3;
        if !fine {
            let message =
                format!("a cloud's pose turns by ({}, {}, {}, {}), no unit quaternion", q.w, q.x, q.y, q.z);
            return Err(Fault::new(Place::Whole, "pose", message, "export the scan again"));
        }
        let s = 2.0 / square;
        let turn = DMat3::from_cols(
            DVec3::new(
                1.0 - s * (q.y * q.y + q.z * q.z),
                s * (q.x * q.y + q.w * q.z),
                s * (q.x * q.z - q.w * q.y),
            ),
            DVec3::new(
                s * (q.x * q.y - q.w * q.z),
                1.0 - s * (q.x * q.x + q.z * q.z),
                s * (q.y * q.z + q.w * q.x),
            ),
            DVec3::new(
                s * (q.x * q.z + q.w * q.y),
                s * (q.y * q.z - q.w * q.x),
                1.0 - s * (q.x * q.x + q.y * q.y),
            ),
        );
        Ok(Pose { turn, shift: DVec3::new(t.x, t.y, t.z) })
    }

    fn apply(&self, point: DVec3) -> DVec3 {
        self.turn * point + self.shift
    }
}
