//! The rows of a PLY file, number by number: text, or binary of either byte order.

use crate::bulk::truncated;
use crate::fault::{Fault, Place};
use crate::ply::header::{Kind, Scalar};
use crate::text::{Lines, no_number, number, shown, words};

/// Rows of numbers.
pub(super) trait Source {
    /// Goes to the next row.
    fn begin(&mut self) -> Result<(), Fault>;
    /// The next number of the row.
    fn real(&mut self, scalar: Scalar) -> Result<f64, Fault>;
    /// The next number of the row, which must be whole.
    fn whole(&mut self, scalar: Scalar) -> Result<i64, Fault>;
    /// Errors: the row goes on.
    fn end(&mut self) -> Result<(), Fault>;
    /// Errors: the file goes on.
    fn finish(&mut self) -> Result<(), Fault>;
    /// Where the row is.
    fn place(&self) -> Place;
    /// Bytes that are still to come.
    fn left(&self) -> u64;
    /// The fewest bytes that a property takes.
    fn least(&self, kind: Kind) -> u64;

    /// The next number of the row, the count of a list.
    fn count(&mut self, scalar: Scalar) -> Result<i64, Fault> {
        let count = self.whole(scalar)?;
        if count >= 0 {
            return Ok(count);
        }
        let message = format!("a list counts {count} numbers");
        Err(Fault::new(self.place(), "count", message, "export the file again"))
    }

    /// Passes over a property.
    fn skip(&mut self, kind: Kind) -> Result<(), Fault> {
        match kind {
            Kind::One(scalar) => self.real(scalar).map(|_| ()),
            Kind::List { count, item } => {
                for _ in 0..self.count(count)? {
                    self.real(item)?;
                }
                Ok(())
            }
        }
    }
}

fn goes_on(place: Place) -> Fault {
    let message = "the file goes on after the rows that its head counts".to_owned();
    Fault::new(place, "count", message, "export the file again: its counts are wrong")
}

/// One row a line; blank lines are passed over.
pub(super) struct Text<'a> {
    lines: Lines<'a>,
    line: u64,
    row: &'a [u8],
    length: u64,
}

impl<'a> Text<'a> {
    /// `lines` come before `body` in a file of `length` bytes.
    pub(super) fn new(body: &'a [u8], lines: u64, length: u64) -> Text<'a> {
        Text { lines: Lines::after(body, lines), line: lines, row: &[], length }
    }

    fn word(&mut self) -> Result<&'a [u8], Fault> {
        let row = self.row.trim_ascii_start();
        let end = row.iter().position(u8::is_ascii_whitespace).unwrap_or(row.len());
        let (word, rest) = row.split_at(end);
        self.row = rest;
        if word.is_empty() {
            let message = "the row ends before its last number".to_owned();
            return Err(Fault::new(self.place(), "numbers", message, "export the file again"));
        }
        Ok(word)
    }

    fn next_row(&mut self) -> Option<(u64, &'a [u8])> {
        self.lines.by_ref().find(|(_, row)| words(row).next().is_some())
    }
}

impl Source for Text<'_> {
    fn begin(&mut self) -> Result<(), Fault> {
        let Some((line, row)) = self.next_row() else {
            let message = format!("the text ends after line {} before the last row", self.line);
            return Err(truncated(self.length, message));
        };
        (self.line, self.row) = (line, row);
        Ok(())
    }

    fn real(&mut self, _: Scalar) -> Result<f64, Fault> {
        let word = self.word()?;
        number(word).ok_or_else(|| no_number(self.line, word))
    }

    fn whole(&mut self, _: Scalar) -> Result<i64, Fault> {
        let word = self.word()?;
        std::str::from_utf8(word).ok().and_then(|word| word.parse().ok()).ok_or_else(|| {
            let message = format!("{} is not a whole number", shown(word));
            Fault::new(self.place(), "number", message, "export the file again")
        })
    }

    fn end(&mut self) -> Result<(), Fault> {
        let Some(word) = words(self.row).next() else { return Ok(()) };
        let message = format!("{} stands after the row's last number", shown(word));
        Err(Fault::new(self.place(), "numbers", message, "export the file again"))
    }

    fn finish(&mut self) -> Result<(), Fault> {
        self.next_row().map_or(Ok(()), |(line, _)| Err(goes_on(Place::Line(line))))
    }

    fn place(&self) -> Place {
        Place::Line(self.line)
    }

    fn left(&self) -> u64 {
        self.lines.left() + 1
    }

    /// A digit and what parts it from the next.
    fn least(&self, _: Kind) -> u64 {
        2
    }
}

/// Numbers one after another.
pub(super) struct Binary<'a> {
    bytes: &'a [u8],
    at: usize,
    row: usize,
    big: bool,
}

impl<'a> Binary<'a> {
    /// The rows begin at byte `body`; `big`: the first byte of a number is its greatest.
    pub(super) fn new(bytes: &'a [u8], body: usize, big: bool) -> Binary<'a> {
        Binary { bytes, at: body, row: body, big }
    }

    fn take<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        let Some(taken) = self.bytes.get(self.at..self.at + N) else {
            return Err(truncated(self.bytes.len() as u64, "the file ends before its last row".to_owned()));
        };
        self.at += N;
        let mut out = [0; N];
        out.copy_from_slice(taken);
        if self.big {
            out.reverse();
        }
        Ok(out)
    }
}

impl Source for Binary<'_> {
    fn begin(&mut self) -> Result<(), Fault> {
        self.row = self.at;
        Ok(())
    }

    fn real(&mut self, scalar: Scalar) -> Result<f64, Fault> {
        match scalar {
            Scalar::F32 => Ok(f32::from_le_bytes(self.take()?).into()),
            Scalar::F64 => Ok(f64::from_le_bytes(self.take()?)),
            // All have at most 32 bits.
            _ => Ok(self.whole(scalar)? as f64),
        }
    }

    fn whole(&mut self, scalar: Scalar) -> Result<i64, Fault> {
        Ok(match scalar {
            Scalar::I8 => i8::from_le_bytes(self.take()?).into(),
            Scalar::U8 => u8::from_le_bytes(self.take()?).into(),
            Scalar::I16 => i16::from_le_bytes(self.take()?).into(),
            Scalar::U16 => u16::from_le_bytes(self.take()?).into(),
            Scalar::I32 => i32::from_le_bytes(self.take()?).into(),
            Scalar::U32 => u32::from_le_bytes(self.take()?).into(),
            Scalar::F32 | Scalar::F64 => {
                let value = self.real(scalar)?;
                // Checked by the comparison: beyond 2^53 and not-a-number do not pass.
                if value.trunc() != value || value.abs() > 9e15 {
                    let message = format!("{value} is not a whole number");
                    return Err(Fault::new(self.place(), "number", message, "export the file again"));
                }
                value as i64
            }
        })
    }

    fn end(&mut self) -> Result<(), Fault> {
        Ok(())
    }

    fn finish(&mut self) -> Result<(), Fault> {
        let rest = &self.bytes[self.at..];
        let blank = rest.iter().all(u8::is_ascii_whitespace);
        if blank { Ok(()) } else { Err(goes_on(Place::Byte(self.at as u64))) }
    }

    fn place(&self) -> Place {
        Place::Byte(self.row as u64)
    }

    fn left(&self) -> u64 {
        (self.bytes.len() - self.at) as u64
    }

    fn least(&self, kind: Kind) -> u64 {
        match kind {
            Kind::One(scalar) | Kind::List { count: scalar, .. } => scalar.size() as u64,
        }
    }
}
