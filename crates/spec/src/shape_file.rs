//! Shapes of ports, openings and plates; those out of DXF files.

use plate::dxf::{Reading, read};
use plate::{DVec2, Loop, Outline};

use crate::design::{Shape, Transition, TransitionMake};
use crate::diagnostic::Fault;
use crate::reader::Reader;
use crate::source::Source;
use crate::value::{Fields, Read};

/// Ends in a DXF that are no further apart meet, mm.
const TOLERANCE: f64 = 0.01;

/// How the files beside a spec are read: the path as the spec writes it, to its text or why not.
pub(crate) type Load<'a> = &'a mut dyn FnMut(&str) -> Result<Source, String>;

/// The shape under `key`, if it is there: one closed loop.
pub(crate) fn shape(reader: &mut Reader, fields: &Fields, key: &str, load: Load) -> Read<Option<Shape>> {
    let Some(table) = fields.get::<&Fields>(key)? else { return Ok(None) };
    let Outlines { loops, kind } = outlines(reader, table, load)?;
    match <[Loop; 1]>::try_from(loops) {
        Ok([outline]) => {
            let halves = halves(reader, table, &outline)?;
            Ok(Some(Shape { outline, kind, halves }))
        }
        Err(loops) => {
            let fault = Fault::new("dxf-several", format!("the DXF holds {} closed outlines", loops.len()))
                .label("one is needed")
                .help("leave one in the file, or name its layer: layer = \"...\"");
            Err(reader.fault(table.span_of("dxf"), fault))
        }
    }
}

/// The plate outline under `key`, if it is there: the outside and what lies in it as holes.
pub(crate) fn outline(reader: &mut Reader, fields: &Fields, key: &str, load: Load) -> Read<Option<Outline>> {
    let Some(table) = fields.get::<&Fields>(key)? else { return Ok(None) };
    let Outlines { mut loops, .. } = outlines(reader, table, load)?;
    let largest = (0..loops.len()).max_by(|a, b| loops[*a].area().total_cmp(&loops[*b].area()));
    let outer = loops.remove(largest.unwrap_or(0));
    let astray = loops.iter().find(|hole| {
        outer.gap(hole).distance == 0.0 || !hole.edges.iter().all(|edge| outer.contains(edge.from()))
    });
    if let Some(hole) = astray {
        let (low, high) = hole.bounds();
        let message = format!(
            "the DXF's outline from {:.2}, {:.2} to {:.2}, {:.2} mm is no hole of the largest one",
            low.x, low.y, high.x, high.y
        );
        let fault = Fault::new("dxf-several", message).label("which is the outside?");
        let help = "let one outline hold all others, or name the outline's layer: layer = \"...\"";
        return Err(reader.fault(table.span_of("dxf"), fault.help(help)));
    }
    Ok(Some(Outline::new(outer, loops)))
}

/// The halves that a shape's divider leaves.
fn halves(reader: &mut Reader, table: &Fields, outline: &Loop) -> Read<Option<[Loop; 2]>> {
    let Some(width) = table.get::<f64>("divider")? else { return Ok(None) };
    let whole = Outline::new(outline.clone(), Vec::new());
    match whole.split(DVec2::ZERO, DVec2::X, width) {
        Ok(halves) => Ok(Some(halves.map(|half| half.outer))),
        Err(_) => {
            let message =
                format!("a divider of {} does not leave two halves of this shape", reader.say(width));
            let fault = Fault::new("divider-too-wide", message).label("no halves left");
            Err(reader.fault(table.span_of("divider"), fault.help("make it narrower than the shape")))
        }
    }
}

/// A table's transition; `shape` is the key that says what it goes over to.
pub(crate) fn transition(reader: &mut Reader, fields: &Fields, shape: &str) -> Read<Option<Transition>> {
    let Some(table) = fields.get::<&Fields>("transition")? else { return Ok(None) };
    if !fields.entries.contains_key(shape) {
        let fault = Fault::new(
            "transition-to-nothing",
            format!("{} has a transition and no `{shape}`", fields.title),
        );
        let help = format!("say what shape it goes over to: {shape} = {{ ... }}");
        return Err(reader.fault(fields.span_of("transition"), fault.label("to what?").help(help)));
    }
    let make =
        if table.get_or("make", "tube")? == "sheet" { TransitionMake::Sheet } else { TransitionMake::Tube };
    Ok(Some(Transition { length: reader.must(table, "length")?, make }))
}

struct Outlines {
    loops: Vec<Loop>,
    kind: String,
}

/// The loops of a shape's table, turned; one unless they are a DXF's.
fn outlines(reader: &mut Reader, table: &Fields, load: Load) -> Read<Outlines> {
    let corner = table.get_or("corner", 0.0)?;
    let turn = table.get_or("turn", 0.0)?;
    let size = |key| table.get::<[f64; 2]>(key);
    let (key, kind, made) = if let Some(diameter) = table.get::<f64>("round")? {
        ("round", "round", Ok(Loop::circle(DVec2::ZERO, 0.5 * diameter)))
    } else if let Some([width, height]) = size("oval")? {
        ("oval", "oval", Loop::oval(width, height))
    } else if let Some([width, height]) = size("d")? {
        ("d", "D", Loop::d(width, height, corner))
    } else if let Some([width, height]) = size("rectangle")? {
        ("rectangle", "rectangle", Loop::rectangle(width, height, corner))
    } else {
        let loops = dxf(reader, table, load)?;
        let loops = loops.into_iter().map(|one| one.moved(turn, DVec2::ZERO)).collect();
        return Ok(Outlines { loops, kind: reader.must::<&str>(table, "dxf")?.to_owned() });
    };
    for (name, use_) in
        [("corner", "a rectangle and a D"), ("layer", "a DXF"), ("unit", "a DXF"), ("tolerance", "a DXF")]
    {
        let used = name == "corner" && matches!(key, "rectangle" | "d");
        if table.entries.contains_key(name) && !used {
            let fault = Fault::new("unused-key", format!("`{name}` says nothing about this shape"));
            let help = format!("leave it out: it belongs to {use_}");
            return Err(reader.fault(table.span_of(name), fault.label("of no use here").help(help)));
        }
    }
    match made {
        Ok(one) => Ok(Outlines { loops: vec![one.moved(turn, DVec2::ZERO)], kind: kind.to_owned() }),
        Err(fault) => Err(reader.fault(table.span_of(key), named(fault))),
    }
}

/// The loops of a DXF.
fn dxf(reader: &mut Reader, table: &Fields, load: Load) -> Read<Vec<Loop>> {
    let path: &str = reader.must(table, "dxf")?;
    let reading = Reading {
        tolerance: table.get_or("tolerance", TOLERANCE)?,
        unit: table.get::<&str>("unit")?.map(|unit| if unit == "in" { 25.4 } else { 1.0 }),
        layer: table.get("layer")?,
    };
    let source = load(path).map_err(|reason| {
        let fault = Fault::new("dxf-not-read", format!("the DXF \"{path}\" cannot be read: {reason}"));
        let help = "write its path from this file's folder";
        reader.fault(table.span_of("dxf"), fault.label("cannot be read").help(help))
    })?;
    read(&source.text, &reading).map_err(|faults| {
        let reported = faults.into_iter().map(|fault| {
            let message = format!("{path}: {}", fault.message);
            let fault = Fault::new(fault.code, message).label("of no use as it is").help(fault.help);
            reader.fault(table.span_of("dxf"), fault)
        });
        let last = reported.last();
        last.unwrap_or_else(|| reader.absent(table, "dxf"))
    })
}

/// An outline's fault as one of the file.
pub(crate) fn named(fault: plate::Fault) -> Fault {
    Fault::new(fault.code, fault.message).label("cannot be drawn").help(fault.help)
}
