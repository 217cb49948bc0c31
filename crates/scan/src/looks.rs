//! What a file's first bytes look like, whatever its ending says.

use crate::fault::{Fault, Place};
use crate::format::Format;
use crate::text::{Lines, number, words};
use crate::{ply, stl};

/// How many bytes are looked at for a judgement about text.
const HEAD: usize = 4096;

/// Errors: the content is clearly something else than `format`.
pub(crate) fn check(bytes: &[u8], format: Format) -> Result<(), Fault> {
    if let Some((what, help)) = foreign(bytes).filter(|_| !stl::is_binary(bytes)) {
        let message = format!("the file is {what}, not {}", format.name());
        return Err(Fault::new(Place::Byte(0), "wrong-format", message, help));
    }
    match like(bytes) {
        Some(other) if other != format => {
            let (is, says) = (other.name(), format.name());
            let message = format!("the content looks like {is}, but the file's ending says {says}");
            let help = format!("rename the file to end in .{}", is.to_ascii_lowercase());
            Err(Fault::new(Place::Byte(0), "wrong-format", message, &help))
        }
        _ => text_or_not(bytes, format),
    }
}

/// Errors: control characters where text is due. (What is due in binary has its own mark at the begin.)
fn text_or_not(bytes: &[u8], format: Format) -> Result<(), Fault> {
    if !matches!(format, Format::Obj | Format::Xyz) {
        return Ok(());
    }
    let Some(at) = bytes.iter().take(HEAD).position(|byte| is_binary(*byte)) else { return Ok(()) };
    let message = format!("{} is text, but there is a byte of value {} here", format.name(), bytes[at]);
    Err(Fault::new(
        Place::Byte(at as u64),
        "not-text",
        message,
        "export the scan again, or correct the ending",
    ))
}

/// Whether the first bytes hold none that text never has.
pub(crate) fn is_text(bytes: &[u8]) -> bool {
    !bytes.iter().take(HEAD).any(|byte| is_binary(*byte))
}

fn is_binary(byte: u8) -> bool {
    byte < b' ' && !matches!(byte, b'\t' | b'\n' | b'\r' | 0x0c)
}

/// What is never a scan, by its first bytes, and how to mend it.
fn foreign(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    let (unpack, export, save) = ("unpack it", "export the scan itself", "save it as UTF-8");
    let marks: [(&[u8], &str, &str); 8] = [
        (b"PK\x03\x04", "a zip archive", unpack),
        (b"\x1f\x8b", "packed by gzip", unpack),
        (b"7z\xbc\xaf", "a 7z archive", unpack),
        (b"%PDF", "a PDF", export),
        (b"ISO-10303-21", "a STEP model", export),
        (b"\xff\xfe", "text in UTF-16", save),
        (b"\xfe\xff", "text in UTF-16", save),
        (b"<", "XML or a web page", export),
    ];
    marks.iter().find(|(mark, ..)| bytes.starts_with(mark)).map(|(_, what, help)| (*what, *help))
}

/// The format that the content clearly has.
fn like(bytes: &[u8]) -> Option<Format> {
    if ply::is_ply(bytes) {
        return Some(Format::Ply);
    }
    if bytes.starts_with(b"ASTM-E57") {
        return Some(Format::E57);
    }
    if bytes.starts_with(b"LASF") {
        return Some(Format::Las);
    }
    if stl::is_binary(bytes) {
        return Some(Format::Stl);
    }
    if is_text(bytes) { like_text(bytes) } else { None }
}

/// By the first line that says something.
fn like_text(bytes: &[u8]) -> Option<Format> {
    let head = &bytes[..bytes.len().min(HEAD)];
    let mut lines = Lines::new(head).map(|(_, line)| line);
    let line = lines.find(|line| words(line).next().is_some_and(|word| !word.starts_with(b"#")))?;
    let first: Vec<&[u8]> = words(line).take(4).collect();
    if first[0].eq_ignore_ascii_case(b"solid") {
        let second = lines.find(|line| words(line).next().is_some())?;
        let known = [&b"facet"[..], b"endsolid"];
        let word = words(second).next()?;
        return known.iter().any(|k| word.eq_ignore_ascii_case(k)).then_some(Format::Stl);
    }
    let numbers = |words: &[&[u8]]| words.len() == 3 && words.iter().all(|word| number(word).is_some());
    let obj = [&b"v"[..], b"mtllib", b"o", b"g", b"vn", b"vt", b"usemtl"];
    if obj.contains(&first[0]) && (first[0] != b"v" || numbers(&first[1..])) && first.len() > 1 {
        return Some(Format::Obj);
    }
    numbers(&first[..first.len().min(3)]).then_some(Format::Xyz)
}
