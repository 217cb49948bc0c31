//! What is wrong with a scan's file.

/// Why a scan cannot be used, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where in the file.
    pub place: Place,
    /// A short fixed name, kebab-case.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// How to mend it.
    pub help: String,
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
