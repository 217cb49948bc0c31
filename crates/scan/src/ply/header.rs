//! The head of a PLY file: which elements follow, and what each is made of.

use crate::fault::{Fault, Place};
use crate::text::{shown, words};

/// What a file says of itself.
pub(super) struct Header {
    pub(super) encoding: Encoding,
    pub(super) elements: Vec<Element>,
    /// Where the first element begins, in bytes and in lines.
    pub(super) body: usize,
    pub(super) lines: u64,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Encoding {
    Text,
    LittleEndian,
    BigEndian,
}

/// A table: so many rows of the same properties.
pub(super) struct Element {
    pub(super) name: String,
    pub(super) count: u64,
    pub(super) properties: Vec<Property>,
    pub(super) line: u64,
}

pub(super) struct Property {
    pub(super) name: String,
    pub(super) kind: Kind,
}

/// A number, or a list of numbers with their count before them.
#[derive(Clone, Copy)]
pub(super) enum Kind {
    One(Scalar),
    List { count: Scalar, item: Scalar },
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn of(word: &[u8]) -> Option<Scalar> {
        Some(match word {
            b"char" | b"int8" => Scalar::I8,
            b"uchar" | b"uint8" => Scalar::U8,
            b"short" | b"int16" => Scalar::I16,
            b"ushort" | b"uint16" => Scalar::U16,
            b"int" | b"int32" => Scalar::I32,
            b"uint" | b"uint32" => Scalar::U32,
            b"float" | b"float32" => Scalar::F32,
            b"double" | b"float64" => Scalar::F64,
            _ => return None,
        })
    }

    /// Bytes of one in a binary file.
    pub(super) fn size(self) -> usize {
        match self {
            Scalar::I8 | Scalar::U8 => 1,
            Scalar::I16 | Scalar::U16 => 2,
            Scalar::I32 | Scalar::U32 | Scalar::F32 => 4,
            Scalar::F64 => 8,
        }
    }

    fn is_whole(self) -> bool {
        !matches!(self, Scalar::F32 | Scalar::F64)
    }
}

/// Reads the head of a file that begins with `ply` and a line's end. Errors: a line that it cannot have, or no end.
pub(super) fn read(bytes: &[u8]) -> Result<Header, Fault> {
    let mut encoding = None;
    let mut elements: Vec<Element> = Vec::new();
    let ending: &[u8] = if bytes.starts_with(b"ply\r\n") { b"\r\n" } else { &bytes[3..4] };
    let (mut at, mut line) = (0, 0);
    while let Some(length) = bytes[at..].windows(ending.len()).position(|w| w == ending) {
        let content = &bytes[at..at + length];
        at += length + ending.len();
        line += 1;
        let parts: Vec<&[u8]> = words(content).take(6).collect();
        match parts.as_slice() {
            [b"ply"] if line == 1 => {}
            [] | [b"comment" | b"obj_info", ..] => {}
            [b"format", name, b"1.0"] if encoding.is_none() => encoding = Some(encoding_of(line, name)?),
            [b"element", name, count] => {
                if elements.iter().any(|element| element.name.as_bytes() == *name) {
                    let message = format!("a second element {}", shown(name));
                    return Err(Fault::new(Place::Line(line), "head", message, "export the file again"));
                }
                elements.push(element(line, name, count)?);
            }
            [b"property", rest @ ..] => {
                let property = property(rest).ok_or_else(|| strange(line, content))?;
                elements.last_mut().ok_or_else(|| strange(line, content))?.properties.push(property);
            }
            [b"end_header"] => {
                let encoding = encoding.ok_or_else(|| {
                    let message = "the head has no line `format`".to_owned();
                    Fault::new(Place::Line(line), "head", message, "export the file again as PLY 1.0")
                })?;
                return Ok(Header { encoding, elements, body: at, lines: line });
            }
            _ => return Err(strange(line, content)),
        }
    }
    let message = format!("the head ends after line {line} without `end_header`");
    Err(Fault::new(Place::Byte(bytes.len() as u64), "truncated", message, "copy or export the file again"))
}

fn strange(line: u64, content: &[u8]) -> Fault {
    let message = format!("{} cannot stand here in the head of a PLY file", shown(content));
    Fault::new(Place::Line(line), "head", message, "export the file again as PLY 1.0")
}

fn encoding_of(line: u64, name: &[u8]) -> Result<Encoding, Fault> {
    match name {
        b"ascii" => Ok(Encoding::Text),
        b"binary_little_endian" => Ok(Encoding::LittleEndian),
        b"binary_big_endian" => Ok(Encoding::BigEndian),
        _ => Err(strange(line, name)),
    }
}

fn element(line: u64, name: &[u8], count: &[u8]) -> Result<Element, Fault> {
    let name = String::from_utf8_lossy(name).into_owned();
    let number = std::str::from_utf8(count).ok().and_then(|count| count.parse().ok());
    let count = number.ok_or_else(|| {
        let message = format!("{} is not a count", shown(count));
        Fault::new(Place::Line(line), "head", message, "export the file again")
    })?;
    Ok(Element { name, count, properties: Vec::new(), line })
}

fn property(parts: &[&[u8]]) -> Option<Property> {
    let (kind, name) = match parts {
        [b"list", count, item, name] => {
            let count = Scalar::of(count).filter(|count| count.is_whole())?;
            (Kind::List { count, item: Scalar::of(item)? }, name)
        }
        [scalar, name] => (Kind::One(Scalar::of(scalar)?), name),
        _ => return None,
    };
    Some(Property { name: String::from_utf8_lossy(name).into_owned(), kind })
}
