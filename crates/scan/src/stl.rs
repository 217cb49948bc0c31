//! STL, binary and text: triangles without shared corners.

use geom::DVec3;

use crate::bulk::{Bad, MOST, counted, grouped, nothing, too_many, truncated};
use crate::fault::{Fault, Place};
use crate::looks;
use crate::scan::Scan;
use crate::text::{Lines, no_number, number, shown, words};
use crate::weld::Weld;

/// Bytes before the first triangle of a binary file: 80 of any content, and the count.
const HEAD: usize = 84;
/// Bytes of a triangle: its normal, three corners, two bytes of any content.
const RECORD: usize = 50;

/// Whether the length is that of a binary file with the count that it states. A text's is never: its
/// letters would count half a billion triangles.
pub(crate) fn is_binary(bytes: &[u8]) -> bool {
    count(bytes).is_some_and(|count| bytes.len() as u64 == length(count))
}

fn count(bytes: &[u8]) -> Option<u32> {
    let count = bytes.get(HEAD - 4..HEAD)?;
    Some(u32::from_le_bytes(count.try_into().ok()?))
}

fn length(count: u32) -> u64 {
    HEAD as u64 + RECORD as u64 * u64::from(count)
}

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    if is_binary(bytes) {
        return binary(bytes);
    }
    if !looks::is_text(bytes) {
        return Err(wrong_length(bytes));
    }
    text(bytes)
}

/// The fault of a binary file whose length does not fit its count.
fn wrong_length(bytes: &[u8]) -> Fault {
    let have = bytes.len() as u64;
    let Some(count) = count(bytes) else {
        return truncated(have, format!("a binary STL begins with {HEAD} bytes; the file has {have}"));
    };
    let due = length(count);
    let states =
        format!("the head states {}, which take {} bytes", counted(count.into(), "triangle"), grouped(due));
    if have < due {
        let held = (bytes.len() - HEAD) / RECORD;
        return truncated(
            have,
            format!("{states}; the file has {} and holds {}", grouped(have), grouped(held as u64)),
        );
    }
    let message = format!("{states}, but the file has {}", grouped(have));
    Fault::new(Place::Byte(HEAD as u64 - 4), "count", message, "export the file again: its count is wrong")
}

fn binary(bytes: &[u8]) -> Result<Scan, Fault> {
    let records = bytes[HEAD..].chunks_exact(RECORD);
    let count = records.len() as u64;
    if count == 0 {
        return Err(nothing("triangles"));
    }
    if count > MOST {
        return Err(too_many(count, "triangles"));
    }
    // A closed surface has half as many points as triangles.
    let mut weld = Weld::with_room(records.len() / 2 + 4);
    let mut triangles = Vec::with_capacity(records.len());
    let mut bad = Bad::default();
    for (k, record) in records.enumerate() {
        let corner = |corner: usize| single_point(&record[12 + 12 * corner..]);
        let corners = [corner(0), corner(1), corner(2)];
        let place = || Place::Byte((HEAD + k * RECORD) as u64);
        if corners.iter().all(|corner| bad.passes(*corner, place)) {
            triangles.push(corners.map(|corner| weld.index_of(corner)));
        }
    }
    bad.settled("corner")?;
    Ok(Scan::of_triangles(weld.into_points(), triangles))
}

/// Three numbers in single precision, exactly.
fn single_point(bytes: &[u8]) -> DVec3 {
    let value = |k: usize| {
        let bytes = [bytes[4 * k], bytes[4 * k + 1], bytes[4 * k + 2], bytes[4 * k + 3]];
        f64::from(f32::from_le_bytes(bytes))
    };
    DVec3::new(value(0), value(1), value(2))
}

fn text(bytes: &[u8]) -> Result<Scan, Fault> {
    let mut reader = TextReader {
        weld: Weld::with_room(0),
        triangles: Vec::new(),
        bad: Bad::default(),
        count: 0,
        solid: false,
        facet: None,
    };
    let mut last = 0;
    for (line, content) in Lines::new(bytes) {
        reader.take(line, content)?;
        last = line;
    }
    if reader.solid {
        let message = format!("the text ends after line {last} without `endsolid`");
        return Err(truncated(bytes.len() as u64, message));
    }
    reader.bad.settled("corner")?;
    match reader.count {
        0 => Err(nothing("triangles")),
        count if count > MOST => Err(too_many(count, "triangles")),
        _ => Ok(Scan::of_triangles(reader.weld.into_points(), reader.triangles)),
    }
}

/// A text as far as it is read.
struct TextReader {
    weld: Weld,
    triangles: Vec<[u32; 3]>,
    bad: Bad,
    count: u64,
    /// Between `solid` and `endsolid`.
    solid: bool,
    /// The corners so far, between `facet` and `endfacet`.
    facet: Option<Vec<DVec3>>,
}

impl TextReader {
    fn take(&mut self, line: u64, content: &[u8]) -> Result<(), Fault> {
        let mut words = words(content);
        let Some(word) = words.next() else { return Ok(()) };
        match (word.to_ascii_lowercase().as_slice(), &mut self.facet) {
            (b"vertex", Some(corners)) => corners.push(vertex(line, words)?),
            (b"outer" | b"endloop", Some(_)) => {}
            (b"endfacet", Some(_)) => self.close(line)?,
            (b"facet", None) if self.solid => self.facet = Some(Vec::with_capacity(3)),
            (b"endsolid", None) if self.solid => self.solid = false,
            (b"solid", None) if !self.solid => self.solid = true,
            _ => return Err(self.unexpected(line, word)),
        }
        Ok(())
    }

    fn close(&mut self, line: u64) -> Result<(), Fault> {
        let corners = self.facet.take().unwrap_or_default();
        let Ok(corners) = <[DVec3; 3]>::try_from(corners.as_slice()) else {
            let message =
                format!("a facet ends here with {}; it must have 3", counted(corners.len() as u64, "corner"));
            return Err(Fault::new(Place::Line(line), "corners", message, "export the scan as triangles"));
        };
        self.count += 1;
        if corners.iter().all(|corner| self.bad.passes(*corner, || Place::Line(line))) && self.count <= MOST {
            let weld = &mut self.weld;
            self.triangles.push(corners.map(|corner| weld.index_of(corner)));
        }
        Ok(())
    }

    fn unexpected(&self, line: u64, word: &[u8]) -> Fault {
        let due = match (self.solid, &self.facet) {
            (_, Some(_)) => "`vertex` or `endfacet`",
            (true, None) => "`facet` or `endsolid`",
            (false, None) => "`solid`",
        };
        let message = format!("{} where {due} is due", shown(word));
        Fault::new(Place::Line(line), "word", message, "export the file again as STL, binary if you can")
    }
}

fn vertex<'a>(line: u64, words: impl Iterator<Item = &'a [u8]>) -> Result<DVec3, Fault> {
    let mut values = [0.0; 3];
    let mut count = 0;
    for word in words {
        let value = number(word).ok_or_else(|| no_number(line, word))?;
        if let Some(slot) = values.get_mut(count) {
            *slot = value;
        }
        count += 1;
    }
    if count != 3 {
        let message = format!("a vertex has {}; it must have 3", counted(count as u64, "number"));
        return Err(Fault::new(Place::Line(line), "numbers", message, "export the file again"));
    }
    Ok(DVec3::from_array(values))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two triangles that share an edge.
    fn two() -> Vec<u8> {
        let mut bytes = vec![b' '; HEAD - 4];
        bytes.extend(2_u32.to_le_bytes());
        for corners in
            [[0.0, 0.0, 0.0, 1.5, 0.0, 0.0, 0.0, 1.0, 0.0], [1.5, -0.0, 0.0, 1.5, 1.0, 0.1, 0.0, 1.0, 0.0]]
        {
            bytes.extend([0; 12]);
            bytes.extend(corners.iter().flat_map(|value: &f32| value.to_le_bytes()));
            bytes.extend([0; 2]);
        }
        bytes
    }

    #[test]
    fn shared_corners_are_one_point() {
        let scan = read(&two()).unwrap();
        assert_eq!(scan.triangles, [[0, 1, 2], [1, 3, 2]]);
        assert_eq!(scan.points[3], DVec3::new(1.5, 1.0, f64::from(0.1_f32)));
        assert!(scan.loose.is_empty());
    }

    #[test]
    fn text_keeps_double_precision() {
        let text = b"solid a\n facet normal 0 0 1\n  outer loop\n   vertex 0.1 0 0\n   vertex 1 0 0\n   VERTEX 0 1 0\n  endloop\n endfacet\nendsolid a\n";
        let scan = read(text).unwrap();
        assert_eq!(scan.points[0].x, 0.1);
        assert_eq!(scan.triangles, [[0, 1, 2]]);
    }

    #[test]
    fn a_wrong_count_is_refused() {
        let mut bytes = two();
        bytes[80..84].copy_from_slice(&u32::MAX.to_le_bytes());
        assert_eq!(read(&bytes).unwrap_err().code, "truncated");
        bytes[80..84].copy_from_slice(&1_u32.to_le_bytes());
        assert_eq!(read(&bytes).unwrap_err().code, "count");
    }
}
