//! What is wrong with a file: where, what, and how to mend it.

use std::fmt;
use std::ops::Range;

use crate::source::Source;

/// One fault of a file, as plain data; how it is shown is the caller's business.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// A short fixed name, kebab-case.
    pub code: &'static str,
    /// What is wrong: one sentence without a full stop.
    pub message: String,
    /// A few words to stand beside the marked token; may be empty.
    pub label: String,
    /// How to mend it; may be empty.
    pub help: String,
    /// The file that it is in.
    pub source: Source,
    /// The token, as byte offsets into the source's text.
    pub span: Range<usize>,
}

/// One line: `file:line:column: code: message | help`.
impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = self.source.line_column(self.span.start);
        write!(f, "{}:{line}:{column}: {}: {} | {}", self.source.name, self.code, self.message, self.help)
    }
}

/// A fault before its place is known.
#[derive(Clone, Debug)]
pub(crate) struct Fault {
    pub code: &'static str,
    pub message: String,
    pub label: String,
    pub help: String,
}

impl Fault {
    pub fn new(code: &'static str, message: impl Into<String>) -> Fault {
        Fault { code, message: message.into(), label: String::new(), help: String::new() }
    }

    pub fn label(mut self, label: impl Into<String>) -> Fault {
        self.label = label.into();
        self
    }

    pub fn help(mut self, help: impl Into<String>) -> Fault {
        self.help = help.into();
        self
    }
}

/// The known name nearest to a misspelt one, if any is near enough to be meant.
pub(crate) fn nearest<'a>(wanted: &str, known: &[&'a str]) -> Option<&'a str> {
    let lower = wanted.to_lowercase();
    let distance = |name: &str| strsim::damerau_levenshtein(&lower, &name.to_lowercase());
    let best = known.iter().min_by_key(|name| distance(name))?;
    let allowed = 1 + best.chars().count() / 4;
    (distance(best) <= allowed && distance(best) < best.chars().count()).then_some(best)
}

/// The help for a name that is not known: the nearest one, or all that there are.
pub(crate) fn known_names(wanted: &str, what: &str, known: &[&str]) -> String {
    if let Some(name) = nearest(wanted, known) {
        return format!("did you mean \"{name}\"?");
    }
    if known.is_empty() {
        return format!("the file has no {what}");
    }
    let quoted: Vec<String> = known.iter().map(|name| format!("\"{name}\"")).collect();
    format!("known: {}", quoted.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn suggests_only_what_is_near() {
        assert_eq!(nearest("primry", &["primary", "secondary"]), Some("primary"));
        assert_eq!(nearest("Wall", &["wall", "od"]), Some("wall"));
        assert_eq!(nearest("b", &["a"]), None);
        assert_eq!(nearest("turbine", &["primary"]), None);
    }
}
