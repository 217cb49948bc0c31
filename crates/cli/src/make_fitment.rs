//! `hotside fitment`.

use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::thread;

use fitment::{Fitment, Progress, Settings, Variant};
use indicatif::ProgressBar;
use serde::Serialize;

use crate::cache::Cache;
use crate::command::Format;
use crate::console::Console;
use crate::failure::Failure;
use crate::fitment_faults::unprintable;
use crate::fitment_files;
use crate::packet;
use crate::reading::Job;
use crate::rendering;
use crate::report::Num;
use crate::solid_cache::SolidCache;

/// What was written. Mass in kg.
#[derive(Serialize)]
struct Written<'a> {
    fitment: String,
    released: bool,
    parts: usize,
    plates: usize,
    collars: usize,
    material: &'a str,
    mass: Num,
    files: Vec<&'a str>,
}

/// Writes the printable model of a spec to `out`, or to `out/<spec name>-fitment`. Returns whether the header is
/// released.
pub fn fitment(
    spec: &Path,
    out: Option<&Path>,
    variant: Variant,
    console: &mut Console<'_>,
) -> Result<bool, Failure> {
    let mut job = Job::read(spec)?;
    let folder = out
        .map_or_else(|| PathBuf::from("out").join(format!("{}-fitment", job.design.name)), Path::to_path_buf);
    packet::check(&folder)?;
    let threads = thread::available_parallelism().map_or(1, NonZero::get);
    let printer = job.design.shop.printer.clone();
    let settings = Settings { printer, variant, chord: fitment::settings::CHORD, threads };
    let model = made(&job, &settings, console)?;
    job.layout.findings.extend(model.findings.iter().cloned());
    job.layout.findings.sort_by_key(|finding| finding.level);
    let files = fitment_files::files(&job, &settings, &model)?;
    packet::write(&folder, &files)?;
    let released = job.layout.released();
    let written = Written {
        fitment: folder.display().to_string(),
        released,
        parts: model.parts.len(),
        plates: model.plates.len(),
        collars: model.collars.len(),
        material: &settings.printer.material,
        mass: Num(settings.printer.mass(model.plates.iter().map(|plate| plate.volume).sum())),
        files: files.keys().map(String::as_str).collect(),
    };
    match console.format {
        Format::Text => console.print(&written.to_string())?,
        Format::Json => console.print_json(&written)?,
    }
    rendering::findings(&job.layout.findings, console);
    Ok(released)
}

/// The model, with a bar on a terminal. Errors: why it cannot be printed, all at once.
fn made(job: &Job, settings: &Settings, console: &Console<'_>) -> Result<Fitment, Failure> {
    let bar = Bar(console.progress(1));
    // Nothing is counted before the header is divided.
    bar.0.set_message("dividing the header");
    bar.0.tick();
    let store = SolidCache(Cache::of_user());
    let made = fitment::make(&job.design, &job.layout, settings, &store, &bar);
    bar.0.finish_and_clear();
    made.map_err(|faults| unprintable(job, &faults))
}

/// A bar that shows what was done last. Threads may tell of it out of order: it never goes back.
struct Bar(ProgressBar);

impl Progress for Bar {
    fn done(&self, what: &str, done: usize, of: usize) {
        self.0.set_message(what.to_owned());
        self.0.set_length(of as u64);
        self.0.set_position(self.0.position().max(done as u64));
    }
}

impl std::fmt::Display for Written<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let state = if self.released { "released" } else { "NOT RELEASED: see the failures" };
        let counted =
            |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
        writeln!(
            f,
            "{}: {} on {}, {}, {:.0} g of {} if printed full; {state}",
            self.fitment,
            counted(self.parts, "part"),
            counted(self.plates, "plate"),
            counted(self.collars, "collar"),
            1e3 * self.mass.0,
            self.material,
        )
    }
}
