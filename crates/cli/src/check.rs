//! `hotside check`.

use std::path::Path;

use crate::command::Format;
use crate::console::Console;
use crate::failure::Failure;
use crate::reading::Job;
use crate::rendering;
use crate::summary::Summary;

/// Resolves a spec and prints its table and its findings. Returns whether it is released.
pub fn check(spec: &Path, console: &mut Console<'_>) -> Result<bool, Failure> {
    let job = Job::read(spec)?;
    let summary = Summary::of(&job);
    match console.format {
        Format::Text => console.print(&summary.to_string())?,
        Format::Json => console.print_json(&summary)?,
    }
    rendering::findings(&job.layout.findings, console);
    Ok(job.layout.released())
}
