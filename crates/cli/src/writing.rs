//! Solved values written into their spec: `hotside check SPEC --write`.
//!
//! Only the tokens of the open values are replaced, where the reader found them, so every other byte of
//! the file stays: comments, layout, line ends. The new text is read and laid before anything is written.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

use geom::angle::{from_degrees, to_degrees};
use geom::unit::{Units, fixed};
use layout::closing::SolvedValue;
use spec::Source;

use crate::failure::Failure;
use crate::reading::{Job, laid};

/// Decimals written of mm, inches and degrees: with six values rounded so, and an end 2 m away, a run
/// still closes within 0.001 mm.
const DECIMALS: (usize, usize, usize) = (4, 6, 6);
/// Decimals of a direction.
const DIRECTION: usize = 9;
/// The most that rounding may open an end: mm, degrees.
const CLOSED: (f64, f64) = (0.01, 0.01);

/// Writes the solved values of `job` into its spec at `path`; gives their number.
///
/// The file is replaced in one step. Errors: the new text no longer closes; the file was changed since it
/// was read, or is read-only; the disk refuses. In each case the file stays as it is.
pub fn write(path: &Path, job: &Job) -> Result<usize, Failure> {
    let text = filled(job);
    check(path, job, &text)?;
    let place = fs::canonicalize(path).map_err(|error| Failure::refused(path, error))?;
    replace(&place, job.source.text.as_bytes(), text.as_bytes())?;
    Ok(job.layout.solved.len())
}

/// The spec's text with every open value's token replaced.
fn filled(job: &Job) -> String {
    let mut tokens: Vec<_> = job
        .layout
        .solved
        .iter()
        .map(|solved| (job.origins.find(&solved.key).1, token(job, solved.value)))
        .collect();
    tokens.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut text = job.source.text.to_string();
    for (span, token) in tokens {
        text.replace_range(span, &token);
    }
    text
}

/// A value as TOML, in the file's own unit.
fn token(job: &Job, value: SolvedValue) -> String {
    let (mm, inch, degrees) = DECIMALS;
    match (value, job.design.units) {
        // A file that names no unit is read in mm, and its lengths need one each.
        (SolvedValue::Length(length), Units::Millimetre) if job.origins.find("units").1.is_empty() => {
            format!("\"{} mm\"", short(length, mm))
        }
        (SolvedValue::Length(length), Units::Millimetre) => short(length, mm),
        (SolvedValue::Length(length), Units::Inch) => short(length / Units::Inch.in_millimetres(), inch),
        (SolvedValue::Angle(angle), _) => short(to_degrees(angle), degrees),
        (SolvedValue::Direction(v), _) => {
            let [x, y, z] = v.to_array().map(|part| short(part, DIRECTION));
            format!("[{x}, {y}, {z}]")
        }
    }
}

/// A number without the noughts at its end.
fn short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Reads and lays the new text: every run has to close as it did.
fn check(path: &Path, job: &Job, text: &str) -> Result<(), Failure> {
    let source = Source::from_bytes(&job.source.name, text.as_bytes())
        .map_err(|fault| Failure::Unusable(vec![fault]))?;
    let again = laid(&source, path)?;
    for (run, wanted) in again.runs.iter().zip(&job.design.runs) {
        let open = run.closure.gap > CLOSED.0 || run.closure.angle > from_degrees(CLOSED.1);
        if open && wanted.allowed_gap.is_none() {
            let message = format!(
                "run `{}`: with its values rounded to be written it would end {:.4} mm off",
                run.name, run.closure.gap
            );
            return Err(job.unusable(&format!("run.{}", run.name), "rounding", message));
        }
    }
    Ok(())
}

/// A byte order mark, which the reader drops.
const MARK: &[u8] = b"\xef\xbb\xbf";

/// Puts `new` in place of the file `place`, which still has to hold `old`.
fn replace(place: &Path, old: &[u8], new: &[u8]) -> Result<(), Failure> {
    let refused = |error: io::Error| Failure::refused(place, format!("the file cannot be written: {error}"));
    let permissions = fs::metadata(place).map_err(refused)?.permissions();
    if permissions.readonly() {
        return Err(Failure::refused(place, "the file is read-only and is left as it is"));
    }
    let mut name = std::ffi::OsString::from(".hotside-write.");
    name.push(place.file_name().unwrap_or_default());
    name.push(format!(".{}", std::process::id()));
    let beside = place.with_file_name(name);
    let written = File::create_new(&beside).map_err(refused).and_then(|mut file| {
        let found = fs::read(place).map_err(refused)?;
        let mark: &[u8] = if found.starts_with(MARK) { MARK } else { &[] };
        file.write_all(&[mark, new].concat()).and_then(|()| file.sync_all()).map_err(refused)?;
        fs::set_permissions(&beside, permissions).map_err(refused)?;
        if found[mark.len()..] != *old || fs::read(place).map_err(refused)? != found {
            return Err(Failure::refused(
                place,
                "the file was changed since it was read, and is left as it is",
            ));
        }
        fs::rename(&beside, place).map_err(refused)
    });
    if written.is_err() {
        // Nothing of it is wanted; where it cannot be removed it is a hidden file beside the spec.
        let _ = fs::remove_file(&beside);
    }
    written
}
