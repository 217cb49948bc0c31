//! Where each value of a Design was written, so that later stages can point at it.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::diagnostic::Diagnostic;
use crate::source::Source;

/// Dotted keys (`run.front.path[2]`, `merge.collector.at`) and the tokens they were read from.
///
/// A key of the shop file is listed under `shop.`: `shop.die.d45.clr`.
#[derive(Clone, Debug)]
pub struct Origins {
    root: Source,
    places: BTreeMap<String, (Source, Range<usize>)>,
}

impl Origins {
    /// No keys yet, of a file.
    pub fn new(root: Source) -> Origins {
        Origins { root, places: BTreeMap::new() }
    }

    /// Notes where `key` was written.
    pub fn insert(&mut self, key: String, source: Source, span: Range<usize>) {
        self.places.insert(key, (source, span));
    }

    /// Takes over every key of another file's origins.
    pub fn extend(&mut self, other: Origins) {
        self.places.extend(other.places);
    }

    /// Where `key` was written; for a key that was not, its nearest parent that was, at last the
    /// start of the spec.
    pub fn find(&self, key: &str) -> (Source, Range<usize>) {
        let mut key = key;
        loop {
            if let Some(place) = self.places.get(key) {
                return place.clone();
            }
            match key.rfind(['.', '[']) {
                Some(end) => key = &key[..end],
                None => return (self.root.clone(), 0..0),
            }
        }
    }

    /// A diagnostic that marks the token of `key` (as [`Origins::find`] finds it).
    pub fn diagnostic(
        &self,
        key: &str,
        code: &'static str,
        message: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
    ) -> Diagnostic {
        let (source, span) = self.find(key);
        let (message, label, help) = (message.into(), label.into(), help.into());
        Diagnostic { code, message, label, help, source, span }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unwritten_key_falls_back_to_its_parent() {
        let source = Source::from_bytes("a.toml", b"0123456789").unwrap();
        let mut origins = Origins::new(source.clone());
        origins.insert("run.front".into(), source.clone(), 1..2);
        origins.insert("run.front.path[2]".into(), source, 3..4);
        assert_eq!(origins.find("run.front.path[2].radius").1, 3..4);
        assert_eq!(origins.find("run.front.path[1]").1, 1..2);
        assert_eq!(origins.find("run.rear").1, 0..0);
    }
}
