//! What is wrong with an outline.

use std::fmt;

/// Why an outline cannot be made, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// A fixed code in kebab-case.
    pub code: &'static str,
    /// What is wrong, with its numbers.
    pub message: String,
    /// How to mend it.
    pub help: &'static str,
}

impl Fault {
    pub(crate) fn new(code: &'static str, message: impl Into<String>, help: &'static str) -> Fault {
        Fault { code, message: message.into(), help }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.message, self.help)
    }
}

impl std::error::Error for Fault {}
