//! The fittings of a spec, and their places on runs.

use tube::Section;

use crate::design::{Bellows, Coupling, CouplingKind, Fitting, FittingAt, FittingPart, Slip};
use crate::diagnostic::Fault;
use crate::names::Names;
use crate::reader::Reader;
use crate::tube_file::Tubes;
use crate::value::{Fields, Read};

/// How far a sleeve goes over the tube that it is welded to, where its spec says nothing, mm (common
/// practice, no source).
const SOCKET: f64 = 12.0;

/// The tables of fittings, by name.
#[derive(Clone, Copy)]
pub(crate) struct FittingNames<'a> {
    slips: Names<'a>,
    bellows: Names<'a>,
    vbands: Names<'a>,
    flanged: Names<'a>,
}

impl<'a> FittingNames<'a> {
    pub fn of(root: &'a Fields) -> FittingNames<'a> {
        FittingNames {
            slips: Names::of(root, "slip", "unknown-slip"),
            bellows: Names::of(root, "bellows", "unknown-bellows"),
            vbands: Names::of(root, "vband", "unknown-vband"),
            flanged: Names::of(root, "flanged", "unknown-flanged"),
        }
    }

    pub fn slips(&self, reader: &mut Reader, tubes: &Tubes) -> Vec<Read<Slip>> {
        self.slips.list().iter().map(|(name, fields)| slip(reader, name, fields, tubes)).collect()
    }

    pub fn bellows(&self, reader: &mut Reader, tubes: &Tubes) -> Vec<Read<Bellows>> {
        self.bellows.list().iter().map(|(name, fields)| bellows(reader, name, fields, tubes)).collect()
    }

    /// The V-bands, then the flanged joints.
    pub fn couplings(&self, reader: &mut Reader, tubes: &Tubes) -> Vec<Read<Coupling>> {
        let mut couplings = Vec::new();
        for (name, fields) in self.vbands.list() {
            couplings.push(coupling(reader, name, fields, tubes, |_, _| Ok(CouplingKind::VBand)));
        }
        for (name, fields) in self.flanged.list() {
            couplings.push(coupling(reader, name, fields, tubes, bolted));
        }
        couplings
    }

    /// The fittings of a run.
    pub fn on_run(&self, reader: &mut Reader, fields: &Fields) -> Read<Vec<Fitting>> {
        let list = fields.get_or::<&[Read<Fields>]>("fittings", &[])?;
        let fittings: Vec<Read<Fitting>> = list
            .iter()
            .map(|item| self.fitting(reader, item.as_ref().map_err(|reported| *reported)?))
            .collect();
        fittings.into_iter().collect()
    }

    fn fitting(&self, reader: &mut Reader, fields: &Fields) -> Read<Fitting> {
        let key = fields.form();
        let part = match key {
            "slip" => self.slips.refer(reader, fields, key)?.map(FittingPart::Slip),
            "bellows" => self.bellows.refer(reader, fields, key)?.map(FittingPart::Bellows),
            "vband" => self.vbands.refer(reader, fields, key)?.map(FittingPart::Coupling),
            _ => {
                let before = self.vbands.list().len();
                self.flanged.refer(reader, fields, key)?.map(|index| FittingPart::Coupling(before + index))
            }
        };
        let part = part.ok_or_else(|| reader.absent(fields, key))?;
        let at = match fields.get::<&str>("at")? {
            Some("start") => FittingAt::Start,
            Some(_) => FittingAt::End,
            None => FittingAt::Station(reader.must(fields, "at")?),
        };
        Ok(Fitting { at, part })
    }
}

fn slip(reader: &mut Reader, name: &str, fields: &Fields, tubes: &Tubes) -> Read<Slip> {
    let outer = tubes.section_under(reader, fields, "outer");
    let double = fields.get_or("kind", "single")? == "double";
    let inner = match (double, fields.get::<&str>("inner")?) {
        (true, _) => Some(tubes.section_under(reader, fields, "inner")?),
        (false, None) => None,
        (false, Some(_)) => {
            let fault = Fault::new("unused-inner", "only a double slip has an inner sleeve")
                .label("not used")
                .help("leave `inner` out, or write kind = \"double\"");
            return Err(reader.fault(fields.span_of("inner"), fault));
        }
    };
    let outer = outer?;
    if let Some(inner) = inner {
        check_sleeves(reader, fields, inner, outer)?;
    }
    Ok(Slip {
        name: name.to_owned(),
        outer,
        inner,
        insertion: reader.must(fields, "insertion")?,
        room: reader.must(fields, "room")?,
        socket: fields.get_or("socket", SOCKET)?,
        tabs: fields.get_or::<f64>("tabs", 2.0)? as usize,
        least: fields.get("least_insertion")?,
    })
}

/// Checks that a tube's wall can stand between the two sleeves of a double slip.
fn check_sleeves(reader: &mut Reader, fields: &Fields, inner: Section, outer: Section) -> Read<()> {
    if inner.od < outer.bore() {
        return Ok(());
    }
    let (inside, bore) = (reader.say(inner.od), reader.say(outer.bore()));
    let message =
        format!("no tube goes between an inner sleeve of {inside} and an outer one's bore of {bore}");
    let fault = Fault::new("sleeves-cross", message)
        .label("too large")
        .help("the sliding tube's wall and two gaps have to fit between the two sleeves");
    Err(reader.fault(fields.span_of("inner"), fault))
}

fn bellows(reader: &mut Reader, name: &str, fields: &Fields, tubes: &Tubes) -> Read<Bellows> {
    let tube = tubes.section(reader, fields);
    let (od, length) = (reader.must(fields, "od")?, reader.must(fields, "length")?);
    let socket = fields.get_or("socket", 0.0)?;
    let tube = tube?;
    check_envelope(reader, fields, tube, [od, length, socket])?;
    Ok(Bellows {
        name: name.to_owned(),
        tube,
        alloy: reader.must(fields, "alloy")?,
        od,
        length,
        socket,
        axial: reader.must(fields, "axial")?,
        lateral: reader.must(fields, "lateral")?,
        angular: reader.must(fields, "angular")?,
        mass: reader.must(fields, "mass")?,
        straight: fields.get("straight")?,
        lined: fields.get_or("liner", "no")? == "yes",
    })
}

fn coupling(
    reader: &mut Reader,
    name: &str,
    fields: &Fields,
    tubes: &Tubes,
    kind: fn(&mut Reader, &Fields) -> Read<CouplingKind>,
) -> Read<Coupling> {
    let tube = tubes.section(reader, fields);
    let (od, length) = (reader.must(fields, "od")?, reader.must(fields, "length")?);
    let socket = fields.get_or("socket", 0.0)?;
    let tube = tube?;
    check_envelope(reader, fields, tube, [od, 2.0 * length, socket])?;
    Ok(Coupling {
        name: name.to_owned(),
        kind: kind(reader, fields)?,
        tube,
        alloy: reader.must(fields, "alloy")?,
        od,
        length,
        socket,
        gasket: fields.get_or("gasket", 0.0)?,
        mass: fields.get("mass")?,
        room_od: reader.must(fields, "room_od")?,
    })
}

fn bolted(reader: &mut Reader, fields: &Fields) -> Read<CouplingKind> {
    let bolts = reader.must::<f64>(fields, "bolts")? as usize;
    Ok(CouplingKind::Flanged { bolts, size: reader.must::<&str>(fields, "bolt")?.to_owned() })
}

/// Checks that a bought part is larger than its tube, and longer than what its two tubes take of it.
fn check_envelope(
    reader: &mut Reader,
    fields: &Fields,
    tube: Section,
    [od, length, socket]: [f64; 3],
) -> Read<()> {
    if od <= tube.od {
        let (od, tube) = (reader.say(od), reader.say(tube.od));
        let fault =
            Fault::new("envelope-too-small", format!("it is {od} across, no larger than its tube of {tube}"))
                .label("too small")
                .help("`od` is the largest outside diameter of the part as bought");
        return Err(reader.fault(fields.span_of("od"), fault));
    }
    if 2.0 * socket >= length {
        let (socket, length) = (reader.say(socket), reader.say(length));
        let fault = Fault::new("sockets-meet", format!("tubes that go in by {socket} meet within {length}"))
            .label("too deep")
            .help("`socket` is the depth of the recess at one end");
        return Err(reader.fault(fields.span_of("socket"), fault));
    }
    Ok(())
}
