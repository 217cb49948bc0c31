//! The named tables of one kind, and references to them.

use crate::diagnostic::{Fault, known_names};
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// The named tables under one key of a file, in the order of the file.
#[derive(Clone, Copy)]
pub(crate) struct Names<'a> {
    /// What they are called: the key.
    what: &'static str,
    /// The diagnostic's code for a name that is none of them.
    code: &'static str,
    /// The tables; withheld where the key's own fault has been reported.
    pub tables: Read<&'a [(String, Fields)]>,
}

impl<'a> Names<'a> {
    pub fn of(root: &'a Fields, what: &'static str, code: &'static str) -> Names<'a> {
        Names { what, code, tables: root.named(what) }
    }

    /// The index of `name`.
    pub fn position(&self, name: &str) -> Read<Option<usize>> {
        Ok(self.tables?.iter().position(|(other, _)| other == name))
    }

    /// All names; none where they are withheld.
    pub fn all(&self) -> Vec<&'a str> {
        self.list().iter().map(|(name, _)| name.as_str()).collect()
    }

    /// The tables; none where they are withheld.
    pub fn list(&self) -> &'a [(String, Fields)] {
        self.tables.unwrap_or_default()
    }

    /// The index of the table that `key` names, if the key is there.
    pub fn refer(&self, reader: &mut Reader, fields: &Fields, key: &str) -> Read<Option<usize>> {
        let Some(name) = fields.get::<&str>(key)? else { return Ok(None) };
        if let Some(index) = self.position(name)? {
            return Ok(Some(index));
        }
        let fault = Fault::new(self.code, format!("there is no {} \"{name}\"", self.what))
            .label("unknown")
            .help(known_names(name, &format!("[{}.NAME]", self.what), &self.all()));
        Err(reader.fault(fields.span_of(key), fault))
    }
}
