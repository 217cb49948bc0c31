//! The clear text of an exchange file (ISO 10303-21): numbered entities and their arguments.

use geom::{DVec3, Frame};

/// The number of an entity.
pub type Id = u32;

/// An argument of an entity.
#[derive(Clone, Copy)]
pub enum Arg<'a> {
    /// Another entity.
    Ref(Id),
    /// A list of entities.
    Refs(&'a [Id]),
    /// A length in mm, or an angle in radians.
    Real(f64),
    /// A list of lengths.
    Reals(&'a [f64]),
    /// A whole number.
    Whole(usize),
    /// A list of whole numbers.
    Wholes(&'a [usize]),
    /// A text.
    Text(&'a str),
    /// Anything that is written as it stands: `.T.`, `$`, `*`, `.UNSPECIFIED.`.
    Word(&'static str),
}

/// The data section in the making.
pub struct Text {
    data: String,
    last: Id,
}

impl Text {
    /// Nothing yet, with room for `bytes`.
    pub fn new(bytes: usize) -> Self {
        Text { data: String::with_capacity(bytes), last: 0 }
    }

    /// Adds an entity.
    pub fn add(&mut self, kind: &str, arguments: &[Arg<'_>]) -> Id {
        let id = self.begin();
        self.part(kind, arguments);
        self.data.push_str(";\n");
        id
    }

    /// Adds an entity that is of several kinds at once, each with its own arguments.
    pub fn add_complex(&mut self, parts: &[(&str, &[Arg<'_>])]) -> Id {
        let id = self.begin();
        self.data.push('(');
        for (kind, arguments) in parts {
            self.part(kind, arguments);
        }
        self.data.push_str(");\n");
        id
    }

    /// Adds a point.
    pub fn point(&mut self, p: DVec3) -> Id {
        self.add("CARTESIAN_POINT", &[Arg::Text(""), Arg::Reals(&p.to_array())])
    }

    /// Adds a unit direction.
    pub fn direction(&mut self, d: DVec3) -> Id {
        let id = self.begin();
        self.data.push_str("DIRECTION('',(");
        for (i, x) in d.to_array().into_iter().enumerate() {
            if i > 0 {
                self.data.push(',');
            }
            push_real(&mut self.data, x, DIRECTION_DECIMALS);
        }
        self.data.push_str("));\n");
        id
    }

    /// Adds a placement: z along the frame's travel, x at its clock 0.
    pub fn placement(&mut self, frame: &Frame) -> Id {
        let at = self.point(frame.at);
        let axis = self.direction(frame.along);
        let reference = self.direction(frame.inside);
        let arguments = [Arg::Text(""), Arg::Ref(at), Arg::Ref(axis), Arg::Ref(reference)];
        self.add("AXIS2_PLACEMENT_3D", &arguments)
    }

    /// The whole file: header, data, end.
    pub fn finish(self, header: &str) -> Vec<u8> {
        let mut file = String::with_capacity(header.len() + self.data.len() + 64);
        file.push_str("ISO-10303-21;\nHEADER;\n");
        file.push_str(header);
        file.push_str("ENDSEC;\nDATA;\n");
        file.push_str(&self.data);
        file.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
        file.into_bytes()
    }

    fn begin(&mut self) -> Id {
        self.last += 1;
        self.data.push('#');
        push_whole(&mut self.data, u64::from(self.last));
        self.data.push('=');
        self.last
    }

    fn part(&mut self, kind: &str, arguments: &[Arg<'_>]) {
        self.data.push_str(kind);
        self.data.push('(');
        for (i, argument) in arguments.iter().enumerate() {
            if i > 0 {
                self.data.push(',');
            }
            self.argument(*argument);
        }
        self.data.push(')');
    }

    fn argument(&mut self, argument: Arg<'_>) {
        match argument {
            Arg::Ref(id) => self.reference(id),
            Arg::Refs(ids) => self.list(ids, |text, id| text.reference(*id)),
            Arg::Real(x) => push_real(&mut self.data, x, LENGTH_DECIMALS),
            Arg::Reals(all) => self.list(all, |text, x| push_real(&mut text.data, *x, LENGTH_DECIMALS)),
            Arg::Whole(n) => push_whole(&mut self.data, n as u64),
            Arg::Wholes(all) => self.list(all, |text, n| push_whole(&mut text.data, *n as u64)),
            Arg::Text(words) => push_text(&mut self.data, words),
            Arg::Word(word) => self.data.push_str(word),
        }
    }

    fn list<T>(&mut self, items: &[T], write: impl Fn(&mut Text, &T)) {
        self.data.push('(');
        for (i, item) in items.iter().enumerate() {
            if i > 0 {
                self.data.push(',');
            }
            write(self, item);
        }
        self.data.push(')');
    }

    fn reference(&mut self, id: Id) {
        self.data.push('#');
        push_whole(&mut self.data, u64::from(id));
    }
}

/// A text in quotes: quotes doubled, what is beyond ASCII as UTF-16 in hexadecimal (ISO 10303-21, 6.4.3).
pub fn push_text(to: &mut String, words: &str) {
    to.push('\'');
    for c in words.chars() {
        match c {
            '\'' => to.push_str("''"),
            '\\' => to.push_str("\\\\"),
            ' '..='~' => to.push(c),
            _ => {
                to.push_str("\\X2\\");
                for unit in c.encode_utf16(&mut [0; 2]) {
                    to.push_str(&format!("{unit:04X}"));
                }
                to.push_str("\\X0\\");
            }
        }
    }
    to.push('\'');
}

/// A number rounded to `decimals`, with the point that the format asks for. One too large for that is
/// written with all its digits.
fn push_real(to: &mut String, x: f64, decimals: u32) {
    let unit = 10_u64.pow(decimals);
    let scaled = (x.abs() * unit as f64).round();
    if scaled >= 1e18 || !scaled.is_finite() {
        let digits = format!("{x:E}");
        let point = if digits.contains('.') { "E" } else { ".E" };
        to.push_str(&digits.replacen('E', point, 1));
        return;
    }
    let whole = scaled as u64;
    if x < 0.0 && whole > 0 {
        to.push('-');
    }
    push_whole(to, whole / unit);
    to.push('.');
    let mut rest = whole % unit;
    let mut weight = unit / 10;
    while rest > 0 {
        to.push(char::from(b'0' + (rest / weight) as u8));
        rest %= weight;
        weight /= 10;
    }
}

fn push_whole(to: &mut String, n: u64) {
    let mut digits = [0_u8; 20];
    let mut first = digits.len();
    let mut rest = n;
    loop {
        first -= 1;
        digits[first] = b'0' + (rest % 10) as u8;
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    to.extend(digits[first..].iter().map(|d| char::from(*d)));
}

/// Lengths are written to 1e-10 mm.
const LENGTH_DECIMALS: u32 = 10;

/// Directions are written to 1e-14: 1e-11 mm at the end of a metre.
const DIRECTION_DECIMALS: u32 = 14;

#[cfg(test)]
mod tests {
    use super::*;

    fn real(x: f64) -> String {
        let mut text = String::new();
        push_real(&mut text, x, LENGTH_DECIMALS);
        text
    }

    #[test]
    fn reals_have_a_point_and_no_needless_digits() {
        assert_eq!(real(0.0), "0.");
        assert_eq!(real(-0.0), "0.");
        assert_eq!(real(-1e-12), "0.");
        assert_eq!(real(1.5), "1.5");
        assert_eq!(real(-22.05), "-22.05");
        assert_eq!(real(1.0 / 3.0), "0.3333333333");
        assert_eq!(real(0.00000001), "0.00000001");
        assert_eq!(real(1e9), "1.E9");
        assert_eq!(real(1.5e9), "1.5E9");
    }

    #[test]
    fn texts_are_quoted() {
        let mut text = String::new();
        push_text(&mut text, "Bob's Ø\\");
        assert_eq!(text, "'Bob''s \\X2\\00D8\\X0\\\\\\'");
    }
}
