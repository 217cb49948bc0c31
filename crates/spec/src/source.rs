//! A file's name and text, as every later message points into it.

use std::path::Path;
use std::sync::Arc;

use crate::diagnostic::Diagnostic;

/// The largest spec or shop file that is read, bytes: a header's spec takes a few thousand.
pub const LARGEST: usize = 1 << 20;

/// A file's name and text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// The name to show, as the user wrote it: a path.
    pub name: String,
    /// The text, without a byte order mark.
    pub text: Arc<str>,
}

impl Source {
    /// The text of a file's bytes.
    ///
    /// Errors: more than [`LARGEST`] bytes (`too-large`); not UTF-8 (`not-utf8`), with the byte's
    /// offset in the file and its line. A byte order mark is dropped.
    #[allow(clippy::result_large_err, reason = "once for each file")]
    pub fn from_bytes(name: &str, bytes: &[u8]) -> Result<Source, Diagnostic> {
        if bytes.len() > LARGEST {
            return Err(Diagnostic {
                code: "too-large",
                message: format!("the file holds {} bytes; the most that is read is {LARGEST}", bytes.len()),
                label: String::new(),
                help: "name a spec or a shop file; a whole header takes a few thousand bytes".to_owned(),
                source: Source { name: name.to_owned(), text: Arc::from("") },
                span: 0..0,
            });
        }
        match std::str::from_utf8(bytes) {
            Ok(text) => Ok(Source { name: name.to_owned(), text: Arc::from(without_mark(text)) }),
            Err(error) => Err(not_utf8(name, bytes, error.valid_up_to())),
        }
    }

    /// Line and column of a byte offset, both from 1; the column counts characters.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let mut end = offset.min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let before = &self.text[..end];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// The file's name without its folder and its ending.
    pub fn stem(&self) -> String {
        let stem = Path::new(&self.name).file_stem().unwrap_or_default();
        stem.to_string_lossy().into_owned()
    }
}

fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// The diagnostic for a file whose byte at `offset` is not UTF-8; shows it as U+FFFD.
fn not_utf8(name: &str, bytes: &[u8], offset: usize) -> Diagnostic {
    let lossy = String::from_utf8_lossy(bytes);
    let text = without_mark(&lossy);
    let start = offset - (lossy.len() - text.len()).min(offset);
    let source = Source { name: name.to_owned(), text: Arc::from(text) };
    let (line, _) = source.line_column(start);
    Diagnostic {
        code: "not-utf8",
        message: format!("byte {offset} of the file, in line {line}, is not UTF-8"),
        label: format!("byte 0x{:02x}", bytes[offset]),
        help: "save the file as UTF-8 text".to_owned(),
        span: start..start + char::REPLACEMENT_CHARACTER.len_utf8(),
        source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drops_a_byte_order_mark_and_counts_characters() {
        let source = Source::from_bytes("a/shed.twin.toml", "\u{feff}a = 1\nµb".as_bytes()).unwrap();
        assert_eq!(&*source.text, "a = 1\nµb");
        assert_eq!(source.line_column(8), (2, 2));
        assert_eq!(source.line_column(999), (2, 3));
        assert_eq!(source.stem(), "shed.twin");
    }

    #[test]
    fn says_where_a_file_is_not_utf8() {
        let fault = Source::from_bytes("x", b"a = 1\nb = \"\xff\"").unwrap_err();
        assert_eq!(fault.message, "byte 11 of the file, in line 2, is not UTF-8");
        assert_eq!(fault.source.text.get(fault.span), Some("\u{fffd}"));
    }

    #[test]
    fn refuses_ten_megabytes() {
        assert_eq!(Source::from_bytes("x", &vec![b'#'; 10 << 20]).unwrap_err().code, "too-large");
    }
}
