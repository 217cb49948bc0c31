//! `hotside build`.

use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::command::Format;
use crate::console::Console;
use crate::failure::Failure;
use crate::packet;
use crate::packet_files;
use crate::reading::Job;
use crate::rendering;

/// What was written.
#[derive(Serialize)]
struct Built<'a> {
    packet: String,
    released: bool,
    files: Vec<&'a str>,
}

/// Writes the packet of a spec to `out`, or to `out/<spec name>`. Returns whether it is released.
pub fn build(spec: &Path, out: Option<&Path>, console: &mut Console<'_>) -> Result<bool, Failure> {
    let job = Job::read(spec)?;
    let files = packet_files::files(&job, console)?;
    let folder = out.map_or_else(|| PathBuf::from("out").join(&job.design.name), Path::to_path_buf);
    packet::write(&folder, &files)?;
    let released = job.layout.released();
    let built = Built {
        packet: folder.display().to_string(),
        released,
        files: files.keys().map(String::as_str).collect(),
    };
    match console.format {
        Format::Text => {
            let state = if released { "released" } else { "NOT RELEASED: see the failures" };
            console.print(&format!("{}: {} files, {state}\n", built.packet, built.files.len()))?;
        }
        Format::Json => console.print_json(&built)?,
    }
    rendering::findings(&job.layout.findings, console);
    Ok(released)
}
