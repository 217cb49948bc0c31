//! The files of a packet, in memory.

use std::collections::BTreeMap;

use sheets::csv;

use crate::console::{Console, json};
use crate::failure::Failure;
use crate::reading::Job;
use crate::report::Report;

/// Files by their path in the packet, with `/` between folders.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Every file of a job's packet. Errors: a sheet or a mesh that cannot be made of it.
pub fn files(job: &Job, console: &Console<'_>) -> Result<Files, Failure> {
    let progress = console.progress(job.layout.pieces.len() + 4);
    let mut files = Files::new();
    progress.set_message("report");
    files.insert("report.json".to_owned(), json(&Report::of(&job.design, &job.layout))?.into_bytes());
    progress.inc(1);
    tables(job, &mut files);
    progress.inc(1);
    progress.finish_and_clear();
    Ok(files)
}

fn tables(job: &Job, files: &mut Files) {
    let (design, layout) = (&job.design, &job.layout);
    let tables = [
        ("runs", csv::runs(design, layout)),
        ("pieces", csv::pieces(design, layout)),
        ("bends", csv::bends(design, layout)),
        ("cuts", csv::cuts(design, layout)),
        ("joints", csv::joints(design, layout)),
    ];
    for (name, text) in tables {
        files.insert(format!("sheets/{name}.csv"), text.into_bytes());
    }
}
