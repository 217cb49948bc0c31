//! A shop file's text into a Shop.

use std::f64::consts::FRAC_PI_2;
use std::sync::Arc;

use geom::angle::from_degrees;

use crate::diagnostic::{Diagnostic, Fault};
use crate::origins::Origins;
use crate::printer_file::printer;
use crate::reader::Reader;
use crate::shop::{Accuracy, ClearanceRules, Die, Reference, Saw, Shop, StockBend, StockTube};
use crate::shop_keys::SHOP;
use crate::source::Source;
use crate::tube_file::check_wall;
use crate::value::{Fields, Read};

/// Reads a shop file.
///
/// Errors: everything that is wrong with it, in the order of the file.
pub fn read_shop(source: &Source) -> Result<Shop, Vec<Diagnostic>> {
    let file = read(source, "");
    match file.shop {
        Ok(shop) if file.faults.is_empty() => Ok(shop),
        _ => Err(file.faults),
    }
}

/// A shop file as read: its shop, its faults, and where its values were written.
pub(crate) struct ShopFile {
    pub shop: Read<Shop>,
    pub faults: Vec<Diagnostic>,
    pub origins: Origins,
}

/// No file: the default shop.
impl Default for ShopFile {
    fn default() -> Self {
        let nothing = Source { name: String::new(), text: Arc::from("") };
        ShopFile { shop: Ok(Shop::default()), faults: Vec::new(), origins: Origins::new(nothing) }
    }
}

/// Reads a shop file; `prefix` is put before its keys in the origins.
pub(crate) fn read(source: &Source, prefix: &'static str) -> ShopFile {
    let mut reader = Reader::new(source, prefix);
    let shop = reader.read(&SHOP).and_then(|root| shop(&mut reader, &root));
    let (faults, origins) = reader.finish();
    ShopFile { shop, faults, origins }
}

fn shop(reader: &mut Reader, root: &Fields) -> Read<Shop> {
    let dies = each(reader, root, "die", die);
    let bends = each(reader, root, "bend", stock_bend);
    let tubes = each(reader, root, "tube", stock_tube);
    let printer = printer(reader, root);
    let default = Shop::default();
    Ok(Shop {
        name: reader.must::<&str>(root, "name")?.to_owned(),
        dies: dies?,
        bends: bends?,
        tubes: tubes?,
        saw: saw(root)?,
        accuracy: accuracy(root)?,
        clearance: clearance(root)?,
        torch_reach: root.get_or("torch_reach", default.torch_reach)?,
        weld_shrinkage: root.get_or("weld_shrinkage", default.weld_shrinkage)?,
        least_piece: root.get_or("least_piece", default.least_piece)?,
        seamless: root.get_or("seam", "welded")? == "none",
        slip_gap: root.get_or("slip_gap", default.slip_gap)?,
        paper_thickness: root.get_or("paper_thickness", default.paper_thickness)?,
        printer: printer?,
    })
}

/// Reads every table under `key`, so that each reports its own faults.
fn each<T>(
    reader: &mut Reader,
    root: &Fields,
    key: &str,
    read: fn(&mut Reader, &str, &Fields) -> Read<T>,
) -> Read<Vec<T>> {
    let items: Vec<Read<T>> =
        root.named(key)?.iter().map(|(name, fields)| read(reader, name, fields)).collect();
    items.into_iter().collect()
}

fn saw(root: &Fields) -> Read<Saw> {
    let default = Saw::default();
    let Some(saw) = root.get::<&Fields>("saw")? else { return Ok(default) };
    Ok(Saw { kerf: saw.get_or("kerf", default.kerf)?, swing: saw.get_or("swing", default.swing)? })
}

fn accuracy(root: &Fields) -> Read<Accuracy> {
    let default = Accuracy::default();
    let Some(found) = root.get::<&Fields>("accuracy")? else { return Ok(default) };
    Ok(Accuracy {
        length: found.get_or("length", default.length)?,
        bend: found.get_or("bend", default.bend)?,
        turn: found.get_or("turn", default.turn)?,
    })
}

fn clearance(root: &Fields) -> Read<ClearanceRules> {
    let default = ClearanceRules::default();
    let Some(found) = root.get::<&Fields>("clearance")? else { return Ok(default) };
    Ok(ClearanceRules {
        fixed: found.get_or("fixed", default.fixed)?,
        moving: found.get_or("moving", default.moving)?,
        wiring: found.get_or("wiring", default.wiring)?,
        fuel: found.get_or("fuel", default.fuel)?,
        steering: found.get_or("steering", default.steering)?,
        tubes: found.get_or("tubes", default.tubes)?,
        ground: found.get_or("ground", default.ground)?,
        torch: found.get_or("torch", default.torch)?,
    })
}

fn die(reader: &mut Reader, name: &str, fields: &Fields) -> Read<Die> {
    let reference = reference(reader, fields);
    let (od, clr) = (reader.must(fields, "od")?, reader.must(fields, "clr")?);
    check_radius(reader, fields, od, clr)?;
    Ok(Die {
        name: name.to_owned(),
        od,
        clr,
        largest: fields.get_or("largest", from_degrees(180.0))?,
        grip: reader.must(fields, "grip")?,
        tail: fields.get_or("tail", 0.0)?,
        trim: fields.get_or("trim", 0.0)?,
        longest: reader.must(fields, "longest")?,
        springback: fields.get_or("springback", 0.0)? / FRAC_PI_2,
        springback_fixed: fields.get_or("springback_fixed", 0.0)?,
        stretch: fields.get_or("stretch", 0.0)? / FRAC_PI_2,
        reference: reference?,
    })
}

fn reference(reader: &mut Reader, fields: &Fields) -> Read<Reference> {
    let length = fields.get("clamp_length")?;
    match fields.get_or("reference", "start")? {
        "clamp face" => match length {
            Some(length) => Ok(Reference::ClampFace(length)),
            None => Err(reader.absent(fields, "clamp_length")),
        },
        "middle" => Ok(Reference::Middle),
        _ => Ok(Reference::Start),
    }
}

fn stock_bend(reader: &mut Reader, name: &str, fields: &Fields) -> Read<StockBend> {
    let (od, clr) = (reader.must(fields, "od")?, reader.must(fields, "clr")?);
    let wall = reader.must(fields, "wall")?;
    check_wall(reader, fields, od, wall)?;
    check_radius(reader, fields, od, clr)?;
    let alloy = reader.must(fields, "alloy")?;
    let (angle, legs) = (reader.must(fields, "angle")?, reader.must(fields, "legs")?);
    Ok(StockBend { name: name.to_owned(), od, wall, alloy, clr, angle, legs })
}

fn stock_tube(reader: &mut Reader, name: &str, fields: &Fields) -> Read<StockTube> {
    let (od, wall) = (reader.must(fields, "od")?, reader.must(fields, "wall")?);
    check_wall(reader, fields, od, wall)?;
    let (alloy, length) = (reader.must(fields, "alloy")?, reader.must(fields, "length")?);
    Ok(StockTube { name: name.to_owned(), od, wall, alloy, length })
}

/// A centreline radius of no more than half the diameter would fold the inside of the bend.
fn check_radius(reader: &mut Reader, fields: &Fields, od: f64, clr: f64) -> Read<()> {
    if clr > 0.5 * od {
        return Ok(());
    }
    let (tube, radius) = (reader.say(od), reader.say(clr));
    let message = format!("a tube of {tube} cannot have a centreline radius of {radius}");
    let fault = Fault::new("radius-folds", message)
        .label("the inside of the bend would fold")
        .help(format!("the radius has to be above {}", reader.say(0.5 * od)));
    Err(reader.fault(fields.span_of("clr"), fault))
}
