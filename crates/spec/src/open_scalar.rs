//! Values that may be left open: "?", or "?" and the drawn value.

use geom::unit::Units;
use toml::Spanned;
use toml::de::DeValue;

use crate::key::{Kind, Limit};
use crate::scalar::{
    Trouble, Troubles, angle_text, bare, degrees, elements, in_turn, length, trouble, unit, vector,
    written_length,
};
use crate::value::{Figure, Value};

/// What stands behind the question mark of a value left open: nothing, or the drawn value.
pub(crate) fn drawn<'a>(value: &'a Spanned<DeValue>) -> Option<&'a str> {
    match value.get_ref() {
        DeValue::String(text) => text.trim().strip_prefix('?').map(str::trim),
        _ => None,
    }
}

/// A length, or one left open.
pub(crate) fn open_length(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    units: Option<Units>,
    limit: Limit,
) -> Result<Figure, Trouble> {
    match drawn(value) {
        Some("") => Ok(Figure::Open(None)),
        Some(text) => written_length(name, text, units, limit).map(|mm| Figure::Open(Some(mm))),
        None => length(kind, name, value, units, limit).map(Figure::Given),
    }
}

/// An angle, or one left open.
pub(crate) fn open_degrees(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    limit: &Limit,
) -> Result<Figure, Trouble> {
    match drawn(value) {
        Some("") => Ok(Figure::Open(None)),
        Some(text) => in_turn(name, angle_text(name, text)?, limit).map(|angle| Figure::Open(Some(angle))),
        None => degrees(kind, name, value, limit).map(Figure::Given),
    }
}

/// Three lengths, each of which may be left open.
pub(crate) fn open_point(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    units: Option<Units>,
) -> Result<Value, Troubles> {
    let read = |v: &Spanned<DeValue>| open_length(kind, name, v, units, Limit::ANY);
    elements::<_, 3>(kind, name, value, Figure::Given(0.0), read).map(Value::Figures)
}

/// A direction, or a bare "?".
pub(crate) fn open_direction(kind: &Kind, name: &str, value: &Spanned<DeValue>) -> Result<Value, Troubles> {
    match drawn(value) {
        Some("") => Ok(Value::Figure(Figure::Open(None))),
        Some(_) => {
            let message = format!("`{name}` is left open with more than \"?\"");
            let help = "a direction has no drawn value: write \"?\" alone, or three numbers";
            Err(vec![(value.span(), trouble("open-value", message, "left open", help))])
        }
        None => {
            vector(kind, name, value, |v| bare(kind, name, v)).and_then(|vector| unit(name, value, vector))
        }
    }
}
