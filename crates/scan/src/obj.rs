//! OBJ: points (`v`) and faces (`f`); what else a file says of looks and groups is passed over.

use std::borrow::Cow;

use geom::DVec3;

use crate::bulk::{Bad, BadIndices, Fan, MOST, counted, nothing, too_many};
use crate::fault::{Fault, Place};
use crate::scan::Scan;
use crate::text::{Lines, no_number, number, shown, words};

/// Words that say nothing of where the surface is.
const PASSED_OVER: &str = "vt vn vp p o g s mg usemtl mtllib usemap maplib bevel c_interp d_interp lod \
                           shadow_obj trace_obj";

/// Words of curves and surfaces that are not made of flat faces.
const FREE_FORM: &str = "cstype deg bmat step curv curv2 surf parm trim hole scrv sp end con";

fn is_among(list: &str, word: &[u8]) -> bool {
    list.split(' ').any(|known| known.as_bytes() == word)
}

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    let begins_point = |content: &[u8]| words(content).next() == Some(b"v");
    let due = Statements(Lines::new(bytes)).filter(|(_, content)| begins_point(content)).count() as u64;
    if due == 0 {
        return Err(nothing("points"));
    }
    if due > MOST {
        return Err(too_many(due, "points"));
    }
    let mut reader = Reader {
        points: Vec::with_capacity(due as usize),
        fan: Fan::default(),
        bad: Bad::default(),
        bad_indices: BadIndices::new(due, 1),
    };
    for (line, content) in Statements(Lines::new(bytes)) {
        reader.take(line, &content)?;
    }
    reader.bad.settled("point")?;
    reader.bad_indices.settled()?;
    let triangles = reader.fan.into_triangles()?;
    Ok(Scan::of_surface(reader.points, triangles))
}

/// Lines, each with those that it goes on in: one that ends in a backslash goes on in the next.
struct Statements<'a>(Lines<'a>);

impl<'a> Iterator for Statements<'a> {
    type Item = (u64, Cow<'a, [u8]>);

    fn next(&mut self) -> Option<(u64, Cow<'a, [u8]>)> {
        let (number, line) = self.0.next()?;
        let Some(begin) = line.strip_suffix(b"\\").filter(|_| !line.starts_with(b"#")) else {
            return Some((number, Cow::Borrowed(line)));
        };
        let mut whole = begin.to_vec();
        for (_, line) in self.0.by_ref() {
            whole.push(b' ');
            let more = line.strip_suffix(b"\\");
            whole.extend_from_slice(more.unwrap_or(line));
            if more.is_none() {
                break;
            }
        }
        Some((number, Cow::Owned(whole)))
    }
}

/// A file as far as it is read.
struct Reader {
    points: Vec<DVec3>,
    fan: Fan,
    bad: Bad,
    bad_indices: BadIndices,
}

impl Reader {
    fn take(&mut self, line: u64, content: &[u8]) -> Result<(), Fault> {
        let mut words = words(content);
        let Some(word) = words.next() else { return Ok(()) };
        match word {
            b"v" => self.point(line, words),
            b"f" | b"fo" => self.face(line, words),
            b"l" => {
                let message = "\"l\" begins a line between points, which is not read".to_owned();
                let help = "give what it stands for as faces, or as a plain body in the spec (a capsule)";
                Err(Fault::new(Place::Line(line), "line-element", message, help))
            }
            _ if word.starts_with(b"#") || is_among(PASSED_OVER, word) => Ok(()),
            _ if is_among(FREE_FORM, word) => {
                let message =
                    format!("{} begins a free-form curve or surface, which is not read", shown(word));
                Err(Fault::new(Place::Line(line), "free-form", message, "export the surface as flat faces"))
            }
            _ => {
                let message = format!("{} is no word of an OBJ file", shown(word));
                Err(Fault::new(Place::Line(line), "word", message, "export the file again"))
            }
        }
    }

    /// Three numbers; a weight or a colour after them is passed over.
    fn point<'a>(&mut self, line: u64, mut words: impl Iterator<Item = &'a [u8]>) -> Result<(), Fault> {
        let mut values = [0.0; 3];
        for (k, slot) in values.iter_mut().enumerate() {
            let Some(word) = words.next() else {
                let message = format!("a point has {}; it must have 3", counted(k as u64, "number"));
                return Err(Fault::new(Place::Line(line), "numbers", message, "export the file again"));
            };
            *slot = number(word).ok_or_else(|| no_number(line, word))?;
        }
        let point = DVec3::from_array(values);
        self.bad.passes(point, || Place::Line(line));
        self.points.push(point);
        Ok(())
    }

    /// Corners as point, point/texture, point//normal or point/texture/normal; from 1, or back from the last
    /// point so far at -1.
    fn face<'a>(&mut self, line: u64, words: impl Iterator<Item = &'a [u8]>) -> Result<(), Fault> {
        for word in words.take_while(|word| !word.starts_with(b"#")) {
            let index = word.split(|byte| *byte == b'/').next().unwrap_or_default();
            let index: Option<i64> = std::str::from_utf8(index).ok().and_then(|index| index.parse().ok());
            let Some(index) = index.filter(|index| *index != 0) else {
                let message = format!("{} is no corner of a face: points count from 1", shown(word));
                return Err(Fault::new(Place::Line(line), "number", message, "export the file again"));
            };
            // -1 is the last point so far.
            let from_1 = if index > 0 { index } else { index.saturating_add(self.points.len() as i64 + 1) };
            let index = self.bad_indices.passed(from_1, || Place::Line(line));
            self.fan.corner(index);
        }
        self.fan.close(Place::Line(line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polygons_negative_indices_and_free_points() {
        let text = b"o a\nv 0 0 0\nv 1 0 0 # c\nv 1 1 0 1.0\nv 0 1 0\nv 5 5 5\nvn 0 0 1\nf 1//1 2//1 \\\n 3//1 4//1\nf -5/1/1 -4/1 -3\n";
        let scan = read(text).unwrap();
        assert_eq!(scan.triangles, [[0, 1, 2], [0, 2, 3], [0, 1, 2]]);
        assert_eq!(scan.loose, [4]);
    }

    #[test]
    fn indices_out_of_range_are_counted() {
        let fault = read(b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\nf 1 2 4\nf -4 2 9\n").unwrap_err();
        assert_eq!((fault.code, fault.place), ("index", Place::Line(5)));
        assert!(fault.message.contains("the first of 3"), "{}", fault.message);
    }
}
