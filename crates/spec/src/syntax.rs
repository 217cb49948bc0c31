//! TOML syntax errors, reduced to those that a person can act on.

use std::ops::Range;

use crate::diagnostic::Fault;
use crate::source::Source;

/// The syntax errors of a file.
pub(crate) struct Breaks {
    /// At most one for each line, in the order of the file.
    pub faults: Vec<(Range<usize>, Fault)>,
    /// Whether tables and keys on other lines can be trusted to be what their author meant.
    pub rest_is_sound: bool,
}

/// Reduces the parser's errors: one for each line, and only the first where a bracket or quote was
/// left open, since all that follow are its consequences.
pub(crate) fn faults(source: &Source, errors: &[toml::de::Error]) -> Breaks {
    let end = source.text.len();
    let mut faults: Vec<(Range<usize>, &str)> =
        errors.iter().map(|error| (error.span().unwrap_or(0..0), error.message())).collect();
    faults.sort_by_key(|(span, _)| (span.start, span.end));
    let is_open = |message: &str| {
        ["unclosed", "multi-line", "recurs"].iter().any(|mark| message.contains(mark))
            || message.contains("comma")
    };
    let rest_is_sound = !faults.iter().any(|(_, message)| is_open(message));
    if !rest_is_sound {
        faults.truncate(1);
    }
    faults.dedup_by_key(|(span, _)| source.line_column(span.start).0);
    // The keys of a table that is there twice are there twice too.
    faults.dedup_by(|(later, message), (first, _)| {
        *message == DUPLICATE
            && is_header(source, first)
            && !source.text[first.end..later.start].contains("\n[")
    });
    let faults = faults
        .into_iter()
        .map(|(span, message)| (span.start.min(end)..span.end.min(end), fault(source, span, message)))
        .collect();
    Breaks { faults, rest_is_sound }
}

const DUPLICATE: &str = "duplicate key";

/// Whether a token is in a table's header.
fn is_header(source: &Source, span: &Range<usize>) -> bool {
    let line_start = source.text[..span.start].rfind('\n').map_or(0, |i| i + 1);
    source.text[line_start..span.start].trim_start().starts_with('[')
}

fn fault(source: &Source, span: Range<usize>, message: &str) -> Fault {
    if message == DUPLICATE {
        let key = source.text.get(span).unwrap_or_default();
        return Fault::new("duplicate-key", format!("`{key}` is there twice"))
            .label("the second one")
            .help("keep one of them");
    }
    if message.contains("recurs") {
        return Fault::new("too-deep", "brackets are nested too deeply")
            .label("too deep")
            .help("no key of this file needs more than three levels");
    }
    let help = if message.starts_with("string values must be quoted") {
        match source.text.get(span) {
            Some(text) if !text.trim().is_empty() && !text.contains('"') => {
                format!("write it in quotes: \"{}\"", text.trim())
            }
            _ => "write a value, texts in quotes".to_owned(),
        }
    } else if message.contains("comma") {
        "write a comma, or close the bracket that was left open before here".to_owned()
    } else {
        "the file has to be TOML (toml.io)".to_owned()
    };
    Fault::new("syntax", format!("TOML syntax: {message}")).label("here").help(help)
}
