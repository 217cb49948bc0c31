//! Walks a TOML file along its key table and collects everything wrong with it.

use std::collections::BTreeMap;
use std::ops::Range;

use geom::unit::Units;
use toml::Spanned;
use toml::de::{DeArray, DeString, DeTable, DeValue};

use crate::design::ScanFile;
use crate::diagnostic::{Diagnostic, Fault, nearest};
use crate::key::{Key, Kind, Table};
use crate::origins::Origins;
use crate::scalar::{self, Trouble, wrong_type};
use crate::source::Source;
use crate::syntax;
use crate::value::{Entry, Fields, FromValue, Read, Reported, Value};

/// The longest name of a table: names become file names.
const LONGEST_NAME: usize = 40;

/// The most tables of one kind: some checks compare each with each.
const MOST_NAMES: usize = 2000;

/// A file being read, with the faults found so far.
pub(crate) struct Reader {
    source: Source,
    /// Put before every key in the origins: empty or `shop.`.
    prefix: &'static str,
    /// What bare lengths are in.
    pub units: Option<Units>,
    /// The scans whose tables were read well.
    pub scans: Vec<ScanFile>,
    errors: Vec<Diagnostic>,
    /// Bare lengths of a file without `units`: reported together.
    unitless: Vec<Range<usize>>,
    origins: Origins,
}

impl Reader {
    pub fn new(source: &Source, prefix: &'static str) -> Reader {
        let (source, origins) = (source.clone(), Origins::new(source.clone()));
        Reader {
            source,
            prefix,
            units: None,
            scans: Vec::new(),
            errors: Vec::new(),
            unitless: Vec::new(),
            origins,
        }
    }

    /// Reads the whole file as `table`. Where the file's syntax is broken or whole tables are
    /// misnamed, what can be said of the rest is reported and the fields are withheld: checks that
    /// compare one table with another would only report consequences.
    pub fn read(&mut self, table: &'static Table) -> Read<Fields> {
        let source = self.source.clone();
        let (document, syntax_errors) = DeTable::parse_recoverable(&source.text);
        let document = document.get_ref();
        self.units = self.file_units(document);
        if !syntax_errors.is_empty() {
            return Err(self.broken(table, document, &syntax_errors));
        }
        if document.is_empty() {
            let fault = Fault::new("empty", "the file holds no keys").label("nothing to read");
            return Err(self.fault(0..0, fault.help(format!("write {}", table.names().join(", ")))));
        }
        let fields = self.fields(table, document, String::new(), table.name.to_owned(), 0..0);
        let misnamed = document.iter().find(|(key, value)| {
            table.key(key.get_ref()).is_none()
                && matches!(value.get_ref(), DeValue::Table(_) | DeValue::Array(_))
        });
        match misnamed {
            Some(_) => Err(Reported(())),
            None => Ok(fields),
        }
    }

    /// Reports a fault at a place of the file.
    pub fn fault(&mut self, span: Range<usize>, fault: Fault) -> Reported {
        let Fault { code, message, label, help } = fault;
        self.errors.push(Diagnostic { code, message, label, help, source: self.source.clone(), span });
        Reported(())
    }

    /// The value of a key that has to be there, by its key table or for a reason of the caller's.
    pub fn must<'a, T: FromValue<'a>>(&mut self, fields: &'a Fields, key: &str) -> Read<T> {
        fields.get(key)?.ok_or_else(|| self.absent(fields, key))
    }

    /// Reports that a table lacks a key.
    pub fn absent(&mut self, fields: &Fields, key: &str) -> Reported {
        let doc = fields.table.key(key).map_or("", |key| key.doc);
        let fault = Fault::new("missing-key", format!("{} has no `{key}`", fields.title));
        self.fault(fields.span.clone(), fault.label("incomplete").help(doc))
    }

    /// A length as messages say it: in the file's units.
    pub fn say(&self, mm: f64) -> String {
        scalar::length_text(mm, self.units)
    }

    /// Where the value of a dotted key was written, or its nearest parent.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.origins.find(&format!("{}{key}", self.prefix)).1
    }

    /// Everything wrong, in the order of the file, and where each value was written.
    pub fn finish(mut self) -> (Vec<Diagnostic>, Origins) {
        self.report_unitless();
        self.errors.sort_by_key(|error| (error.span.start, error.span.end));
        (self.errors, self.origins)
    }

    /// What bare lengths are in. Where `units` is there but wrong, mm: its fault is enough.
    fn file_units(&self, document: &DeTable) -> Option<Units> {
        document.get("units").map(|value| match value.get_ref() {
            DeValue::String(text) if text == "in" => Units::Inch,
            _ => Units::Millimetre,
        })
    }

    /// Reports the syntax errors, and what is wrong with keys and values on other lines.
    fn broken(&mut self, table: &'static Table, document: &DeTable, errors: &[toml::de::Error]) -> Reported {
        let breaks = syntax::faults(&self.source, errors);
        if breaks.rest_is_sound {
            self.fields(table, document, String::new(), table.name.to_owned(), 0..0);
            let lines: Vec<usize> =
                breaks.faults.iter().map(|(span, _)| self.source.line_column(span.start).0).collect();
            let source = self.source.clone();
            self.errors.retain(|e| {
                e.code != "missing-key"
                    && !e.span.is_empty()
                    && !lines.contains(&source.line_column(e.span.start).0)
            });
        }
        self.unitless.clear();
        for (span, fault) in breaks.faults {
            self.fault(span, fault);
        }
        Reported(())
    }

    fn report_unitless(&mut self) {
        self.unitless.sort_by_key(|span| span.start);
        let Some(first) = self.unitless.first().cloned() else { return };
        let text = self.source.text.get(first.clone()).unwrap_or_default().trim_matches('"').to_owned();
        let message = match self.unitless.len() - 1 {
            0 => format!("the length {text} has no unit"),
            1 => format!("the length {text} has no unit, and neither has 1 more"),
            more => format!("the length {text} has no unit, and neither have {more} more"),
        };
        let help = format!("write units = \"mm\" (or \"in\") at the top of the file, or \"{text} mm\" here");
        self.fault(first, Fault::new("no-units", message).label("mm or in?").help(help));
    }

    /// Reads a table's entries along its key table.
    fn fields(
        &mut self,
        table: &'static Table,
        found: &DeTable,
        path: String,
        title: String,
        span: Range<usize>,
    ) -> Fields {
        let mut fields = Fields { title, table, span, entries: BTreeMap::new() };
        let known = |key: &Spanned<DeString>| table.key(key.get_ref());
        for (key, value) in found {
            if let Some(known) = known(key) {
                let path = join(&path, known.name);
                fields.entries.insert(known.name, self.entry(known, key, value, path));
            }
        }
        for (key, _) in found.iter().filter(|(key, _)| known(key).is_none()) {
            self.unknown_key(table, &mut fields, key);
        }
        self.check_required(table, &mut fields);
        self.check_either(table, &mut fields);
        fields
    }

    fn entry(
        &mut self,
        key: &'static Key,
        token: &Spanned<DeString>,
        value: &Spanned<DeValue>,
        path: String,
    ) -> Entry {
        let read = match (&key.kind, value.get_ref()) {
            (Kind::Table(table) | Kind::WordOrTable(_, table), DeValue::Table(found)) => {
                let title = format!("`{}`", key.name);
                Ok(Value::Table(self.fields(table, found, path.clone(), title, token.span())))
            }
            (Kind::Named(table), DeValue::Table(found)) if found.len() <= MOST_NAMES => {
                Ok(self.named(table, found, &path))
            }
            (Kind::Named(_), DeValue::Table(found)) => Err(self.too_many(token.span(), found.len(), &path)),
            (Kind::List(tables), DeValue::Array(found)) => Ok(self.list(key, tables, found, &path)),
            (Kind::Table(_) | Kind::Named(_) | Kind::List(_), _) => {
                Err(self.trouble(key, value.span(), wrong_type(&key.kind, key.name, value)))
            }
            _ => self.scalar(key, value),
        };
        if let (Kind::OpenPoint, DeValue::Array(elements)) = (&key.kind, value.get_ref()) {
            for (index, element) in elements.iter().enumerate() {
                self.note(format!("{path}[{index}]"), element.span());
            }
        }
        self.note(path, value.span());
        Entry { span: value.span(), value: read }
    }

    fn scalar(&mut self, key: &Key, value: &Spanned<DeValue>) -> Read<Value> {
        scalar::read(&key.kind, key.name, value, self.units).map_err(|troubles| {
            for (span, trouble) in troubles {
                self.trouble(key, span, trouble);
            }
            Reported(())
        })
    }

    fn too_many(&mut self, span: Range<usize>, count: usize, path: &str) -> Reported {
        let fault = Fault::new("too-many", format!("the file has {count} tables [{path}.NAME]"))
            .label("too many")
            .help(format!("no header or shop needs more than {MOST_NAMES}"));
        self.fault(span, fault)
    }

    /// Tables by name, in the order of the file.
    fn named(&mut self, table: &'static Table, found: &DeTable, path: &str) -> Value {
        let mut entries: Vec<_> = found.iter().collect();
        entries.sort_by_key(|(key, _)| key.span().start);
        let mut named: Vec<(String, Fields)> = Vec::new();
        for (key, value) in entries {
            let name = key.get_ref().to_string();
            self.check_name(&name, key.span(), &named);
            let path = join(path, &name);
            self.note(path.clone(), key.span());
            let title = table.name.replace("NAME", &name);
            match value.get_ref() {
                DeValue::Table(found) => {
                    let fields = self.fields(table, found, path, title, key.span());
                    named.push((name, fields));
                }
                _ => {
                    let fault = Fault::new("wrong-type", format!("`{path}` has to be a table"))
                        .label("not a table")
                        .help(format!("head it {title} and write its keys below"));
                    self.fault(value.span(), fault);
                }
            }
        }
        Value::Named(named)
    }

    /// Names become file names, some file systems do not tell upper from lower case.
    fn check_name(&mut self, name: &str, span: Range<usize>, before: &[(String, Fields)]) {
        let is_plain = name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_');
        if name.is_empty() || !is_plain || name.len() > LONGEST_NAME {
            let fault = Fault::new("bad-name", format!("the name \"{name}\" cannot become a file name"))
                .label("not a plain name")
                .help(format!("use 1 to {LONGEST_NAME} of the letters a to z, digits, - and _"));
            self.fault(span, fault);
        } else if let Some((other, _)) = before.iter().find(|(other, _)| other.eq_ignore_ascii_case(name)) {
            let fault = Fault::new("name-case", format!("\"{name}\" and \"{other}\" differ only in case"))
                .label("the same file name on some systems")
                .help("rename one of them");
            self.fault(span, fault);
        }
    }

    fn list(&mut self, key: &Key, tables: &[&'static Table], found: &DeArray, path: &str) -> Value {
        let mut list = Vec::with_capacity(found.len());
        for (index, value) in found.iter().enumerate() {
            let path = format!("{path}[{index}]");
            self.note(path.clone(), value.span());
            let item = match value.get_ref() {
                DeValue::Table(table) => self
                    .form(key.name, tables, table, value.span())
                    .map(|form| self.fields(form, table, path, form.name.to_owned(), value.span())),
                _ => Err(self.trouble(key, value.span(), wrong_type(&key.kind, key.name, value))),
            };
            list.push(item);
        }
        Value::List(list)
    }

    /// Which of a list's forms a table has: told by the first key of each.
    fn form(
        &mut self,
        list: &str,
        tables: &[&'static Table],
        found: &DeTable,
        span: Range<usize>,
    ) -> Read<&'static Table> {
        if let [only] = tables {
            return Ok(only);
        }
        let lead = |table: &&'static Table| table.keys.first().map_or("", |key| key.name);
        let has: Vec<&'static Table> =
            tables.iter().copied().filter(|t| found.contains_key(lead(t))).collect();
        let leads: Vec<&str> = tables.iter().map(lead).collect();
        match has[..] {
            [only] => Ok(only),
            [] => {
                let meant = found.keys().find_map(|key| Some((key, nearest(key.get_ref(), &leads)?)));
                Err(match meant {
                    Some((key, lead)) => self.fault(
                        key.span(),
                        Fault::new(
                            "unknown-key",
                            format!("`{}` is not a key of an entry of `{list}`", key.get_ref()),
                        )
                        .label("unknown key")
                        .help(format!("did you mean `{lead}`?")),
                    ),
                    None => self.fault(
                        span,
                        Fault::new("unknown-form", "this entry is of no known form")
                            .label("neither of them")
                            .help(format!("an entry has one of the keys {}", quoted(&leads))),
                    ),
                })
            }
            [first, second, ..] => Err(self.fault(
                span,
                Fault::new("mixed-entry", format!("this entry is both {} and {}", first.name, second.name))
                    .label("two in one")
                    .help("write each in braces of its own, with a comma between"),
            )),
        }
    }

    /// Reports an unknown key. If a key that is missing was meant, that one counts as reported.
    fn unknown_key(&mut self, table: &Table, fields: &mut Fields, key: &Spanned<DeString>) {
        let name = key.get_ref().as_ref();
        let meant = nearest(name, &table.names());
        let help = match meant {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("its keys: {}", table.names().join(", ")),
        };
        let fault = Fault::new("unknown-key", format!("`{name}` is not a key of {}", fields.title))
            .label("unknown key")
            .help(help);
        let reported = self.fault(key.span(), fault);
        if let Some(known) = meant.and_then(|meant| table.key(meant)) {
            fields.entries.entry(known.name).or_insert(Entry { span: key.span(), value: Err(reported) });
        }
    }

    fn check_required(&mut self, table: &Table, fields: &mut Fields) {
        for key in table.keys.iter().filter(|key| key.required) {
            if !fields.entries.contains_key(key.name) {
                let message = format!("{} has no `{}`", fields.title, key.name);
                self.missing(fields, &[key.name], message, key.doc.to_owned());
            }
        }
    }

    /// Checks that exactly one set of the table's either-or keys is there, whole.
    fn check_either(&mut self, table: &Table, fields: &mut Fields) {
        let present = |set: &&&[&'static str]| set.iter().any(|key| fields.entries.contains_key(key));
        let sets: Vec<&[&'static str]> = table.either.iter().filter(present).copied().collect();
        match sets[..] {
            [] if table.either.is_empty() => {}
            [] => {
                let names: Vec<String> = table.either.iter().map(|set| quoted_and(set)).collect();
                let message = format!("{} has neither {}", fields.title, names.join(" nor "));
                self.missing(
                    fields,
                    &table.either.concat(),
                    message,
                    format!("write {}", names.join(" or ")),
                );
            }
            [set] => {
                for name in
                    set.iter().filter(|name| !fields.entries.contains_key(*name)).copied().collect::<Vec<_>>()
                {
                    let message = format!("{} has no `{name}`", fields.title);
                    let doc = table.key(name).map_or("", |key| key.doc);
                    self.missing(fields, &[name], message, doc.to_owned());
                }
            }
            [first, second, ..] => {
                let span =
                    second.iter().find_map(|key| fields.entries.get(key)).map(|entry| entry.span.clone());
                let message =
                    format!("{} has {} beside {}", fields.title, quoted_and(second), quoted_and(first));
                let fault = Fault::new("both-keys", message).label("one too many").help("keep one of them");
                let reported = self.fault(span.unwrap_or(fields.span.clone()), fault);
                for key in table.either.concat() {
                    fields.entries.insert(key, Entry { span: fields.span.clone(), value: Err(reported) });
                }
            }
        }
    }

    fn missing(&mut self, fields: &mut Fields, keys: &[&'static str], message: String, help: String) {
        let fault = Fault::new("missing-key", message).label("incomplete").help(help);
        let reported = self.fault(fields.span.clone(), fault);
        for key in keys {
            fields.entries.insert(key, Entry { span: fields.span.clone(), value: Err(reported) });
        }
    }

    /// Reports a trouble with the value of `key`, whose description is the mend where it has no other.
    fn trouble(&mut self, key: &Key, span: Range<usize>, trouble: Trouble) -> Reported {
        match trouble {
            Trouble::Fault(fault) if fault.help.is_empty() => self.fault(span, fault.help(key.doc)),
            Trouble::Fault(fault) => self.fault(span, fault),
            Trouble::Unitless => {
                self.unitless.push(span);
                Reported(())
            }
        }
    }

    fn note(&mut self, path: String, span: Range<usize>) {
        self.origins.insert(format!("{}{path}", self.prefix), self.source.clone(), span);
    }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

fn quoted(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    quoted.join(", ")
}

fn quoted_and(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    quoted.join(" and ")
}
