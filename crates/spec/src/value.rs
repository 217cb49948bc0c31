//! The values read from a file, typed as its key table says, with their places.

use std::collections::BTreeMap;
use std::ops::Range;

use geom::DVec3;
use tube::Alloy;

use crate::key::Table;

/// Proof that a diagnostic has been reported: only the reader makes one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reported(pub(super) ());

/// A value, or the proof that its fault has been reported.
pub(crate) type Read<T> = Result<T, Reported>;

/// A value as its key's kind has it: lengths in mm, angles in rad.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Text(String),
    Number(f64),
    Figure(Figure),
    Figures([Figure; 3]),
    Vector(DVec3),
    Pair([f64; 2]),
    Pipe((f64, f64)),
    Alloy(&'static Alloy),
    Names(Vec<String>),
    Table(Fields),
    Named(Vec<(String, Fields)>),
    List(Vec<Read<Fields>>),
}

/// A number, or one left open with "?" and the drawn value to stay near.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Figure {
    Given(f64),
    Open(Option<f64>),
}

impl Figure {
    /// The number, or `placeholder` where it is open.
    pub fn or(self, placeholder: f64) -> f64 {
        match self {
            Figure::Given(number) => number,
            Figure::Open(drawn) => drawn.unwrap_or(placeholder),
        }
    }
}

/// The entries of one table of a file.
#[derive(Clone, Debug)]
pub(crate) struct Fields {
    /// How messages call the table: `[run.front]`.
    pub title: String,
    /// The table's key table.
    pub table: &'static Table,
    /// The token to mark for the table as a whole.
    pub span: Range<usize>,
    /// What was read, by key.
    pub entries: BTreeMap<&'static str, Entry>,
}

/// A value and its place.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub span: Range<usize>,
    pub value: Read<Value>,
}

/// What can be taken out of a [`Value`].
pub(crate) trait FromValue<'a>: Sized {
    /// The value, if it is of this type.
    fn from_value(value: &'a Value) -> Option<Self>;
}

impl Fields {
    /// The form of a list's table: its first key.
    pub fn form(&self) -> &'static str {
        self.table.keys.first().map_or("", |key| key.name)
    }

    /// The value of a key that may be left out.
    pub fn get<'a, T: FromValue<'a>>(&'a self, key: &str) -> Read<Option<T>> {
        let Some(entry) = self.entries.get(key) else { return Ok(None) };
        entry.value.as_ref().map(T::from_value).map_err(|reported| *reported)
    }

    /// The value of a key, or `default` where it was left out.
    pub fn get_or<'a, T: FromValue<'a>>(&'a self, key: &str, default: T) -> Read<T> {
        Ok(self.get(key)?.unwrap_or(default))
    }

    /// The tables under a key that holds tables by name; none where it was left out.
    pub fn named(&self, key: &str) -> Read<&[(String, Fields)]> {
        self.get_or(key, &[][..])
    }

    /// The place of a key's value; the table's where it was left out.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.entries.get(key).map_or(self.span.clone(), |entry| entry.span.clone())
    }
}

/// Declares how a type is taken out of one variant of [`Value`].
macro_rules! from_value {
    ($type:ty, $variant:ident, $inner:ident => $out:expr) => {
        impl<'a> FromValue<'a> for $type {
            fn from_value(value: &'a Value) -> Option<Self> {
                match value {
                    Value::$variant($inner) => Some($out),
                    _ => None,
                }
            }
        }
    };
}

from_value!(&'a str, Text, text => text);
from_value!(f64, Number, number => *number);
from_value!(Figure, Figure, figure => *figure);
from_value!([Figure; 3], Figures, figures => *figures);
from_value!(DVec3, Vector, vector => *vector);
from_value!([f64; 2], Pair, pair => *pair);
from_value!((f64, f64), Pipe, pipe => *pipe);
from_value!(&'static Alloy, Alloy, alloy => alloy);
from_value!(&'a [String], Names, names => names);
from_value!(&'a Fields, Table, fields => fields);
from_value!(&'a [(String, Fields)], Named, named => named);
from_value!(&'a [Read<Fields>], List, list => list);
