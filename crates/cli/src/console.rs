//! Where results and findings go, and how.

use std::io::{ErrorKind, IsTerminal, Write};

use indicatif::{ProgressBar, ProgressStyle};
use serde::Serialize;

use crate::command::Format;
use crate::failure::Failure;

/// The two streams of a command: results, and findings with errors.
pub struct Console<'a> {
    /// Results.
    out: &'a mut dyn Write,
    /// Findings and errors.
    err: &'a mut dyn Write,
    /// How both are written.
    pub(crate) format: Format,
    /// Whether `err` may carry colours.
    pub(crate) colour: bool,
    /// Whether `err` is a terminal on which progress can be drawn.
    progress: bool,
}

impl<'a> Console<'a> {
    /// On plain streams: no colours, no progress.
    pub fn plain(out: &'a mut dyn Write, err: &'a mut dyn Write) -> Console<'a> {
        Console { out, err, format: Format::Text, colour: false, progress: false }
    }

    /// On the process's own streams: colours (unless `NO_COLOR` is set) and progress where stderr is a
    /// terminal.
    pub fn of_process(out: &'a mut dyn Write, err: &'a mut dyn Write) -> Console<'a> {
        let progress = std::io::stderr().is_terminal();
        let colour = progress && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
        Console { out, err, format: Format::Text, colour, progress }
    }

    /// Writes a result. A reader that has gone away is no error.
    pub(crate) fn print(&mut self, text: &str) -> Result<(), Failure> {
        match self.out.write_all(text.as_bytes()).and_then(|()| self.out.flush()) {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => {
                Err(Failure::refused("stdout", format!("the result cannot be written: {error}")))
            }
            _ => Ok(()),
        }
    }

    /// Writes a result as JSON.
    pub(crate) fn print_json(&mut self, value: &impl Serialize) -> Result<(), Failure> {
        let text = json(value)?;
        self.print(&text)
    }

    /// Writes findings or errors. Where stderr cannot be written there is no place left to say so;
    /// the exit code still does.
    pub(crate) fn tell(&mut self, text: &str) {
        let _ = self.err.write_all(text.as_bytes()).and_then(|()| self.err.flush());
    }

    /// A bar of `steps` on a terminal; hidden elsewhere and in JSON.
    pub(crate) fn progress(&self, steps: usize) -> ProgressBar {
        if !self.progress || self.format == Format::Json {
            return ProgressBar::hidden();
        }
        let style = ProgressStyle::with_template("{bar:30} {pos}/{len} {msg}");
        let bar = ProgressBar::new(steps as u64);
        match style {
            Ok(style) => bar.with_style(style),
            Err(_) => bar,
        }
    }
}

/// `value` as indented JSON with a line end. Errors: a number that is not finite.
pub(crate) fn json(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(|error| Failure::refused("report.json", format!("the result cannot be written: {error}")))
}
