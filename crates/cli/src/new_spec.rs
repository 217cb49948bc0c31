//! `hotside new`.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;

use spec::starter;

use crate::command::{Format, Layout};
use crate::console::Console;
use crate::failure::Failure;

/// Writes a starter spec to `file`. Errors: it exists, or the machine refuses.
pub fn new(file: &Path, layout: Layout, console: &mut Console<'_>) -> Result<bool, Failure> {
    let text = starter(layout.into());
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(file)
        .and_then(|mut opened| opened.write_all(text.as_bytes()));
    written.map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => {
            Failure::refused(file, "the file exists and is left as it is; name another")
        }
        _ => Failure::refused(file, format!("the file cannot be written: {error}")),
    })?;
    match console.format {
        Format::Text => {
            let path = file.display();
            console.print(&format!("wrote {path}\nnext: hotside check {path}\n"))?;
        }
        Format::Json => console.print_json(&serde_json::json!({ "file": file.display().to_string() }))?,
    }
    Ok(true)
}
