//! Values that the spec left open, in the report.

use layout::Layout;
use layout::closing::{Solved, SolvedValue};
use serde::Serialize;

use super::number::{Num, Unit, unit};

/// A value that the spec left open.
#[derive(Debug, Serialize)]
pub struct SolvedRow<'a> {
    run: Option<&'a str>,
    key: &'a str,
    value: Value,
    unit: &'static str,
    drawn: Option<Num>,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
enum Value {
    Number(Num),
    Direction([Unit; 3]),
}

impl<'a> SolvedRow<'a> {
    /// A solved value of a layout.
    pub fn of(solved: &'a Solved, layout: &'a Layout) -> SolvedRow<'a> {
        let (value, unit) = match solved.value {
            SolvedValue::Length(mm) => (Value::Number(Num(mm)), "mm"),
            SolvedValue::Angle(rad) => (Value::Number(Num::degrees(rad)), "deg"),
            SolvedValue::Direction(v) => (Value::Direction(self::unit(v)), "direction"),
        };
        let drawn = solved.drawn.map(|drawn| match solved.value {
            SolvedValue::Angle(_) => Num::degrees(drawn),
            SolvedValue::Length(_) | SolvedValue::Direction(_) => Num(drawn),
        });
        SolvedRow {
            run: solved.run.map(|run| layout.runs[run].name.as_str()),
            key: &solved.key,
            value,
            unit,
            drawn,
        }
    }
}
