//! `fitment.pdf`: how the printable model is printed, put together and checked.

use fitment::{Fitment, Joining, NodeKind, Settings, Variant};
use geom::unit::{Units, fixed};
use layout::Layout;
use spec::shop::Printer;
use spec::{Design, Finding};
use tube::End;

use crate::canvas::{Canvas, Style};
use crate::figure::{angle, clock, length};
use crate::fitment_cautions::{CAUTIONS, COLLARS, OPENINGS, STEPS};
use crate::fitment_picture::onto;
use crate::fitment_way::way;
use crate::folio::{BODY, FIGURE, Folio, Head};
use crate::pdf::{SheetError, write};
use crate::table::{Column, Table};
use crate::{fitment_checks, fitment_picture, fitment_plates};

/// The model's sheets as a PDF: what to do and what to beware of, the assembly, steps, plates, joints, collars.
///
/// The same design, layout and model give the same bytes on any machine. Errors: a number that cannot be drawn, or the
/// PDF library's own.
pub fn fitment(
    design: &Design,
    layout: &Layout,
    settings: &Settings,
    model: &Fitment,
) -> Result<Vec<u8>, SheetError> {
    write(&fitment_pages(design, layout, settings, model), &format!("{}: test fitting", design.name))
}

/// The sheets' pages, before they are written as a PDF.
pub fn fitment_pages(design: &Design, layout: &Layout, settings: &Settings, model: &Fitment) -> Vec<Canvas> {
    let mut folio = Folio::new(design, layout, "test fitting");
    let facts = facts(design, settings);
    summary(&mut folio, settings, model, &facts);
    fitment_picture::draw(&mut folio, layout, model, &facts);
    steps(&mut folio, design, layout, model, &facts);
    fitment_plates::draw(&mut folio, layout, model, (&settings.printer, &facts));
    joints(&mut folio, design, model, &facts);
    collars(&mut folio, design, model, &facts);
    folio.finish()
}

/// The head of a sheet of the model.
pub fn head(mark: &str, title: &str, facts: &[(String, String)]) -> Head {
    Head { mark: mark.to_owned(), title: title.to_owned(), facts: facts.to_vec(), about: Vec::new() }
}

fn facts(design: &Design, settings: &Settings) -> Vec<(String, String)> {
    vec![
        ("SPEC".to_owned(), design.name.clone()),
        ("VARIANT".to_owned(), settings.variant.name().to_owned()),
        ("PRINTED SIZES IN".to_owned(), "mm".to_owned()),
        ("PLACES ON RUNS IN".to_owned(), design.units.symbol().to_owned()),
    ]
}

fn summary(folio: &mut Folio, settings: &Settings, model: &Fitment, facts: &[(String, String)]) {
    let printer = &settings.printer;
    folio.sheet(head("Test fitting", "Printed model", facts));
    let volume: f64 = model.parts.iter().map(|part| part.mesh.volume()).sum();
    let counts = [
        ("PARTS", model.parts.len().to_string()),
        ("JOINTS", model.division.joinings.len().to_string()),
        ("PLATES", model.plates.len().to_string()),
        (
            "PLASTIC IF PRINTED FULL",
            format!("{} g of {}", fixed(1e3 * printer.mass(volume), 0), printer.material),
        ),
        ("COLLARS", model.collars.len().to_string()),
    ];
    folio.figures(&labelled(counts), FIGURE);
    machine(folio, printer);
    texts(folio, "How to go about it", &STEPS);
    let plates = model.nodes.iter().any(|node| matches!(node.kind, NodeKind::Flange(..)));
    if settings.variant == Variant::Solid && plates {
        texts(folio, "On the flanges", &[OPENINGS]);
    }
    texts(folio, "Cautions", &CAUTIONS);
    if !model.findings.is_empty() {
        folio.heading("Noticed");
        noticed(&model.findings).iter().for_each(|text| folio.item("·", text, BODY));
    }
}

/// What was noticed, in words: what is said of several places once, with all of them.
fn noticed(findings: &[Finding]) -> Vec<String> {
    let mut told: Vec<(&Finding, Vec<&str>)> = Vec::new();
    for finding in findings {
        let same = |(first, _): &&mut (&Finding, _)| {
            first.level == finding.level && first.message == finding.message
        };
        match told.iter_mut().find(same) {
            Some((_, places)) => places.push(&finding.place),
            None => told.push((finding, vec![&finding.place])),
        }
    }
    let words = told
        .into_iter()
        .map(|(first, places)| format!("{} at {}: {}", first.level.name(), places.join(", "), first.message));
    words.collect()
}

/// The printer that the model is for.
fn machine(folio: &mut Folio, printer: &Printer) {
    let bed =
        format!("{} × {} × {}", fixed(printer.bed[0], 1), fixed(printer.bed[1], 1), fixed(printer.height, 1));
    let scale = printer.scale.map(|scale| fixed(scale, 4)).join("  ");
    let machine = [
        ("BED AND HEIGHT, mm", bed),
        ("NOZZLE, mm", fixed(printer.nozzle, 2)),
        ("FIT GAP, mm", fixed(printer.fit_gap, 2)),
        ("OVERHANG", angle(printer.overhang)),
        ("SCALE OF PLATES, X Y Z", if printer.scale == [1.0; 3] { "none".to_owned() } else { scale }),
    ];
    folio.figures(&labelled(machine), Style::bold(3.4));
    if !printer.stated {
        folio.paragraph(
            "The shop file has no [printer]: bed, nozzle and fit gap above are assumed. Write your own printer into it \
             before you print.",
            Style::bold(2.4),
        );
    }
}

fn labelled<const N: usize>(figures: [(&str, String); N]) -> Vec<(String, String)> {
    figures.into_iter().map(|(label, value)| (label.to_owned(), value)).collect()
}

fn texts(folio: &mut Folio, heading: &str, texts: &[(&str, &str)]) {
    folio.heading(heading);
    for (title, text) in texts {
        folio.paragraph(&format!("{}: {text}", title.to_uppercase()), BODY);
    }
}

/// What each part is, and how it is put onto those before it.
fn steps(folio: &mut Folio, design: &Design, layout: &Layout, model: &Fitment, facts: &[(String, String)]) {
    folio.sheet(head("Steps", "The order of assembly", facts));
    folio.paragraph(
        "Move each part straight in the direction given until its end faces touch. Directions are those of the header as it \
         stands in the car: up is up, toward the head is square to its face, and the numbers are in the spec's axes. Along \
         the gas is downstream, as the arrows point. Straight is along the spigot itself; askew, at that angle to it. Places on \
         runs are measured along the centreline from the run's start. \"Worked past others\": on that way it touches some that are there already; bend it past them by \
         hand, or put it in earlier.",
        BODY,
    );
    let mut table = Table::new(vec![
        Column::words("STEP", 9.0).set(Style::bold(4.2)),
        Column::words("PART", 12.0).set(Style::bold(4.2)),
        Column::words("WHAT IT IS", 42.0),
        Column::words("GOES ONTO", 28.0).set(Style::bold(2.6)),
        Column::words("MOVED", 44.0),
        Column::numbers("PLATE", 10.0).set(Style::plain(2.8)),
    ]);
    for (index, part) in model.parts.iter().enumerate() {
        let onto = onto(model, index);
        table.row(vec![
            (index + 1).to_string(),
            part.mark.clone(),
            what(design, layout, model, index),
            if onto.is_empty() { "nothing: the bench or the head".to_owned() } else { joined(model, &onto) },
            way(design, layout, model, index, &onto),
            (part.plate + 1).to_string(),
        ]);
    }
    table.draw(folio);
    fitment_checks::draw(folio, design, model);
}

/// The parts that one goes onto, each with its joints.
fn joined(model: &Fitment, onto: &[(usize, usize)]) -> String {
    let number = |joining: &usize| model.division.joinings[*joining].number.to_string();
    let mut others: Vec<(usize, Vec<String>)> = Vec::new();
    for (other, joining) in onto {
        match others.iter_mut().find(|(known, _)| known == other) {
            Some((_, joints)) => joints.push(number(joining)),
            None => others.push((*other, vec![number(joining)])),
        }
    }
    let said = others.iter().map(|(other, joints)| {
        let word = if joints.len() == 1 { "joint" } else { "joints" };
        format!("{} at {word} {}", model.parts[*other].mark, joints.join(", "))
    });
    said.collect::<Vec<_>>().join("; ")
}

/// A part's lengths of runs and what it holds, in words.
fn what(design: &Design, layout: &Layout, model: &Fitment, part: usize) -> String {
    let plan = &model.division.parts[part];
    let mut nodes: Vec<(String, usize)> = Vec::new();
    for name in plan.nodes.iter().map(|node| model.nodes[*node].key().replacen('.', " ", 1)) {
        match nodes.iter_mut().find(|(known, _)| *known == name) {
            Some((_, count)) => *count += 1,
            None => nodes.push((name, 1)),
        }
    }
    let nodes =
        nodes.into_iter().map(|(name, count)| if count == 1 { name } else { format!("{count} × {name}") });
    // What continues a run in line belongs to its node.
    let lengths = plan.stretches.iter().filter_map(|stretch| {
        let strand = &model.strands[stretch.strand];
        let run = &layout.runs[strand.run];
        let [from, to] =
            [stretch.from, stretch.to].map(|station| (station - strand.origin).clamp(0.0, run.length()));
        let said = || format!("{} {} to {}", run.name, length(design.units, from), length(design.units, to));
        (to - from > SHORTEST).then(said)
    });
    nodes.chain(lengths).collect::<Vec<_>>().join("; ")
}

/// Shorter lengths of a run in a part are not told, mm.
const SHORTEST: f64 = 0.5;

/// Every joint: where, which part has the spigot, its clock and sizes.
fn joints(folio: &mut Folio, design: &Design, model: &Fitment, facts: &[(String, String)]) {
    if model.division.joinings.is_empty() {
        return;
    }
    folio.sheet(head("Joints", "Spigots and sockets", facts));
    folio.paragraph(
        "AT is along the run's centreline from its start; below 0 or beyond its end the joint is on what continues it, a \
         merge's cone or leg. The rib's clock is from the run's scribe line, clockwise seen looking downstream. A joint at a \
         joint of the steel rehearses it. Leaning sides: every side of that spigot leans inward by that much, so that parts \
         can go in askew.",
        BODY,
    );
    let mut table = Table::new(vec![
        Column::words("JOINT", 9.0).set(Style::bold(3.6)),
        Column::words("RUN", 18.0),
        Column::numbers(if design.units == Units::Millimetre { "AT, mm" } else { "AT, in" }, 14.0),
        Column::words("STEEL'S JOINT", 13.0),
        Column::words("SPIGOT ON", 12.0).set(Style::bold(2.6)),
        Column::words("POINTS", 18.0),
        Column::words("INTO", 12.0).set(Style::bold(2.6)),
        Column::numbers("RIB'S CLOCK", 13.0).set(Style::bold(2.6)),
        Column::numbers("PIN Ø × LENGTH, mm", 20.0),
        Column::numbers("RIB, WIDE × HIGH, mm", 18.0),
        Column::numbers("SIDES LEAN", 11.0),
        Column::numbers("GAP, mm", 10.0),
    ]);
    for (index, joining) in model.division.joinings.iter().enumerate() {
        table.row(joint(design, model, index, joining));
    }
    table.draw(folio);
}

fn joint(design: &Design, model: &Fitment, index: usize, joining: &Joining) -> Vec<String> {
    let strand = &model.strands[joining.strand];
    let [spigot, socket] = model.division.mates(index).map(|part| model.parts[part].mark.clone());
    let keyed = &joining.keyed;
    let points = if joining.spigot == End::End { "downstream" } else { "upstream" };
    let steel = joining.steel.map_or(String::new(), |steel| strand.joints[steel].mark.clone());
    vec![
        joining.number.to_string(),
        strand.name.clone(),
        length(design.units, joining.station - strand.origin),
        if joining.in_bend { "in a bend".to_owned() } else { steel },
        spigot,
        points.to_owned(),
        socket,
        clock(keyed.clock),
        format!("{} × {}", fixed(2.0 * keyed.radius, 1), fixed(keyed.length, 1)),
        format!("{} × {}", fixed(keyed.rib_width, 1), fixed(keyed.rib_height, 1)),
        if keyed.draft > 0.0 { angle(keyed.draft) } else { "no".to_owned() },
        fixed(keyed.gap, 2),
    ]
}

/// The collars and how they are used.
fn collars(folio: &mut Folio, design: &Design, model: &Fitment, facts: &[(String, String)]) {
    if model.collars.is_empty() {
        return;
    }
    folio.sheet(head("Collars", "Printed cutting collars", facts));
    folio.paragraph(COLLARS, BODY);
    let mut table = Table::new(vec![
        Column::words("PIECE", 26.0).set(Style::bold(3.6)),
        Column::words("END", 12.0).set(Style::plain(2.8)),
        Column::words("EDGE LOOKS", 18.0),
        Column::words("HALF", 12.0),
        Column::numbers(if design.units == Units::Millimetre { "REACH, mm" } else { "REACH, in" }, 18.0)
            .set(Style::bold(3.2)),
        Column::numbers("PLATE", 14.0),
    ]);
    for collar in &model.collars {
        table.row(vec![
            collar.piece.clone(),
            collar.end.clone(),
            if collar.downstream { "downstream" } else { "upstream" }.to_owned(),
            if collar.half.1 == 1 {
                "whole".to_owned()
            } else {
                format!("{} of {}", collar.half.0, collar.half.1)
            },
            length(design.units, collar.reach),
            format!("collars-{}", collar.plate + 1),
        ]);
    }
    table.draw(folio);
}

#[cfg(test)]
mod tests {
    use super::*;
    use spec::Level;

    #[test]
    fn what_is_said_of_several_places_is_said_once() {
        let finding = |level, place: &str, message: &str| Finding {
            level,
            code: "c",
            place: place.to_owned(),
            message: message.to_owned(),
            value: None,
            limit: None,
        };
        let found = [
            finding(Level::Note, "part P1", "it leans"),
            finding(Level::Warning, "shop", "no printer"),
            finding(Level::Note, "part P4", "it leans"),
            finding(Level::Warning, "part P4", "it leans"),
        ];
        let told = [
            "note at part P1, part P4: it leans",
            "warning at shop: no printer",
            "warning at part P4: it leans",
        ];
        assert_eq!(noticed(&found), told);
    }
}
