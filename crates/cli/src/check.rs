//! `hotside check`.

use std::path::Path;

use crate::command::Format;
use crate::console::Console;
use crate::failure::Failure;
use crate::reading::Job;
use crate::rendering;
use crate::summary::Summary;
use crate::writing;

/// Resolves a spec and prints its table and its findings; with `write`, writes its solved values into it.
/// Returns whether it is released.
///
/// Nothing is written where there is a failure: the drawn values would be lost for a header that cannot be
/// made so.
pub fn check(spec: &Path, write: bool, console: &mut Console<'_>) -> Result<bool, Failure> {
    let job = Job::read(spec)?;
    let released = job.layout.released();
    let written = match write {
        true if released && !job.layout.solved.is_empty() => Some(writing::write(spec, &job)?),
        true => Some(0),
        false => None,
    };
    let summary = Summary::of(&job, written);
    match console.format {
        Format::Text => console.print(&summary.to_string())?,
        Format::Json => console.print_json(&summary)?,
    }
    rendering::findings(&job.layout.findings, console);
    Ok(released)
}
