//! What the program noticed: failures, warnings and notes.

use crate::design::Accepted;

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Cutting by these sheets would scrap metal or hurt someone: not released.
    Failure,
    /// To be decided by a person before cutting.
    Warning,
    /// To be known.
    Note,
}

/// Something that was noticed, with its place and its number.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How grave it is.
    pub level: Level,
    /// A short fixed name, kebab-case: what a spec's `accept` names.
    pub code: &'static str,
    /// The part it is about: a run, piece, merge or group, by name.
    pub place: String,
    /// One sentence: what is wrong and how to mend it.
    pub message: String,
    /// The measured number, mm or degrees as the message says.
    pub value: Option<f64>,
    /// What it is held against, in the same unit.
    pub limit: Option<f64>,
}

/// Turns the failures that a spec accepts into warnings, with the reason.
pub fn accept(accepted: &[Accepted], findings: &mut [Finding]) {
    for finding in findings.iter_mut().filter(|f| f.level == Level::Failure) {
        let accepts = |a: &&Accepted| a.code == finding.code && a.place == finding.place;
        if let Some(accepted) = accepted.iter().find(accepts) {
            finding.level = Level::Warning;
            finding.message = format!("{} (accepted: {})", finding.message, accepted.why);
        }
    }
}

impl Level {
    /// `failure`, `warning` or `note`.
    pub fn name(self) -> &'static str {
        match self {
            Level::Failure => "failure",
            Level::Warning => "warning",
            Level::Note => "note",
        }
    }
}
