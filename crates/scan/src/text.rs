//! Lines and numbers of text files.

use crate::fault::{Fault, Place};

/// The lines of a text with their numbers, from 1; line ends are LF, CR LF or CR.
pub(crate) struct Lines<'a> {
    rest: &'a [u8],
    number: u64,
}

impl<'a> Lines<'a> {
    pub(crate) fn new(text: &'a [u8]) -> Lines<'a> {
        Lines::after(text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text), 0)
    }

    /// The lines of what comes after so many lines.
    pub(crate) fn after(rest: &'a [u8], lines: u64) -> Lines<'a> {
        Lines { rest, number: lines }
    }

    /// Bytes still to come.
    pub(crate) fn left(&self) -> u64 {
        self.rest.len() as u64
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = (u64, &'a [u8]);

    fn next(&mut self) -> Option<(u64, &'a [u8])> {
        if self.rest.is_empty() {
            return None;
        }
        let end = self.rest.iter().position(|b| matches!(b, b'\n' | b'\r')).unwrap_or(self.rest.len());
        let line = &self.rest[..end];
        let ending = if self.rest[end..].starts_with(b"\r\n") { 2 } else { 1 };
        self.rest = self.rest.get(end + ending..).unwrap_or_default();
        self.number += 1;
        Some((self.number, line))
    }
}

/// The words of a line, between blanks and tabs.
pub(crate) fn words(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty())
}

/// A number with a dot as decimal mark, rounded once to the nearest `f64`; `nan` and `inf` are numbers
/// here.
pub(crate) fn number(word: &[u8]) -> Option<f64> {
    std::str::from_utf8(word).ok()?.parse().ok()
}

/// The fault of a word that should be a number.
pub(crate) fn no_number(line: u64, word: &[u8]) -> Fault {
    if is_decimal_comma(word) {
        return decimal_comma(line, word);
    }
    let message = match word {
        [] => "nothing stands where a number is due".to_owned(),
        _ => format!("{} is not a number", shown(word)),
    };
    Fault::new(Place::Line(line), "number", message, "write numbers like 12.5 or -3e2")
}

/// The fault of a number with a comma as decimal mark.
pub(crate) fn decimal_comma(line: u64, word: &[u8]) -> Fault {
    let message = format!("{} has a comma as decimal mark", shown(word));
    Fault::new(Place::Line(line), "decimal-comma", message, "export with dots as decimal marks")
}

/// Whether the word is a number but for one comma, between digits, where its dot belongs.
pub(crate) fn is_decimal_comma(word: &[u8]) -> bool {
    let Some(at) = word.iter().position(|byte| *byte == b',') else { return false };
    let is_digit = |at: usize| word.get(at).is_some_and(u8::is_ascii_digit);
    let mut dotted = word.to_vec();
    dotted[at] = b'.';
    at > 0 && is_digit(at - 1) && is_digit(at + 1) && number(&dotted).is_some()
}

/// A word in quotes, cut short where it is long.
pub(crate) fn shown(word: &[u8]) -> String {
    let text = String::from_utf8_lossy(&word[..word.len().min(120)]);
    let mut short: String = text.chars().take(30).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    format!("`{}`", short.escape_debug())
}
