//! What is wrong with a scan's file.

use std::fmt;

/// Why a scan cannot be used, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where in the file: of several faults of a kind, the first.
    pub place: Place,
    /// A short fixed name, kebab-case.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// How to mend it.
    pub help: String,
}

impl Fault {
    pub(crate) fn new(place: Place, code: &'static str, message: String, help: &str) -> Fault {
        Fault { place, code, message, help: help.to_owned() }
    }
}

/// `message (at byte 84)`.
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.place {
            Place::Whole => write!(f, "{}", self.message),
            place => write!(f, "{} ({place})", self.message),
        }
    }
}

/// A place in a scan's file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The file as such.
    Whole,
    /// This many bytes from its begin.
    Byte(u64),
    /// A line, from 1.
    Line(u64),
}

/// `the file`, `at byte 84` or `line 7`.
impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Whole => write!(f, "the file"),
            Place::Byte(byte) => write!(f, "at byte {byte}"),
            Place::Line(line) => write!(f, "line {line}"),
        }
    }
}
