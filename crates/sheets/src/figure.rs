//! Numbers as the sheets print them, in the spec's units.

use geom::angle::{to_degrees, wrap_signed, wrap_turn};
use geom::unit::{INCH, Units, fixed, inch_fraction};
use layout::layout::{Make, Part, WholeKind};
use tube::{Body, Piece, Section};

/// Smallest fraction of an inch on a rule.
const DENOMINATOR: u32 = 64;

/// A length without its unit: `123.4`, or inches `4.86`.
pub fn length(units: Units, mm: f64) -> String {
    units.decimal(mm)
}

/// A length's fraction of an inch, `4 55/64`; nothing on sheets in mm.
pub fn fraction(units: Units, mm: f64) -> Option<String> {
    (units == Units::Inch).then(|| inch_fraction(mm, DENOMINATOR))
}

/// A length in full, never broken: `123.4 mm`, or `4.86 in (4 55/64)`.
pub fn full_length(units: Units, mm: f64) -> String {
    match fraction(units, mm) {
        Some(fraction) => format!("{} in ({fraction})", length(units, mm)).replace(' ', "\u{a0}"),
        None => format!("{}\u{a0}mm", length(units, mm)),
    }
}

/// A place on a tape without its unit: `123.4`, or inches to 0.001, `4.859`.
pub fn mark(units: Units, mm: f64) -> String {
    match units {
        Units::Millimetre => length(units, mm),
        Units::Inch => fixed(mm / INCH, 3),
    }
}

/// A place on a tape in full, never broken: `123.4 mm`, or `4.859 in (4 55/64)`.
pub fn full_mark(units: Units, mm: f64) -> String {
    match fraction(units, mm) {
        Some(fraction) => format!("{} in ({fraction})", mark(units, mm)).replace(' ', "\u{a0}"),
        None => full_length(units, mm),
    }
}

/// A place on a tape for a table's cell, never broken: `123.4`, or `4.859 (4 55/64)`.
pub fn cell_mark(units: Units, mm: f64) -> String {
    match fraction(units, mm) {
        Some(fraction) => format!("{} ({fraction})", mark(units, mm)).replace(' ', "\u{a0}"),
        None => length(units, mm),
    }
}

/// A length with its unit and no fraction, never broken: `13.7 mm`, or inches `0.539 in`.
pub fn plain_length(units: Units, mm: f64) -> String {
    match units {
        Units::Millimetre => format!("{}\u{a0}mm", length(units, mm)),
        Units::Inch => format!("{}\u{a0}in", fixed(mm / INCH, 3)),
    }
}

/// A length for a table's cell, without its unit and never broken: `123.4`, or `4.86 (4 55/64)`.
pub fn cell_length(units: Units, mm: f64) -> String {
    match fraction(units, mm) {
        Some(fraction) => format!("{} ({fraction})", length(units, mm)).replace(' ', "\u{a0}"),
        None => length(units, mm),
    }
}

/// A small error or gap: `0.04 mm`, or inches `0.002 in`.
pub fn fine_length(units: Units, mm: f64) -> String {
    match units {
        Units::Millimetre => format!("{} mm", fixed(mm, 2)),
        Units::Inch => format!("{} in", fixed(mm / INCH, 3)),
    }
}

/// A difference with its sign: `+0.4`.
pub fn difference(units: Units, mm: f64) -> String {
    let text = units.decimal(mm);
    if mm > 0.0 && text.bytes().any(|b| b.is_ascii_digit() && b != b'0') { format!("+{text}") } else { text }
}

/// An angle: `58.3°`.
pub fn angle(radians: f64) -> String {
    format!("{}°", fixed(to_degrees(radians), 1))
}

/// A clock from the scribe line, from `0.0°` to `359.9°`.
pub fn clock(radians: f64) -> String {
    match angle(wrap_turn(radians)).as_str() {
        "360.0°" => angle(0.0),
        said => said.to_owned(),
    }
}

/// An angle in words: `58.3 degrees`.
pub fn degrees(radians: f64) -> String {
    format!("{} degrees", fixed(to_degrees(radians), 1))
}

/// A tube's section: `Ø 45 × 1.2 mm`, or `Ø 1.75 × 0.065 in`.
pub fn section(units: Units, section: &Section) -> String {
    format!("Ø {} × {} {}", size(units, section.od), size(units, section.wall), units.symbol())
}

/// A piece's section; of a cone both outside diameters: `Ø 63.5 to 54 × 1.5 mm`.
pub fn piece_section(units: Units, piece: &Piece) -> String {
    match &piece.body {
        Body::Tube { section: of_tube, .. } => section(units, of_tube),
        Body::Cone { start_od, end_od, wall, .. } => format!(
            "Ø {} to {} × {} {}",
            size(units, *start_od),
            size(units, *end_od),
            size(units, *wall),
            units.symbol()
        ),
    }
}

/// The section of a piece for a list: of a part that is bought whole its outside, and of a bung its bore.
pub fn listed_section(units: Units, part: &Part) -> String {
    let unit = units.symbol();
    match (&part.make, part.piece.section()) {
        (Make::Whole(whole), Some(own)) if whole.kind == WholeKind::Bung => {
            format!("Ø {}, bore {} {unit}", size(units, own.od), size(units, own.bore()))
        }
        (Make::Whole(_), Some(own)) => format!("Ø {} {unit}", size(units, own.od)),
        _ => piece_section(units, &part.piece),
    }
}

/// A nominal size without its unit, with the digits that it has: `44.45`, `0.065`.
pub fn size(units: Units, mm: f64) -> String {
    let digits = if units == Units::Inch { 3 } else { 2 };
    let text = fixed(mm / units.in_millimetres(), digits);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A nominal size with its unit, never broken: `3.25 mm`, or inches `0.063 in`.
pub fn full_size(units: Units, mm: f64) -> String {
    format!("{}\u{a0}{}", size(units, mm), units.symbol())
}

/// A length without its unit that something comes out of, rounded up: `67.7`, or inches `2.67`.
pub fn enough(units: Units, mm: f64) -> String {
    let step = if units == Units::Inch { 0.01 * INCH } else { 0.1 };
    length(units, rounded_up(mm, step))
}

/// The same in full, never broken: `67.7 mm`, or `2.67 in (2 43/64)`.
pub fn full_enough(units: Units, mm: f64) -> String {
    match fraction(units, rounded_up(mm, INCH / f64::from(DENOMINATOR))) {
        Some(fraction) => format!("{} in ({fraction})", enough(units, mm)).replace(' ', "\u{a0}"),
        None => format!("{}\u{a0}mm", enough(units, mm)),
    }
}

/// `mm` up to a whole number of steps; a millionth of a step over counts as none.
fn rounded_up(mm: f64, step: f64) -> f64 {
    (mm / step - 1e-6).ceil() * step
}

/// A clock on a tube of outside diameter `od` mm, as an arc on its outside and a side, looking
/// downstream with the scribe line up: `13.5 right`, `0.0`, or half way round, `70.7 opposite`.
pub fn arc(units: Units, clock: f64, od: f64) -> String {
    let clock = wrap_signed(clock);
    let arc = units.decimal(0.5 * od * clock.abs());
    if arc.bytes().all(|b| b == b'0' || b == b'.') {
        "on\u{a0}the\u{a0}line".to_owned()
    } else if std::f64::consts::PI - clock.abs() < 1e-6 {
        format!("{arc}\u{a0}opposite")
    } else if clock > 0.0 {
        format!("{arc}\u{a0}right")
    } else {
        format!("{arc}\u{a0}left")
    }
}

/// Where a piece's weld seam lies, in words that follow "so that the weld seam lies": `35.3 mm to the right of
/// it`, for a tube of outside diameter `od` mm.
pub fn seam_words(units: Units, clock: f64, od: f64) -> String {
    let clock = wrap_signed(clock);
    let far = full_length(units, 0.5 * od * clock.abs());
    let opposite = std::f64::consts::PI - clock.abs() < 1e-6;
    match clock {
        _ if clock.abs() < 1e-6 => "on it".to_owned(),
        _ if opposite => format!("opposite it, {far} round"),
        _ if clock > 0.0 => format!("{far} to the right of it"),
        _ => format!("{far} to the left of it"),
    }
}

/// A mass: `1.234 kg`.
pub fn mass(kg: f64) -> String {
    format!("{} kg", fixed(kg, 3))
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::angle::from_degrees;

    #[test]
    fn lengths_carry_their_fraction_on_inch_sheets_only() {
        assert_eq!(full_length(Units::Millimetre, 123.44), "123.4\u{a0}mm");
        assert_eq!(full_length(Units::Inch, 47.625), "1.88\u{a0}in\u{a0}(1\u{a0}7/8)");
        assert_eq!(full_mark(Units::Inch, 47.625), "1.875\u{a0}in\u{a0}(1\u{a0}7/8)");
        assert_eq!(size(Units::Inch, 1.651), "0.065");
        assert_eq!(size(Units::Millimetre, 44.45), "44.45");
        assert_eq!(full_length(Units::Inch, 9.525), "0.38\u{a0}in\u{a0}(3/8)");
        assert_eq!(full_size(Units::Inch, 1.5875), "0.063\u{a0}in");
        assert_eq!(difference(Units::Millimetre, 0.04), "0.0");
        assert_eq!(difference(Units::Millimetre, 0.4), "+0.4");
    }

    #[test]
    fn a_blank_is_never_too_small() {
        assert_eq!(full_enough(Units::Inch, 2.662 * INCH), "2.67\u{a0}in\u{a0}(2\u{a0}43/64)");
        assert_eq!(full_enough(Units::Inch, 2.5 * INCH), "2.50\u{a0}in\u{a0}(2\u{a0}1/2)");
        assert_eq!(enough(Units::Millimetre, 74.51), "74.6");
        assert_eq!(enough(Units::Millimetre, 100.0), "100.0");
    }

    #[test]
    fn a_clock_is_right_when_it_grows_and_left_when_it_falls() {
        // Clockwise seen looking downstream is the right-hand side with the scribe line up.
        assert_eq!(arc(Units::Millimetre, from_degrees(90.0), 40.0), "31.4\u{a0}right");
        assert_eq!(arc(Units::Millimetre, from_degrees(270.0), 40.0), "31.4\u{a0}left");
        assert_eq!(arc(Units::Millimetre, from_degrees(180.0), 40.0), "62.8\u{a0}opposite");
        assert_eq!(arc(Units::Millimetre, from_degrees(360.0), 40.0), "on\u{a0}the\u{a0}line");
        assert_eq!([-1e-9, 359.96, 359.94].map(|a| clock(from_degrees(a))), ["0.0°", "0.0°", "359.9°"]);
    }
}
