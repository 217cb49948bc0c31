//! The lines of a DXF file in pairs: a group code and its value.

use crate::fault::Fault;

/// A group code and its value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pair<'a> {
    pub code: i32,
    pub value: &'a str,
    /// Line of the file that the value stands in, from 1.
    pub line: usize,
}

impl Pair<'_> {
    /// The value as a number.
    pub fn number(&self) -> Result<f64, Fault> {
        let number: Option<f64> = self.value.parse().ok().filter(|v: &f64| v.is_finite() && v.abs() < 1e9);
        number.ok_or_else(|| {
            let message = format!(
                "line {}: \"{}\" is not a number that a drawing can have",
                self.line,
                shown(self.value)
            );
            Fault::new("dxf-number", message, EXPORT)
        })
    }
}

/// How to mend a file that is broken.
pub(crate) const EXPORT: &str = "export it again as ASCII DXF, R12 or later";

/// All pairs of a file.
pub(crate) fn pairs(text: &str) -> Result<Vec<Pair<'_>>, Fault> {
    if text.starts_with("AutoCAD Binary DXF") {
        return Err(Fault::new("dxf-binary", "the file is a binary DXF", EXPORT));
    }
    let lines: Vec<&str> = text.lines().collect();
    let mut pairs = Vec::with_capacity(lines.len() / 2);
    for (k, two) in lines.chunks(2).enumerate() {
        let code = two[0].trim().parse::<i32>();
        match (code, two.get(1)) {
            (Ok(code), Some(value)) => pairs.push(Pair { code, value: value.trim(), line: 2 * k + 2 }),
            _ if two.iter().all(|line| line.trim().is_empty()) => (),
            _ => {
                let message = format!(
                    "line {}: \"{}\" is not a DXF group code with a value",
                    2 * k + 1,
                    shown(two[0].trim())
                );
                return Err(Fault::new("dxf-pairs", message, EXPORT));
            }
        }
        if pairs.last().is_some_and(|pair| pair.code == 0 && pair.value == "EOF") {
            return Ok(pairs);
        }
    }
    Err(Fault::new("dxf-cut-short", "the file ends before its EOF mark", EXPORT))
}

/// The beginning of a text, for messages.
fn shown(text: &str) -> String {
    text.chars().take(40).collect()
}
