//! How diagnostics and findings are shown.

use std::fmt::{self, Write};

use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode};
use serde::Serialize;
use spec::{Diagnostic, Finding};

use crate::command::Format;
use crate::console::{Console, json};
use crate::failure::Failure;
use crate::report::FindingRow;

/// Columns that a message is wrapped to.
const WIDTH: usize = 100;

/// Shows why a command failed.
pub fn failure(failure: &Failure, console: &mut Console<'_>) {
    let text = match (failure, console.format) {
        (Failure::Unusable(faults), Format::Text) => {
            faults.iter().map(|fault| drawn(fault, console.colour)).collect()
        }
        (Failure::Unusable(faults), Format::Json) => array(&faults.iter().map(Row::of).collect::<Vec<_>>()),
        (Failure::Refused { path, message }, Format::Text) => format!("error: {path}: {message}\n"),
        (Failure::Refused { path, message }, Format::Json) => array(&[Row::refused(path, message)]),
    };
    console.tell(&text);
}

/// Shows what was noticed: one line each, gravest first.
pub fn findings(findings: &[Finding], console: &mut Console<'_>) {
    let text = match console.format {
        Format::Text => findings.iter().map(line).collect(),
        Format::Json => array(&findings.iter().map(FindingRow::of).collect::<Vec<_>>()),
    };
    console.tell(&text);
}

fn line(finding: &Finding) -> String {
    let Finding { level, code, place, message, .. } = finding;
    format!("{} [{code}] {place}: {message}\n", level.name())
}

/// An array of rows as JSON; where a number is not finite, the words of that error.
fn array(rows: &[impl Serialize]) -> String {
    json(&rows).unwrap_or_else(|failure| format!("{failure:?}\n"))
}

/// A diagnostic for machines.
#[derive(Serialize)]
struct Row<'a> {
    code: &'a str,
    message: &'a str,
    help: &'a str,
    file: &'a str,
    line: Option<usize>,
    column: Option<usize>,
    token: Option<&'a str>,
}

impl<'a> Row<'a> {
    fn of(fault: &'a Diagnostic) -> Row<'a> {
        let (line, column) = fault.source.line_column(fault.span.start);
        Row {
            code: fault.code,
            message: &fault.message,
            help: &fault.help,
            file: &fault.source.name,
            line: Some(line),
            column: Some(column),
            token: fault.source.text.get(fault.span.clone()),
        }
    }

    fn refused(path: &'a str, message: &'a str) -> Row<'a> {
        Row { code: "refused", message, help: "", file: path, line: None, column: None, token: None }
    }
}

/// A diagnostic for people: message, file, line with the token marked, help.
fn drawn(fault: &Diagnostic, colour: bool) -> String {
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(WIDTH).with_links(false);
    let shown = Shown { fault, source: NamedSource::new(&fault.source.name, fault.source.text.to_string()) };
    let mut text = String::new();
    match handler.render_report(&mut text, &shown) {
        Ok(()) => text.lines().fold(String::new(), |mut all, line| {
            let _ = writeln!(all, "{}", line.trim_end());
            all
        }),
        Err(_) => format!("{fault}\n"),
    }
}

/// A diagnostic as miette takes it.
#[derive(Debug)]
struct Shown<'a> {
    fault: &'a Diagnostic,
    source: NamedSource<String>,
}

impl Shown<'_> {
    /// Whether there is text to show a part of.
    fn has_text(&self) -> bool {
        !self.fault.source.text.trim().is_empty()
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.has_text() {
            write!(f, "{}: ", self.fault.source.name)?;
        }
        f.write_str(&self.fault.message)
    }
}

impl std::error::Error for Shown<'_> {}

impl miette::Diagnostic for Shown<'_> {
    fn code(&self) -> Option<Box<dyn fmt::Display + '_>> {
        Some(Box::new(self.fault.code))
    }

    fn help(&self) -> Option<Box<dyn fmt::Display + '_>> {
        (!self.fault.help.is_empty()).then(|| Box::new(&self.fault.help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.has_text().then_some(&self.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let label = (!self.fault.label.is_empty()).then(|| self.fault.label.clone());
        let span = self.fault.span.clone();
        self.has_text()
            .then(|| Box::new(std::iter::once(LabeledSpan::new(label, span.start, span.len()))) as _)
    }
}
