//! XYZ: text with three numbers a line, and whatever a scanner writes after them.

use geom::DVec3;

use crate::bulk::{Bad, MOST, counted, nothing, too_many};
use crate::fault::{Fault, Place};
use crate::scan::Scan;
use crate::text::{Lines, decimal_comma, is_decimal_comma, no_number, number, words};

/// Blank lines and what follows `#` are passed over; so is a first line without a number: a heading.
pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    let mut points = Vec::with_capacity(room(bytes));
    let mut bad = Bad::default();
    let mut count = 0_u64;
    let mut first = true;
    for (line, content) in Lines::new(bytes) {
        let content = content.split(|byte| *byte == b'#').next().unwrap_or_default().trim_ascii();
        if content.is_empty() {
            continue;
        }
        if std::mem::take(&mut first) && is_heading(content) {
            continue;
        }
        let point = point(line, content)?;
        count += 1;
        if bad.passes(point, || Place::Line(line)) && count <= MOST {
            points.push(point);
        }
    }
    bad.settled("point")?;
    match count {
        0 => Err(nothing("points")),
        count if count > MOST => Err(too_many(count, "points")),
        _ => Ok(Scan::of_points(points)),
    }
}

/// Points to expect: one a line.
fn room(bytes: &[u8]) -> usize {
    let lines = bytes.iter().filter(|byte| **byte == b'\n').count() + 1;
    // Three numbers and what parts them take six bytes.
    lines.min(bytes.len() / 6 + 1).min(MOST as usize)
}

/// Words, none of which begins as a number does.
fn is_heading(content: &[u8]) -> bool {
    let begins = |word: &[u8]| word[0].is_ascii_digit() || matches!(word[0], b'+' | b'-' | b'.');
    !content.split(|byte| is_parting(*byte)).filter(|word| !word.is_empty()).any(begins)
        && words(content).all(|word| number(word).is_none())
}

fn is_parting(byte: u8) -> bool {
    byte.is_ascii_whitespace() || matches!(byte, b',' | b';')
}

/// Numbers are parted by semicolons; where there are none, by commas; where there are none, by blanks.
fn point(line: u64, content: &[u8]) -> Result<DVec3, Fault> {
    if content.contains(&b';') {
        return of_fields(line, content.split(|byte| *byte == b';').map(<[u8]>::trim_ascii));
    }
    if content.contains(&b',') {
        if let Some(word) = words(content).find(|word| is_decimal_comma(word) && *word != content) {
            return Err(decimal_comma(line, word));
        }
        let fields = || content.split(|byte| *byte == b',').map(<[u8]>::trim_ascii);
        if fields().skip(1).take(2).any(is_fraction) {
            return Err(decimal_comma(line, content));
        }
        return of_fields(line, fields());
    }
    of_fields(line, words(content))
}

/// Digits that no whole number is written with: 05.
fn is_fraction(field: &[u8]) -> bool {
    field.len() > 1 && field[0] == b'0' && field.iter().all(u8::is_ascii_digit)
}

fn of_fields<'a>(line: u64, mut fields: impl Iterator<Item = &'a [u8]>) -> Result<DVec3, Fault> {
    let mut values = [0.0; 3];
    for (k, slot) in values.iter_mut().enumerate() {
        let Some(field) = fields.next() else {
            let message = format!("{} where three or more are due", counted(k as u64, "number"));
            let help = "write x, y and z on every line; delete a first line that only counts the points";
            return Err(Fault::new(Place::Line(line), "numbers", message, help));
        };
        *slot = number(field).ok_or_else(|| no_number(line, field))?;
    }
    Ok(DVec3::from_array(values))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_parted_in_four_ways() {
        let text = b"x y z\n1 2.5 -3e1\n1,2.5,-3e1\n1; 2.5 ;-3e1;7\n\t1\t2.5\t-3e1 # here\n1, 2.5, -3e1, 9\r\n\r\n#\n";
        let scan = read(text).unwrap();
        assert_eq!(scan.points, vec![DVec3::new(1.0, 2.5, -30.0); 5]);
    }

    #[test]
    fn commas_as_decimal_marks_are_refused() {
        for text in ["1,5 2,5 3,5\n", "1,5;2,5;3,5\n", "0 0 0\n1,5\t2\t3\n", "1,05,2,5,3,5\n", "1,5 2 3\n"] {
            assert_eq!(read(text.as_bytes()).unwrap_err().code, "decimal-comma", "{text}");
        }
    }
}
