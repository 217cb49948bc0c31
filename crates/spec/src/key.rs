//! How a file's tables are described: their keys, what each holds, and in which range.
//!
//! One description serves the reader, which checks a file against it, and the JSON Schema.

/// A table of a file and the keys that it may have.
#[derive(Debug)]
pub struct Table {
    /// How messages call it: `[tube.NAME]`.
    pub name: &'static str,
    /// What it describes, one line.
    pub doc: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
    /// Sets of keys of which exactly one has to be there, whole; empty if the table offers no choice.
    pub either: &'static [&'static [&'static str]],
}

/// A key of a table.
#[derive(Debug)]
pub struct Key {
    /// The key.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Whether it must be there.
    pub required: bool,
    /// What it says, with its unit and its default; one line.
    pub doc: &'static str,
}

/// What a key holds.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Any text.
    Text,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// An alloy's name.
    Alloy,
    /// An NPS pipe, `pipe 1-1/2 sch 10S`.
    Pipe,
    /// A length; inside, mm.
    Length(Limit),
    /// A length that must be a decimal: never a fraction or a gauge.
    Wall,
    /// An angle; degrees when bare; inside, rad. The limit is in degrees.
    Angle(Limit),
    /// A mass above 0; kg when bare; inside, kg.
    Mass,
    /// A bare number, in the unit that its doc says.
    Number(Limit),
    /// A length that may be left open with "?", or "?" and the drawn value.
    OpenLength(Limit),
    /// An angle that may be left open.
    OpenAngle(Limit),
    /// Three lengths that may each be left open.
    OpenPoint,
    /// A direction, or "?".
    OpenDirection,
    /// A whole number from the first to the second.
    Count(u32, u32),
    /// Three lengths.
    Point,
    /// Three bare numbers, not all 0.
    Direction,
    /// Three bare numbers, in units that another key says.
    Numbers,
    /// Three lengths, each in this range.
    Lengths(Limit),
    /// Two lengths of 0 or more.
    Pair,
    /// A length of 0 or more along a run, or `start` or `end`.
    Place,
    /// A temperature; degrees C when bare; inside, degrees C. The limit is in degrees C.
    Temperature(Limit),
    /// A point of a drawing: two lengths.
    Spot,
    /// A list of names.
    Names,
    /// A list of some of a few words.
    Words(&'static [&'static str]),
    /// This word, or a table.
    WordOrTable(&'static str, &'static Table),
    /// A table, plain or inline.
    Table(&'static Table),
    /// Tables by name.
    Named(&'static Table),
    /// A list of tables, each of one of these forms; the form is told by its first key.
    List(&'static [&'static Table]),
}

/// The range of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// The diagnostic's code where a number is outside.
    pub code: &'static str,
    /// The lower end.
    pub low: End,
    /// The upper end.
    pub high: End,
    /// How to mend a number outside; may be empty.
    pub mend: &'static str,
}

/// An end of a range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// No end.
    None,
    /// This number belongs to the range.
    With(f64),
    /// This number no longer belongs to it.
    Without(f64),
}

impl Table {
    /// The key called `name`.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of all keys.
    pub fn names(&self) -> Vec<&'static str> {
        self.keys.iter().map(|key| key.name).collect()
    }
}

impl Key {
    /// A key that must be there.
    pub const fn must(name: &'static str, kind: Kind, doc: &'static str) -> Key {
        Key { name, kind, required: true, doc }
    }

    /// A key that may be left out.
    pub const fn may(name: &'static str, kind: Kind, doc: &'static str) -> Key {
        Key { name, kind, required: false, doc }
    }
}

impl Kind {
    /// What it must be, in words, for messages.
    pub fn words(&self) -> String {
        match self {
            Kind::Text => "a text in quotes".to_owned(),
            Kind::Choice(words) => format!("one of \"{}\"", words.join("\", \"")),
            Kind::Alloy => "an alloy's name in quotes".to_owned(),
            Kind::Pipe => "a pipe size in quotes, like \"pipe 1-1/2 sch 10S\"".to_owned(),
            Kind::Length(_) => "a length, like 45, \"45 mm\" or \"1 7/8 in\"".to_owned(),
            Kind::Wall => "a decimal length, like 1.5, \"1.5 mm\" or \"0.065 in\"".to_owned(),
            Kind::Angle(_) => "an angle, like 30 (degrees), \"30 deg\" or \"0.5 rad\"".to_owned(),
            Kind::Mass => "a mass, like 0.12 (kg), \"120 g\" or \"4 oz\"".to_owned(),
            Kind::Number(_) => "a bare number, like 1240".to_owned(),
            Kind::OpenLength(limit) => format!("{}, or \"?\"", Kind::Length(*limit).words()),
            Kind::OpenAngle(limit) => format!("{}, or \"?\"", Kind::Angle(*limit).words()),
            Kind::OpenPoint => format!("{}; each may be \"?\"", Kind::Point.words()),
            Kind::OpenDirection => format!("{}, or \"?\"", Kind::Direction.words()),
            Kind::Count(low, high) => format!("a whole number from {low} to {high}"),
            Kind::Point => "a point: three lengths, like [0, 120, \"3 1/2 in\"]".to_owned(),
            Kind::Direction => "a direction: three bare numbers, like [1, 0, -0.5]".to_owned(),
            Kind::Numbers => "three bare numbers, like [1.5, 0, -20]".to_owned(),
            Kind::Lengths(_) => "three lengths, like [40, 25, \"1/2 in\"]".to_owned(),
            Kind::Pair => "two lengths, like [100, 100]".to_owned(),
            Kind::Place => "a length, or \"start\" or \"end\"".to_owned(),
            Kind::Temperature(_) => "a temperature, like 750 (degrees C), \"750 C\" or \"1400 F\"".to_owned(),
            Kind::Spot => "a point of the drawing: two lengths, like [40, -12.5]".to_owned(),
            Kind::Names => "a list of names in quotes, like [\"one\", \"two\"]".to_owned(),
            Kind::Words(words) => format!("a list of some of \"{}\"", words.join("\", \"")),
            Kind::WordOrTable(word, table) => format!("\"{word}\", or the keys of {} in braces", table.name),
            Kind::Table(table) => format!("a table {}, or the same keys in braces", table.name),
            Kind::Named(table) => format!("tables by name, each headed {}", table.name),
            Kind::List(tables) => format!("a list of tables in braces, each {}", Self::forms(tables)),
        }
    }

    /// The forms of a list's tables: `{ straight = ... } or { bend = ... }`.
    fn forms(tables: &[&Table]) -> String {
        let forms: Vec<String> = tables
            .iter()
            .filter_map(|t| t.keys.first())
            .map(|key| format!("{{ {} = ... }}", key.name))
            .collect();
        forms.join(" or ")
    }
}

impl Limit {
    /// Any number.
    pub const ANY: Limit = Limit { code: "out-of-range", low: End::None, high: End::None, mend: "" };

    /// Numbers above `low`.
    pub const fn above(code: &'static str, low: f64) -> Limit {
        Limit { code, low: End::Without(low), high: End::None, mend: "" }
    }

    /// `low` and more.
    pub const fn least(code: &'static str, low: f64) -> Limit {
        Limit { code, low: End::With(low), high: End::None, mend: "" }
    }

    /// The same with numbers below `high` only.
    pub const fn below(mut self, high: f64) -> Limit {
        self.high = End::Without(high);
        self
    }

    /// The same with `high` and less only.
    pub const fn most(mut self, high: f64) -> Limit {
        self.high = End::With(high);
        self
    }

    /// The same with a mend to show.
    pub const fn mend(mut self, mend: &'static str) -> Limit {
        self.mend = mend;
        self
    }

    /// Whether `value` is in the range.
    pub fn allows(&self, value: f64) -> bool {
        let low = match self.low {
            End::None => true,
            End::With(low) => value >= low,
            End::Without(low) => value > low,
        };
        let high = match self.high {
            End::None => true,
            End::With(high) => value <= high,
            End::Without(high) => value < high,
        };
        low && high
    }

    /// The range in words: `above 0 and at most 180`.
    pub fn words(&self) -> String {
        let low = match self.low {
            End::None => None,
            End::With(low) => Some(format!("at least {low}")),
            End::Without(low) => Some(format!("above {low}")),
        };
        let high = match self.high {
            End::None => None,
            End::With(high) => Some(format!("at most {high}")),
            End::Without(high) => Some(format!("below {high}")),
        };
        let ends: Vec<String> = [low, high].into_iter().flatten().collect();
        ends.join(" and ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_knows_its_ends() {
        let bend = Limit::above("x", 0.0).most(180.0);
        assert!(bend.allows(180.0) && bend.allows(1e-9) && !bend.allows(0.0) && !bend.allows(180.1));
        assert!(!bend.allows(f64::NAN));
        assert_eq!(bend.words(), "above 0 and at most 180");
    }
}
