//! The tube sections of a spec.

use tube::Section;

use crate::diagnostic::Fault;
use crate::names::Names;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// Every `[tube.NAME]`, resolved.
pub(crate) struct Tubes<'a> {
    names: Names<'a>,
    sections: Vec<Read<Section>>,
}

impl<'a> Tubes<'a> {
    pub fn read(reader: &mut Reader, root: &'a Fields) -> Tubes<'a> {
        let names = Names::of(root, "tube", "unknown-tube");
        let sections = names.list().iter().map(|(_, fields)| section(reader, fields)).collect();
        Tubes { names, sections }
    }

    /// The sections of which no tube is welded; `unless_said` is what a tube is that does not say.
    pub fn seamless(&self, unless_said: bool) -> Read<Vec<Section>> {
        let default = if unless_said { "none" } else { "welded" };
        let (mut seamless, mut welded) = (Vec::new(), Vec::new());
        for ((_, fields), section) in self.names.list().iter().zip(&self.sections) {
            let list = if fields.get_or("seam", default)? == "none" { &mut seamless } else { &mut welded };
            list.push((*section)?);
        }
        seamless.retain(|section| !welded.contains(section));
        Ok(seamless)
    }

    /// The section that the `tube` of a table names.
    pub fn section(&self, reader: &mut Reader, fields: &Fields) -> Read<Section> {
        self.section_under(reader, fields, "tube")
    }

    /// The section that a key of a table names.
    pub fn section_under(&self, reader: &mut Reader, fields: &Fields, key: &str) -> Read<Section> {
        match self.names.refer(reader, fields, key)? {
            Some(index) => self.sections[index],
            None => Err(reader.absent(fields, key)),
        }
    }
}

fn section(reader: &mut Reader, fields: &Fields) -> Read<Section> {
    let (od, wall) = match fields.get::<(f64, f64)>("size")? {
        Some(pipe) => pipe,
        None => (reader.must(fields, "od")?, reader.must(fields, "wall")?),
    };
    check_wall(reader, fields, od, wall)?;
    Ok(Section { od, wall, alloy: reader.must(fields, "alloy")? })
}

/// Checks that a wall leaves a bore.
pub(crate) fn check_wall(reader: &mut Reader, fields: &Fields, od: f64, wall: f64) -> Read<()> {
    if wall < 0.5 * od {
        return Ok(());
    }
    let message = format!("a wall of {} leaves no bore in {}", reader.say(wall), reader.say(od));
    let fault = Fault::new("wall-too-thick", message)
        .label("half the diameter or more")
        .help("write the wall as a decimal, in the file's units");
    Err(reader.fault(fields.span_of("wall"), fault))
}
