//! The way in: bytes of a known format.

use crate::fault::{Fault, Place};
use crate::format::Format;
use crate::scan::Scan;
use crate::{e57, las, looks, obj, ply, stl, xyz};

/// Reads a scan's file whole.
///
/// Points and triangles come in the file's order. Corners of equal coordinates are one point; points of a
/// cloud stay as they are.
///
/// Errors: what is wrong in the file, where, and how to mend it. Never more than a small multiple of the
/// file's own size is taken from memory.
pub fn read(bytes: &[u8], format: Format) -> Result<Scan, Fault> {
    if bytes.is_empty() {
        let help = "copy or export it again";
        return Err(Fault::new(Place::Whole, "empty", "the file is empty".to_owned(), help));
    }
    looks::check(bytes, format)?;
    match format {
        Format::Stl => stl::read(bytes),
        Format::Ply => ply::read(bytes),
        Format::Obj => obj::read(bytes),
        Format::Las => las::read(bytes),
        Format::Xyz => xyz::read(bytes),
        Format::E57 => e57::read(bytes),
    }
}
