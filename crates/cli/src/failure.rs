//! Why a command could not do its work.

use std::fmt::Display;
use std::path::Path;

use spec::Diagnostic;

/// Why a command could not do its work.
#[derive(Debug)]
pub enum Failure {
    /// The spec or its data cannot be used: every fault.
    Unusable(Vec<Diagnostic>),
    /// The machine refused: about what (a path), and why.
    Refused {
        /// The path.
        path: String,
        /// What is wrong.
        message: String,
    },
}

impl Failure {
    /// The machine refused something about `path`.
    pub fn refused(path: impl AsRef<Path>, message: impl Display) -> Failure {
        Failure::Refused { path: path.as_ref().display().to_string(), message: message.to_string() }
    }

    /// The exit code that goes with it.
    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Unusable(_) => 2,
            Failure::Refused { .. } => 3,
        }
    }
}
