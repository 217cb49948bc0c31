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
        let accepts = |a: &&Accepted| finding.is_of(a);
        if let Some(accepted) = accepted.iter().find(accepts) {
            finding.level = Level::Warning;
            finding.message += &accepted.reason();
        }
    }
}

/// What of `accepted` accepts nothing, `findings` being all that there are, the accepted ones as warnings: it would
/// accept unseen what comes up there later.
pub fn unused(accepted: &[Accepted], findings: &[Finding]) -> Vec<Finding> {
    let idle = |accepted: &&Accepted| {
        let reason = accepted.reason();
        !findings.iter().any(|f| f.is_of(accepted) && f.message.ends_with(&reason))
    };
    let told = |accepted: &Accepted| Finding {
        level: Level::Warning,
        code: "accepts-nothing",
        place: accepted.place.clone(),
        message: format!(
            "the [[accept]] of `{}` in line {} accepts nothing: {}",
            accepted.code,
            accepted.line,
            accepted.why_idle(findings)
        ),
        value: None,
        limit: None,
    };
    accepted.iter().filter(idle).map(told).collect()
}

impl Finding {
    fn is_of(&self, accepted: &Accepted) -> bool {
        self.code == accepted.code && self.place == accepted.place
    }
}

impl Accepted {
    /// What is added to the finding that it accepts.
    fn reason(&self) -> String {
        format!(" (accepted: {})", self.why)
    }

    /// Why it accepts nothing, and what to do.
    fn why_idle(&self, findings: &[Finding]) -> String {
        if findings.iter().any(|f| f.is_of(self)) {
            return "what it names is no failure, or is accepted already; leave it out".to_owned();
        }
        let mut places: Vec<&str> =
            findings.iter().filter(|f| f.code == self.code).map(|f| f.place.as_str()).collect();
        places.dedup();
        let named: Vec<String> = places.iter().take(NAMED).map(|place| format!("\"{place}\"")).collect();
        let more = places.len().saturating_sub(NAMED);
        match (named.is_empty(), more) {
            (true, _) => format!("there is no finding `{}`; leave it out, or correct its `code`", self.code),
            (_, 0) => {
                format!("that finding stands at {}; leave it out, or correct its `at`", named.join(", "))
            }
            _ => {
                let named = named.join(", ");
                format!("that finding stands at {named} and {more} more; leave it out, or correct its `at`")
            }
        }
    }
}

/// How many places of a finding are named to whoever named another.
const NAMED: usize = 3;

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
