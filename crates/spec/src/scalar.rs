//! One value of a file, checked against its key's kind: lengths, angles, points, directions, words.

use std::ops::Range;

use geom::unit::{LengthError, Units, parse_length};
use geom::{DVec3, angle};
use toml::Spanned;
use toml::de::DeValue;
use tube::alloy::{ALLOYS, alloy};
use tube::section::{pipe, pipe_names};

use crate::diagnostic::Fault;
use crate::key::{Kind, Limit};
use crate::open_scalar::{drawn, open_degrees, open_direction, open_length, open_point};
use crate::value::Value;

/// The longest length that is read, mm: 1000 m. Above it sums would lose what a bench can measure.
const LONGEST: f64 = 1e6;

/// The heaviest part that is bought whole, kg.
const HEAVIEST: f64 = 1000.0;

/// Why a value cannot be used.
#[derive(Clone, Debug)]
pub(crate) enum Trouble {
    /// A bare length, and the file has no `units`.
    Unitless,
    /// Anything else.
    Fault(Fault),
}

/// Troubles and their places.
pub(crate) type Troubles = Vec<(Range<usize>, Trouble)>;

/// Reads the value of key `name`; tables and lists of tables are the reader's.
pub(crate) fn read(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    units: Option<Units>,
) -> Result<Value, Troubles> {
    let read = match kind {
        Kind::Point => return vector(kind, name, value, |v| length(kind, name, v, units, Limit::ANY)),
        Kind::Direction => {
            return vector(kind, name, value, |v| bare(kind, name, v)).and_then(|v| unit(name, value, v));
        }
        Kind::Numbers => return vector(kind, name, value, |v| bare(kind, name, v)),
        Kind::Lengths(limit) => return vector(kind, name, value, |v| length(kind, name, v, units, *limit)),
        Kind::OpenPoint => return open_point(kind, name, value, units),
        Kind::OpenDirection => return open_direction(kind, name, value),
        Kind::Pair => return pair(kind, name, value, units),
        Kind::Spot => return spot(kind, name, value, units),
        Kind::Names => return names(kind, name, value, |text| Ok(text.to_owned())),
        Kind::Words(words) => {
            return names(kind, name, value, |text| word(name, text, words).map(|_| text.to_owned()));
        }
        Kind::WordOrTable(known, _) => match text(kind, name, value) {
            Ok(text) if text == *known => Ok(Value::Text(text.to_owned())),
            _ => Err(wrong_type(kind, name, value)),
        },
        Kind::Text => text(kind, name, value).map(|t| Value::Text(t.to_owned())),
        Kind::Choice(words) => text(kind, name, value).and_then(|t| word(name, t, words)),
        Kind::Alloy => text(kind, name, value).and_then(named_alloy),
        Kind::Pipe => text(kind, name, value).and_then(pipe_size),
        Kind::Length(limit) => length(kind, name, value, units, *limit).map(Value::Number),
        Kind::Wall => wall(kind, name, value, units).map(Value::Number),
        Kind::Angle(limit) => degrees(kind, name, value, limit).map(Value::Number),
        Kind::Place => place(kind, name, value, units),
        Kind::Mass => mass(kind, name, value).map(Value::Number),
        Kind::Number(limit) => bare_in(kind, name, value, limit).map(Value::Number),
        Kind::OpenLength(limit) => open_length(kind, name, value, units, *limit).map(Value::Figure),
        Kind::OpenAngle(limit) => open_degrees(kind, name, value, limit).map(Value::Figure),
        Kind::Temperature(limit) => temperature(kind, name, value, limit).map(Value::Number),
        Kind::Count(low, high) => count(kind, name, value, *low, *high).map(Value::Number),
        Kind::Table(_) | Kind::Named(_) | Kind::List(_) => Err(wrong_type(kind, name, value)),
    };
    read.map_err(|trouble| vec![(value.span(), trouble)])
}

/// The trouble with a value of another type than `kind` has.
pub(crate) fn wrong_type(kind: &Kind, name: &str, value: &Spanned<DeValue>) -> Trouble {
    if is_open(value) {
        return Trouble::Fault(
            Fault::new("open-value", format!("`{name}` cannot be left open"))
                .label("left open")
                .help("only values of a path (straight, bend, rotate, out, back, a coordinate of at), a run's `inside` and a group's `target` are solved: write the value"),
        );
    }
    let is = match value.get_ref() {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    let wanted = kind.words();
    trouble("wrong-type", format!("`{name}` has to be {wanted}"), format!("this is {is}"), String::new())
}

pub(crate) fn trouble(
    code: &'static str,
    message: String,
    label: impl Into<String>,
    help: impl Into<String>,
) -> Trouble {
    Trouble::Fault(Fault::new(code, message).label(label).help(help))
}

fn is_open(value: &Spanned<DeValue>) -> bool {
    drawn(value).is_some()
}

fn text<'a>(kind: &Kind, name: &str, value: &'a Spanned<DeValue>) -> Result<&'a str, Trouble> {
    match value.get_ref() {
        DeValue::String(text) if text.trim() != "?" => Ok(text.as_ref()),
        _ => Err(wrong_type(kind, name, value)),
    }
}

fn word(name: &str, text: &str, words: &[&str]) -> Result<Value, Trouble> {
    if words.contains(&text) {
        return Ok(Value::Text(text.to_owned()));
    }
    let message = format!("`{name}` cannot be \"{text}\"");
    let help = format!("write \"{}\"", words.join("\" or \""));
    Err(trouble("unknown-word", message, "not one of its words", help))
}

fn named_alloy(text: &str) -> Result<Value, Trouble> {
    let names: Vec<&str> = ALLOYS.iter().map(|a| a.name).collect();
    alloy(text).map(Value::Alloy).ok_or_else(|| {
        let message = format!("there is no alloy \"{text}\"");
        let help = format!("known: \"{}\"", names.join("\", \""));
        trouble("unknown-alloy", message, "not a known alloy", help)
    })
}

/// Reads `pipe 1-1/2 sch 10S`.
fn pipe_size(text: &str) -> Result<Value, Trouble> {
    let lower = text.trim().to_ascii_lowercase();
    let parts = lower.strip_prefix("pipe").and_then(|rest| rest.split_once("sch"));
    let found = parts.and_then(|(nominal, schedule)| {
        let nominal = nominal.split_whitespace().collect::<Vec<_>>().join("-");
        pipe(&nominal, schedule.trim_start_matches("edule"))
    });
    found.map(Value::Pipe).ok_or_else(|| {
        let (sizes, schedules) = pipe_names();
        let (sizes, schedules) = (sizes.join(", "), schedules.join(", "));
        let help = format!("write \"pipe SIZE sch SCHEDULE\"; sizes: {sizes}; schedules: {schedules}");
        trouble("unknown-pipe", format!("there is no pipe size \"{text}\""), "not a known pipe size", help)
    })
}

/// A number as TOML has it; `None` for any other type.
fn number(value: &DeValue) -> Option<f64> {
    match value {
        DeValue::Float(float) => float.as_str().parse().ok(),
        DeValue::Integer(int) if int.radix() == 10 => int.as_str().parse().ok(),
        DeValue::Integer(int) => i64::from_str_radix(int.as_str(), int.radix()).ok().map(|i| i as f64),
        _ => None,
    }
}

fn finite(name: &str, value: f64) -> Result<f64, Trouble> {
    if value.is_finite() { Ok(value) } else { Err(not_finite(name)) }
}

fn not_finite(name: &str) -> Trouble {
    let message = format!("`{name}` is not a finite number");
    trouble("not-finite", message, "not finite", "write a plain decimal number")
}

/// Checks a number against its limit; `said` is the number with its unit.
fn limited(name: &str, value: f64, said: String, limit: &Limit) -> Result<(), Trouble> {
    if limit.allows(value) {
        return Ok(());
    }
    let message = format!("`{name}` is {said}; it has to be {}", limit.words());
    Err(trouble(limit.code, message, "outside its range", limit.mend))
}

/// A length as messages say it: in the file's units, to a millionth.
pub(crate) fn length_text(mm: f64, units: Option<Units>) -> String {
    let units = units.unwrap_or(Units::Millimetre);
    format!("{} {}", plain(mm / units.in_millimetres()), units.symbol())
}

/// A number to a millionth, without the digits that arithmetic leaves behind.
fn plain(value: f64) -> String {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 && value != 0.0 { format!("{value:e}") } else { rounded.to_string() }
}

/// A bare number, for directions.
pub(crate) fn bare(kind: &Kind, name: &str, value: &Spanned<DeValue>) -> Result<f64, Trouble> {
    let number = number(value.get_ref()).ok_or_else(|| wrong_type(kind, name, value))?;
    finite(name, number)
}

/// A bare number in its range.
fn bare_in(kind: &Kind, name: &str, value: &Spanned<DeValue>, limit: &Limit) -> Result<f64, Trouble> {
    let number = bare(kind, name, value)?;
    limited(name, number, plain(number), limit)?;
    Ok(number)
}

/// A length in mm, its limit in the unit that it was written in.
pub(crate) fn length(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    units: Option<Units>,
    limit: Limit,
) -> Result<f64, Trouble> {
    match value.get_ref() {
        DeValue::String(text) if !is_open(value) => written_length(name, text, units, limit),
        other => {
            let number = number(other).ok_or_else(|| wrong_type(kind, name, value))?;
            let number = finite(name, number)?;
            in_reach(name, number * units.ok_or(Trouble::Unitless)?.in_millimetres(), units, limit)
        }
    }
}

/// A length in mm, written as a text.
pub(crate) fn written_length(
    name: &str,
    text: &str,
    units: Option<Units>,
    limit: Limit,
) -> Result<f64, Trouble> {
    let mm = parse_length(text, units).map_err(|error| bad_length(name, text, error))?;
    in_reach(name, mm, units, limit)
}

fn in_reach(name: &str, mm: f64, units: Option<Units>, limit: Limit) -> Result<f64, Trouble> {
    if mm.abs() > LONGEST {
        let message = format!("`{name}` is longer than 1000 m");
        return Err(trouble("too-long", message, "too long", "no header is that long: check its unit"));
    }
    limited(name, mm, length_text(mm, units), &limit)?;
    Ok(mm)
}

fn bad_length(name: &str, text: &str, error: LengthError) -> Trouble {
    let lower = text.trim().to_ascii_lowercase();
    if lower.starts_with("pipe") || lower.starts_with("nps") {
        let message = format!("`{name}` is a length, and \"{text}\" names a pipe");
        let help = "write size = \"pipe 1-1/2 sch 10S\" instead of od and wall";
        return trouble("pipe-as-length", message, "a pipe size", help);
    }
    match error {
        LengthError::NoUnit => Trouble::Unitless,
        LengthError::ZeroDenominator => {
            trouble("zero-denominator", format!("`{name}` divides by nought"), "over nought", "")
        }
        LengthError::UnknownUnit(unit) if !unit.chars().all(char::is_alphabetic) => {
            trouble("bad-length", format!("`{name}`: \"{text}\" is not a length"), "not a length", LENGTHS)
        }
        LengthError::UnknownUnit(unit) => {
            let message = format!("`{name}` has the unknown unit \"{unit}\"");
            trouble("unknown-unit", message, "unknown unit", "lengths take mm, cm, m or in")
        }
        LengthError::NotFinite => not_finite(name),
        LengthError::Empty => trouble("bad-length", format!("`{name}` is empty"), "no length", LENGTHS),
        LengthError::NotANumber(part) => {
            let help =
                if part.contains(',') { "decimals are written with a dot: \"47.6 mm\"" } else { LENGTHS };
            trouble("bad-length", format!("`{name}`: \"{part}\" is not a number"), "not a number", help)
        }
    }
}

const LENGTHS: &str = "write a length like \"47.6 mm\", \"0.049 in\" or \"1 7/8 in\"";

/// Tube gauge (BWG) and British SWG walls as tabulated by the PyPI library fluids (t_from_gauge).
const GAUGES: &str = "write the decimal wall that the stock is sold by, like \"1.65 mm\" or \"0.065 in\"; gauge \
    tables differ: as tube gauge (BWG) 14, 16, 18, 20 are 0.083, 0.065, 0.049, 0.035 in, as British SWG 16, 18, \
    20 are 0.064, 0.048, 0.036 in";

/// A wall: a decimal length, never a gauge or a fraction.
fn wall(kind: &Kind, name: &str, value: &Spanned<DeValue>, units: Option<Units>) -> Result<f64, Trouble> {
    if let DeValue::String(text) = value.get_ref() {
        let lower = text.to_ascii_lowercase();
        let is_gauge = ["ga", "swg", "bwg", "awg", "#"].iter().any(|mark| lower.contains(mark));
        if is_gauge {
            let message = format!("`{name}` is a gauge: \"{text}\"");
            return Err(trouble("wall-gauge", message, "a gauge", GAUGES));
        }
        if text.contains('/') {
            let message = format!("`{name}` is a fraction: \"{text}\"");
            let help = "write the decimal wall that the stock is sold by, like \"0.065 in\"";
            return Err(trouble("wall-fraction", message, "a fraction", help));
        }
    }
    length(kind, name, value, units, Limit::above("not-positive", 0.0))
}

/// An angle in rad; a bare number is in degrees.
pub(crate) fn degrees(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    limit: &Limit,
) -> Result<f64, Trouble> {
    let number = match value.get_ref() {
        DeValue::String(text) if !is_open(value) => angle_text(name, text)?,
        other => (number(other).ok_or_else(|| wrong_type(kind, name, value))?, false),
    };
    in_turn(name, number, limit)
}

/// An angle in rad, in its range, of a number and whether it is in radians.
pub(crate) fn in_turn(name: &str, (number, in_radians): (f64, bool), limit: &Limit) -> Result<f64, Trouble> {
    let number = finite(name, number)?;
    let (degrees, radians) =
        if in_radians { (angle::to_degrees(number), number) } else { (number, angle::from_degrees(number)) };
    limited(name, degrees, format!("{} degrees", plain(degrees)), limit)?;
    Ok(radians)
}

/// The number of `30 deg`, `30°` or `0.5 rad`, and whether it is in radians.
pub(crate) fn angle_text(name: &str, text: &str) -> Result<(f64, bool), Trouble> {
    let text = text.trim();
    let known = ["degrees", "degree", "deg", "°", "rad"].into_iter().find(|unit| text.ends_with(unit));
    let unit = known.unwrap_or_else(|| &text[text.trim_end_matches(char::is_alphabetic).len()..]);
    let number = text[..text.len() - unit.len()].trim().parse();
    if known.is_none() && !unit.is_empty() && number.is_ok() {
        let message = format!("`{name}` has the unknown unit \"{unit}\"");
        return Err(trouble("unknown-unit", message, "unknown unit", "angles take deg or rad"));
    }
    let number = number.map_err(|_| {
        let help = "write an angle like 30, \"30 deg\" or \"0.5 rad\"";
        trouble("bad-angle", format!("`{name}`: \"{text}\" is not an angle"), "not an angle", help)
    })?;
    Ok((number, unit == "rad"))
}

/// The units of a mass, and what one is in kg; the pound is the international one (exact by definition).
const MASSES: [(&str, f64); 4] =
    [("kg", 1.0), ("g", 1e-3), ("lb", 0.453_592_37), ("oz", 0.453_592_37 / 16.0)];

/// A mass in kg; a bare number is in kg.
fn mass(kind: &Kind, name: &str, value: &Spanned<DeValue>) -> Result<f64, Trouble> {
    let kg = match value.get_ref() {
        DeValue::String(text) if !is_open(value) => mass_text(name, text)?,
        other => number(other).ok_or_else(|| wrong_type(kind, name, value))?,
    };
    let kg = finite(name, kg)?;
    limited(name, kg, format!("{} kg", plain(kg)), &Limit::above("mass-out-of-range", 0.0).most(HEAVIEST))?;
    Ok(kg)
}

fn mass_text(name: &str, text: &str) -> Result<f64, Trouble> {
    let text = text.trim();
    let (number, unit) = text.split_at(text.trim_end_matches(char::is_alphabetic).len());
    let in_kg = MASSES.iter().find(|(known, _)| *known == unit || unit.is_empty()).map(|(_, kg)| kg);
    let Some(in_kg) = in_kg else {
        let message = format!("`{name}` has the unknown unit \"{unit}\"");
        return Err(trouble("unknown-unit", message, "unknown unit", "masses take kg, g, lb or oz"));
    };
    number.trim().parse::<f64>().map(|number| number * in_kg).map_err(|_| {
        let help = "write a mass like 0.12 (kg), \"120 g\" or \"4 oz\"";
        trouble("bad-mass", format!("`{name}`: \"{text}\" is not a mass"), "not a mass", help)
    })
}

/// A length of 0 or more, or one of the words `start` and `end`.
fn place(kind: &Kind, name: &str, value: &Spanned<DeValue>, units: Option<Units>) -> Result<Value, Trouble> {
    match value.get_ref() {
        DeValue::String(text) if ["start", "end"].contains(&text.as_ref()) => {
            Ok(Value::Text(text.to_string()))
        }
        DeValue::String(text) if !text.contains(|c: char| c.is_ascii_digit()) => {
            Err(wrong_type(kind, name, value))
        }
        _ => length(kind, name, value, units, Limit::least("negative-length", 0.0)).map(Value::Number),
    }
}

/// A temperature in degrees C.
fn temperature(kind: &Kind, name: &str, value: &Spanned<DeValue>, limit: &Limit) -> Result<f64, Trouble> {
    let celsius = match value.get_ref() {
        DeValue::String(text) if !is_open(value) => {
            let text = text.trim();
            let (number, fahrenheit) = match text.strip_suffix('F') {
                Some(number) => (number, true),
                None => (text.strip_suffix('C').unwrap_or(text), false),
            };
            let number: f64 = number.trim().parse().map_err(|_| wrong_type(kind, name, value))?;
            if fahrenheit { (number - 32.0) / 1.8 } else { number }
        }
        other => number(other).ok_or_else(|| wrong_type(kind, name, value))?,
    };
    let celsius = finite(name, celsius)?;
    limited(name, celsius, format!("{} degrees C", plain(celsius)), limit)?;
    Ok(celsius)
}

fn count(kind: &Kind, name: &str, value: &Spanned<DeValue>, low: u32, high: u32) -> Result<f64, Trouble> {
    let DeValue::Integer(_) = value.get_ref() else { return Err(wrong_type(kind, name, value)) };
    let number = number(value.get_ref()).ok_or_else(|| wrong_type(kind, name, value))?;
    let limit = Limit::least("count-out-of-range", f64::from(low)).most(f64::from(high));
    limited(name, number, number.to_string(), &limit)?;
    Ok(number)
}

/// The elements of a list of exactly `N`.
pub(crate) fn elements<T: Copy, const N: usize>(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    blank: T,
    read: impl Fn(&Spanned<DeValue>) -> Result<T, Trouble>,
) -> Result<[T; N], Troubles> {
    let here = |trouble| vec![(value.span(), trouble)];
    let DeValue::Array(list) = value.get_ref() else { return Err(here(wrong_type(kind, name, value))) };
    if list.len() != N {
        let message = format!("`{name}` has to be {}", kind.words());
        return Err(here(trouble("wrong-count", message, format!("this has {}", list.len()), "")));
    }
    let (mut numbers, mut troubles) = ([blank; N], Troubles::new());
    for (number, element) in numbers.iter_mut().zip(list.iter()) {
        match read(element) {
            Ok(value) => *number = value,
            Err(trouble) => troubles.push((element.span(), trouble)),
        }
    }
    if troubles.is_empty() { Ok(numbers) } else { Err(troubles) }
}

pub(crate) fn vector(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    read: impl Fn(&Spanned<DeValue>) -> Result<f64, Trouble>,
) -> Result<Value, Troubles> {
    elements::<_, 3>(kind, name, value, 0.0, read).map(|xyz| Value::Vector(DVec3::from_array(xyz)))
}

fn pair(kind: &Kind, name: &str, value: &Spanned<DeValue>, units: Option<Units>) -> Result<Value, Troubles> {
    let limit = Limit::least("negative-length", 0.0);
    elements::<_, 2>(kind, name, value, 0.0, |v| length(kind, name, v, units, limit)).map(Value::Pair)
}

fn spot(kind: &Kind, name: &str, value: &Spanned<DeValue>, units: Option<Units>) -> Result<Value, Troubles> {
    elements::<_, 2>(kind, name, value, 0.0, |v| length(kind, name, v, units, Limit::ANY)).map(Value::Pair)
}

/// A list of texts, each as `take` takes it.
fn names(
    kind: &Kind,
    name: &str,
    value: &Spanned<DeValue>,
    take: impl Fn(&str) -> Result<String, Trouble>,
) -> Result<Value, Troubles> {
    let here = |trouble| vec![(value.span(), trouble)];
    let DeValue::Array(list) = value.get_ref() else { return Err(here(wrong_type(kind, name, value))) };
    if list.is_empty() {
        let message = format!("`{name}` names nothing");
        return Err(here(trouble("wrong-count", message, "an empty list", "")));
    }
    let read = |element: &Spanned<DeValue>| {
        text(kind, name, element).and_then(&take).map_err(|trouble| (element.span(), trouble))
    };
    let (mut found, mut troubles) = (Vec::new(), Troubles::new());
    for element in list.iter().map(read) {
        match element {
            Ok(text) => found.push(text),
            Err(trouble) => troubles.push(trouble),
        }
    }
    if troubles.is_empty() { Ok(Value::Names(found)) } else { Err(troubles) }
}

/// The unit vector of a direction; scaled first, so that no length over- or underflows.
pub(crate) fn unit(name: &str, place: &Spanned<DeValue>, value: Value) -> Result<Value, Troubles> {
    let Value::Vector(vector) = value else { return Ok(value) };
    let largest = vector.abs().max_element();
    if largest == 0.0 {
        let message = format!("`{name}` is no direction: all three numbers are 0");
        return Err(vec![(place.span(), trouble("zero-direction", message, "points nowhere", ""))]);
    }
    Ok(Value::Vector((vector / largest).normalize()))
}
