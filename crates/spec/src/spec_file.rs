//! A spec's text into a Design.

use geom::unit::Units;

use crate::bay_file::bay;
use crate::branch_file::{branch, bung, bung_places};
use crate::design::{Accepted, Design, Group, OpenValue, Paper, ScanFile, Slot};
use crate::diagnostic::{Diagnostic, Fault};
use crate::ends_file::{Ends, Places};
use crate::firing_file::firing_order;
use crate::fitting_file::FittingNames;
use crate::merge_file::merge;
use crate::names::Names;
use crate::network::{Network, check_groups};
use crate::origins::Origins;
use crate::place_file::{check_names, host, port};
use crate::plate_file::flange;
use crate::reader::Reader;
use crate::run_file::{Around, run};
use crate::shape_file::Load;
use crate::shop::Shop;
use crate::shop_file::{self, ShopFile};
use crate::source::Source;
use crate::spec_keys::SPEC;
use crate::tube_file::Tubes;
use crate::value::{Fields, Figure, Read};

/// How far a group's lengths may lie apart where its spec says nothing, mm (common practice, no source).
const SPREAD: f64 = 6.0;

/// What is known of a spec that is of no use.
#[derive(Clone, Debug)]
pub struct Unread {
    /// Everything that is wrong, in the order of the spec, then of the shop file.
    pub faults: Vec<Diagnostic>,
    /// The scans whose tables were read well all the same, in the order of the spec.
    pub scans: Vec<ScanFile>,
    /// Where its values were written.
    pub origins: Origins,
}

/// [`read_spec`] for those who do not read its scans.
///
/// Errors: everything that is wrong, in the order of the spec, then of the shop file.
pub fn read_design(
    source: &Source,
    load_file: &mut dyn FnMut(&str) -> Result<Source, String>,
) -> Result<(Design, Origins), Vec<Diagnostic>> {
    read_spec(source, load_file).map_err(|unread| unread.faults)
}

/// Reads a spec, and the files that it names (its shop file, outlines in DXF) through `load_file`, which gets
/// the path as the spec writes it and says in words why it cannot be read.
///
/// Returns the checked Design and where each of its values was written.
/// Errors: everything that is wrong, and the scans that it names in words that are right.
pub fn read_spec(
    source: &Source,
    load_file: &mut dyn FnMut(&str) -> Result<Source, String>,
) -> Result<(Design, Origins), Box<Unread>> {
    let mut reader = Reader::new(source, "");
    let mut shop_file = ShopFile::default();
    let design = reader.read(&SPEC).and_then(|root| {
        let loaded = load(&mut reader, &root, load_file).map(|file| shop_file = file);
        let shop = loaded.and_then(|()| shop_file.shop.clone());
        design(&mut reader, source, &root, shop, load_file)
    });
    let scans = std::mem::take(&mut reader.scans);
    let (mut faults, mut origins) = reader.finish();
    faults.extend(shop_file.faults);
    origins.extend(shop_file.origins);
    match design {
        Ok(design) if faults.is_empty() => Ok((design, origins)),
        _ => Err(Box::new(Unread { faults, scans, origins })),
    }
}

/// The shop file that the spec names, or the default shop.
fn load(reader: &mut Reader, root: &Fields, load_shop: Load) -> Read<ShopFile> {
    let Some(path) = root.get::<&str>("shop")? else { return Ok(ShopFile::default()) };
    match load_shop(path) {
        Ok(source) => Ok(shop_file::read(&source, "shop.")),
        Err(reason) => {
            let fault =
                Fault::new("shop-not-read", format!("the shop file \"{path}\" cannot be read: {reason}"))
                    .label("cannot be read")
                    .help("write its path from this file's folder, or leave `shop` out");
            Err(reader.fault(root.span_of("shop"), fault))
        }
    }
}

fn design(
    reader: &mut Reader,
    source: &Source,
    root: &Fields,
    shop: Read<Shop>,
    load_file: Load,
) -> Read<Design> {
    let tubes = Tubes::read(reader, root);
    let places = Places {
        ports: Names::of(root, "port", "unknown-port"),
        flanges: Names::of(root, "flange", "unknown-flange"),
        hosts: Names::of(root, "host", "unknown-host"),
        merges: Names::of(root, "merge", "unknown-merge"),
        branches: Names::of(root, "branch", "unknown-branch"),
    };
    check_names(reader, [places.ports, places.flanges, places.hosts, places.merges, places.branches]);
    let ports = each(places.ports, |name, fields| port(reader, name, fields, load_file));
    let flanges =
        each(places.flanges, |name, fields| flange(reader, name, fields, (places.ports, &ports), load_file));
    let hosts = each(places.hosts, |name, fields| host(reader, name, fields));
    let firing_order = firing_order(reader, root, places.ports);
    let accepted = accepted(reader, source, root);
    let bay = bay(reader, root, shop.as_ref().map(|shop| shop.clearance).map_err(|reported| *reported));
    let group_names = Names::of(root, "group", "unknown-group");
    let groups = each(group_names, group);
    let bung_names = Names::of(root, "bung", "unknown-bung");
    let bungs = each(bung_names, |name, fields| bung(reader, name, fields));
    let group_bungs =
        each(group_names, |name, fields| bung_places(reader, fields, &format!("group.{name}"), bung_names));

    let fittings = FittingNames::of(root);
    let slips = fittings.slips(reader, &tubes);
    let bellows = fittings.bellows(reader, &tubes);
    let couplings = fittings.couplings(reader, &tubes);

    let run_names = runs(reader, root)?;
    check_groups(reader, group_names, run_names);
    let ends = each(run_names, |_, fields| Ends::read(reader, fields, &places, &tubes));
    let branches = each(places.branches, |name, fields| branch(reader, name, fields, &places, run_names));
    let network = Network { runs: run_names.list(), ends: &ends, places: &places };
    let outlets = network.check(reader);
    network.check_branches(reader, &branches);
    let mut merges = Vec::new();
    for ((name, fields), outlet) in places.merges.list().iter().zip(outlets) {
        merges.push(merge(reader, name, fields, &tubes, outlet.and_then(|run| ends[run].first())));
    }
    let making = root.get_or("making", "drawn");
    let around = Around {
        ports: &ports,
        merges: &merges,
        groups: &groups,
        group_names,
        group_bungs: &group_bungs,
        bungs: bung_names,
        making,
        fittings,
    };
    let mut runs = Vec::new();
    for ((name, fields), ends) in run_names.list().iter().zip(&ends) {
        runs.push(run(reader, name, fields, ends, &around));
    }
    let units = reader.units.unwrap_or(Units::Millimetre);
    Ok(Design {
        name: source.stem(),
        title: reader.must::<&str>(root, "title")?.to_owned(),
        note: root.get_or("note", "")?.to_owned(),
        units,
        paper: paper(root, units)?,
        ports: all(ports)?,
        flanges: all(flanges)?,
        hosts: all(hosts)?,
        seamless: tubes.seamless(shop.as_ref().is_ok_and(|s| s.seamless))?,
        merges: all(merges)?,
        branches: all(branches)?,
        bungs: all(bungs)?,
        firing_order: firing_order?,
        runs: all(runs)?,
        groups: all(groups)?,
        slips: all(slips)?,
        bellows: all(bellows)?,
        couplings: all(couplings)?,
        accepted: accepted?,
        bay: bay?,
        shop: shop?,
    })
}

/// Reads each table of a kind.
fn each<T>(names: Names, mut read: impl FnMut(&str, &Fields) -> T) -> Vec<T> {
    names.list().iter().map(|(name, fields)| read(name, fields)).collect()
}

fn all<T>(items: Vec<Read<T>>) -> Read<Vec<T>> {
    items.into_iter().collect()
}

/// The runs; a spec without any makes nothing.
fn runs<'a>(reader: &mut Reader, root: &'a Fields) -> Read<Names<'a>> {
    let runs = Names::of(root, "run", "unknown-run");
    if !runs.tables?.is_empty() {
        return Ok(runs);
    }
    let fault = Fault::new("no-runs", "the spec has no run")
        .label("nothing to make")
        .help("add a [run.NAME] with `from`, `to`, `tube` and `path`");
    Err(reader.fault(0..0, fault))
}

fn paper(root: &Fields, units: Units) -> Read<Paper> {
    let default = if units == Units::Inch { "letter" } else { "a4" };
    Ok(if root.get_or("paper", default)? == "letter" { Paper::Letter } else { Paper::A4 })
}

fn group(name: &str, fields: &Fields) -> Read<Group> {
    let (target, open) = match fields.get("target")? {
        Some(Figure::Given(length)) => (Some(length), None),
        Some(Figure::Open(drawn)) => {
            let key = format!("group.{name}.target");
            (None, Some(OpenValue { key, slot: Slot::Target, drawn }))
        }
        None => (None, None),
    };
    Ok(Group { name: name.to_owned(), target, open, spread: fields.get_or("spread", SPREAD)? })
}

fn accepted(reader: &mut Reader, source: &Source, root: &Fields) -> Read<Vec<Accepted>> {
    let list = root.get_or::<&[Read<Fields>]>("accept", &[])?;
    let one = |item: &Read<Fields>| accept(reader, source, item.as_ref().map_err(|reported| *reported)?);
    all(list.iter().map(one).collect())
}

fn accept(reader: &mut Reader, source: &Source, fields: &Fields) -> Read<Accepted> {
    let code: &str = reader.must(fields, "code")?;
    let place: &str = reader.must(fields, "at")?;
    let why: &str = reader.must(fields, "why")?;
    if why.trim().is_empty() {
        let fault = Fault::new("empty-why", format!("\"{code}\" is accepted without a reason"))
            .label("empty")
            .help("say in words why it is safe to go ahead");
        return Err(reader.fault(fields.span_of("why"), fault));
    }
    let line = source.line_column(fields.span_of("code").start).0;
    Ok(Accepted { code: code.to_owned(), place: place.to_owned(), why: why.to_owned(), line })
}
