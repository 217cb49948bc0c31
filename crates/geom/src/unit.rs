//! Lengths as the trade writes them: millimetres, decimal inches, inch fractions.

/// The unit in which a spec's bare numbers are read and its sheets are printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Units {
    /// Millimetres.
    Millimetre,
    /// Inches, printed as decimals with the nearest fraction beside them.
    Inch,
}

/// Millimetres in an inch, exactly (international inch, 1959).
pub const INCH: f64 = 25.4;

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LengthError {
    /// Nothing but blanks.
    Empty,
    /// The part before the unit is not a number or a fraction; holds that part.
    NotANumber(String),
    /// A number without a unit, and no unit to fall back on.
    NoUnit,
    /// A unit other than mm, cm, m, in; holds it.
    UnknownUnit(String),
    /// A fraction over nought.
    ZeroDenominator,
    /// Infinite or not a number.
    NotFinite,
}

impl Units {
    /// Millimetres in one of this unit.
    pub fn in_millimetres(self) -> f64 {
        match self {
            Units::Millimetre => 1.0,
            Units::Inch => INCH,
        }
    }

    /// The abbreviation: `mm` or `in`.
    pub fn symbol(self) -> &'static str {
        match self {
            Units::Millimetre => "mm",
            Units::Inch => "in",
        }
    }

    /// `mm` in this unit to the sheets' precision, with the symbol: `47.6 mm`, `1.88 in`.
    pub fn written(self, mm: f64) -> String {
        format!("{} {}", self.decimal(mm), self.symbol())
    }

    /// `mm` in this unit to the sheets' precision, without the symbol: 0.1 mm or 0.01 in.
    pub fn decimal(self, mm: f64) -> String {
        match self {
            Units::Millimetre => fixed(mm, 1),
            Units::Inch => fixed(mm / INCH, 2),
        }
    }
}

/// `value` with `digits` decimals, never `-0.0`. Halves go away from zero, also where the last bit of a
/// conversion is short of one: 3/8 in is 0.38, not 0.37.
pub fn fixed(value: f64, digits: usize) -> String {
    let value = value * (1.0 + 4.0 * f64::EPSILON);
    let text = format!("{value:.digits$}");
    let is_zero = text.trim_start_matches('-').bytes().all(|b| b == b'0' || b == b'.');
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// `mm` as inches and the nearest fraction with `denominator` (32 or 64), in lowest terms: `12 7/32`.
pub fn inch_fraction(mm: f64, denominator: u32) -> String {
    let parts = (mm.abs() / INCH * f64::from(denominator)).round() as u64;
    let (whole, mut above, mut below) =
        (parts / u64::from(denominator), parts % u64::from(denominator), u64::from(denominator));
    while above > 0 && above % 2 == 0 {
        (above, below) = (above / 2, below / 2);
    }
    let sign = if mm < 0.0 && parts > 0 { "-" } else { "" };
    match (whole, above) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{above}/{below}"),
        _ => format!("{sign}{whole} {above}/{below}"),
    }
}

/// Reads a length into millimetres: `47.6 mm`, `1 7/8 in`, `1-7/8"`, `0.049in`, `2 m`.
///
/// A number without a unit is taken in `fallback`, or refused when there is none.
pub fn parse_length(text: &str, fallback: Option<Units>) -> Result<f64, LengthError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(LengthError::Empty);
    }
    let split = text.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |i| i + 1);
    let (number, unit) = (text[..split].trim(), text[split..].trim());
    let scale = match unit {
        "mm" => 1.0,
        "cm" => 10.0,
        "m" => 1000.0,
        "in" | "\"" | "inch" | "inches" => INCH,
        "" => fallback.ok_or(LengthError::NoUnit)?.in_millimetres(),
        _ if number.is_empty() => return Err(LengthError::NotANumber(text.to_owned())),
        other => return Err(LengthError::UnknownUnit(other.to_owned())),
    };
    let value = parse_number(number)? * scale;
    if value.is_finite() { Ok(value) } else { Err(LengthError::NotFinite) }
}

/// A decimal, a fraction, or a whole number and a fraction (`1 7/8`, `1-7/8`).
fn parse_number(text: &str) -> Result<f64, LengthError> {
    let wrong = || LengthError::NotANumber(text.to_owned());
    let Some((head, below)) = text.split_once('/') else {
        return text.parse().map_err(|_| wrong());
    };
    let (negative, head) = match head.trim().strip_prefix('-') {
        Some(rest) => (true, rest.trim()),
        None => (false, head.trim()),
    };
    let (whole, above) = match head.rsplit_once([' ', '-']) {
        Some((whole, above)) => (whole.trim().parse::<u32>().map_err(|_| wrong())?, above),
        None => (0, head),
    };
    let above: u32 = above.trim().parse().map_err(|_| wrong())?;
    let below: u32 = below.trim().parse().map_err(|_| wrong())?;
    if below == 0 {
        return Err(LengthError::ZeroDenominator);
    }
    let value = f64::from(whole) + f64::from(above) / f64::from(below);
    Ok(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_what_a_shop_writes() {
        for (text, mm) in [
            ("47.6 mm", 47.6),
            ("1 7/8 in", 47.625),
            ("1-7/8\"", 47.625),
            ("0.049in", 1.2446),
            ("-1/2 in", -12.7),
            ("2 m", 2000.0),
        ] {
            assert!((parse_length(text, None).unwrap() - mm).abs() < 1e-9, "{text}");
        }
        assert!((parse_length("3", Some(Units::Inch)).unwrap() - 76.2).abs() < 1e-9);
    }

    #[test]
    fn says_why_a_text_is_no_length() {
        assert_eq!(parse_length(" ", None), Err(LengthError::Empty));
        assert_eq!(parse_length("12", None), Err(LengthError::NoUnit));
        assert_eq!(parse_length("12 furlong", None), Err(LengthError::UnknownUnit("furlong".into())));
        assert_eq!(parse_length("1/0 in", None), Err(LengthError::ZeroDenominator));
        assert_eq!(parse_length("x mm", None), Err(LengthError::NotANumber("x mm".into())));
        assert!(matches!(parse_length("1.2.3 mm", None), Err(LengthError::NotANumber(_))));
    }

    #[test]
    fn prints_fractions_in_lowest_terms() {
        assert_eq!(inch_fraction(47.625, 64), "1 7/8");
        assert_eq!(inch_fraction(12.7, 32), "1/2");
        assert_eq!(inch_fraction(25.39, 32), "1");
        assert_eq!(inch_fraction(-0.1, 32), "0");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(0.375 * 25.4 / 25.4, 2), "0.38");
        assert_eq!([fixed(0.125, 2), fixed(-0.125, 2), fixed(1.005, 2)], ["0.13", "-0.13", "1.01"]);
    }
}
