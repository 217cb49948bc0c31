//! The sheet of a flange's plate: its picture, its holes, how its tubes are joined to it.

use std::f64::consts::PI;

use geom::angle::to_degrees;
use geom::math::atan2;
use geom::unit::{Units, fixed};
use layout::flange_plate::{FlangePlate, Opening, PlateOf, PlatePart};
use layout::{Layout, Transition};
use plate::DVec2;
use spec::Design;
use spec::design::{Parting, Plate, TransitionMake, TubeFit};

use crate::canvas::Style;
use crate::figure::{cell_length, enough, fine_length, full_size, length, mass, size};
use crate::folio::{BODY, FIGURE, Folio, Head};
use crate::plate_picture::{self, numbered, on, slots};
use crate::table::{Column, Table};
use crate::wrap::Template;

/// Heights of the picture to choose from, mm: the tallest with which the sheet takes one page; the first
/// where none does.
const PICTURES: [f64; 6] = [110.0, 95.0, 80.0, 65.0, 52.0, 40.0];

/// What the 1:1 drawings are for.
const FLANGE_WORDS: &str = "Seen against the gas, on a head flange from the tubes' side. To hold against the gasket, the \
     head or the part before the plate is cut; the machine cuts by the DXF.";
const PLUG_WORDS: &str = "The plug between a merge's legs, either way up. To cut by hand, or to hold against what the machine \
     cuts by the DXF.";

/// Draws a sheet for each part of each flange's plate.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    for plate in &layout.plates {
        let Some(wanted) = plate.wanted(design) else { continue };
        for part in &plate.parts {
            let own = Sheet { design, layout, plate, wanted, part };
            let alone = |picture: &f64| {
                let mut trial = folio.blank();
                own.draw(&mut trial, *picture);
                trial.count() == 1
            };
            let picture = PICTURES.into_iter().find(alone).unwrap_or(PICTURES[0]);
            own.draw(folio, picture);
        }
    }
}

/// The sheet of one part of a flange's plate.
struct Sheet<'a> {
    design: &'a Design,
    layout: &'a Layout,
    plate: &'a FlangePlate,
    wanted: &'a Plate,
    part: &'a PlatePart,
}

impl Sheet<'_> {
    /// Draws it with a picture at most so high, mm. How it is made stays together.
    fn draw(&self, folio: &mut Folio, picture: f64) {
        let Sheet { design, layout, plate, wanted, part } = *self;
        folio.sheet(head(design, plate, part));
        measures(folio, design, plate, part);
        plate_picture::draw(folio, plate, (wanted, part), picture);
        openings(folio, design, plate, part);
        holes(folio, design, plate, part);
        slot_table(folio, design.units, wanted, part);
        transitions(folio, design, layout, plate, part);
        let steps = steps(design, plate, wanted, part);
        folio.together(|folio| {
            folio.heading("Making it");
            for (k, step) in steps.iter().enumerate() {
                folio.item(&format!("{}.", k + 1), step, Style::plain(2.6));
            }
        });
    }
}

/// The 1:1 drawing of each plate, for `templates.pdf`.
pub fn templates(design: &Design, layout: &Layout) -> Vec<Template> {
    let of = |plate: &FlangePlate, part: &PlatePart| Template {
        mark: part.mark.clone(),
        title: "plate, 1:1".to_owned(),
        facts: vec![
            ("QUANTITY".to_owned(), "1".to_owned()),
            ("ALLOY".to_owned(), plate.alloy.name.to_owned()),
            ("THICKNESS".to_owned(), full_size(design.units, plate.thickness())),
            ("SPEC".to_owned(), design.name.clone()),
        ],
        words: match plate.of {
            PlateOf::Flange(_) => FLANGE_WORDS,
            PlateOf::Merge(_) => PLUG_WORDS,
        }
        .to_owned(),
        drawing: plate_picture::full_size(plate, part),
    };
    layout.plates.iter().flat_map(|plate| plate.parts.iter().map(move |part| of(plate, part))).collect()
}

fn head(design: &Design, plate: &FlangePlate, part: &PlatePart) -> Head {
    let own = part.outline.area() * plate.thickness() * 1e-9 * plate.alloy.density;
    Head {
        mark: part.mark.clone(),
        title: "Flange sheet".to_owned(),
        facts: vec![
            ("QUANTITY".to_owned(), "1".to_owned()),
            ("ALLOY".to_owned(), plate.alloy.name.to_owned()),
            ("THICKNESS".to_owned(), full_size(design.units, plate.thickness())),
            ("MASS".to_owned(), mass(own)),
            ("SPEC".to_owned(), design.name.clone()),
        ],
        about: vec![plate.name.clone(), part.mark.clone()],
    }
}

fn measures(folio: &mut Folio, design: &Design, plate: &FlangePlate, part: &PlatePart) {
    let (units, unit) = (design.units, design.units.symbol());
    let blank = FlangePlate::blank(part);
    let welds = plate.openings.iter().filter(|opening| on(part, opening.centre));
    let figures = [
        (format!("BLANK, {unit}"), format!("{} × {}", enough(units, blank.x), enough(units, blank.y))),
        (format!("EDGE TO CUT, {unit}"), cell_length(units, part.outline.perimeter())),
        (format!("WELD TO TUBES, {unit}"), cell_length(units, welds.map(|o| o.weld_length).sum())),
    ];
    folio.figures(&figures, FIGURE);
}

fn openings(folio: &mut Folio, design: &Design, plate: &FlangePlate, part: &PlatePart) {
    let units = design.units;
    folio.heading("Openings");
    let mut table = Table::new(vec![
        Column::words("OPENING", 30.0).set(Style::bold(3.0)),
        Column::words("SHAPE", 24.0),
        Column::numbers("X", 22.0).set(Style::bold(3.0)),
        Column::numbers("Y", 22.0).set(Style::bold(3.0)),
        Column::numbers("WIDTH", 26.0),
        Column::numbers("HEIGHT", 26.0),
        Column::words("TUBE", 36.0),
    ]);
    for opening in plate.openings.iter().filter(|opening| on(part, opening.centre)) {
        let (low, high) = opening.through.bounds();
        table.row(vec![
            opening.name.clone(),
            opening.kind.clone(),
            length(units, opening.centre.x),
            length(units, opening.centre.y),
            fine(units, high.x - low.x),
            fine(units, high.y - low.y),
            opening.tube.map_or("–".to_owned(), |tube| crate::figure::section(units, &tube)),
        ]);
    }
    table.draw(folio);
}

fn holes(folio: &mut Folio, design: &Design, plate: &FlangePlate, part: &PlatePart) {
    let units = design.units;
    let mut table = Table::new(vec![
        Column::numbers("HOLE", 14.0).set(Style::bold(3.6)),
        Column::numbers("X", 26.0).set(Style::bold(3.0)),
        Column::numbers("Y", 26.0).set(Style::bold(3.0)),
        Column::numbers("DIAMETER", 26.0).set(Style::bold(3.0)),
        Column::words("SLOT FOR GROWTH", 56.0),
        Column::numbers("WASHER", 26.0),
    ]);
    for (number, hole) in numbered(plate, part) {
        let (low, high) = hole.through.bounds();
        let towards = 0.5 * (low + high) - hole.at;
        let slot = format!("{} long, {}", fine(units, hole.travel), towards_words(towards));
        table.row(vec![
            number.to_string(),
            length(units, hole.at.x),
            length(units, hole.at.y),
            size(units, hole.diameter),
            if hole.travel > 0.0 { slot } else { "–".to_owned() },
            size(units, hole.washer),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Holes");
        table.draw(folio);
        let slotted = numbered(plate, part).any(|(_, hole)| hole.travel > 0.0);
        folio.paragraph(
            if slotted {
                "X and y are from the drawing's origin. A slotted hole's are those of the bolt when cold; its slot reaches \
                 from there towards the point from which the plate grows: left, right, up and down as in the picture."
            } else {
                "X and y are from the drawing's origin."
            },
            BODY,
        );
    }
}

/// The slots that are drawn as such.
fn slot_table(folio: &mut Folio, units: Units, wanted: &Plate, part: &PlatePart) {
    let mut table = Table::new(vec![
        Column::numbers("SLOT", 14.0).set(Style::bold(3.6)),
        Column::numbers("X OF ITS MIDDLE", 26.0).set(Style::bold(3.0)),
        Column::numbers("Y", 26.0).set(Style::bold(3.0)),
        Column::numbers("WIDTH", 26.0).set(Style::bold(3.0)),
        Column::numbers("TRAVEL", 26.0),
        Column::numbers("LENGTH OVER ALL", 26.0),
        Column::words("DIRECTION, AS IN THE PICTURE", 40.0),
    ]);
    for (name, slot) in slots(wanted, part) {
        table.row(vec![
            name,
            length(units, slot.at.x),
            length(units, slot.at.y),
            size(units, slot.width),
            size(units, slot.travel),
            size(units, slot.travel + slot.width),
            line_words(slot.angle),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Slots");
        table.draw(folio);
    }
}

/// A direction in the picture in words: `to the left`, `to the left, 10.0° down`, `up, 5.0° to the right`.
fn towards_words(v: DVec2) -> String {
    let side = if v.x < 0.0 { "to the left" } else { "to the right" };
    let rise = if v.y < 0.0 { "down" } else { "up" };
    let (main, other, off) = match v.x.abs() >= v.y.abs() {
        true => (side, rise, atan2(v.y.abs(), v.x.abs())),
        false => (rise, side, atan2(v.x.abs(), v.y.abs())),
    };
    match fixed(to_degrees(off), 1).as_str() {
        "0.0" => main.to_owned(),
        off => format!("{main}, {off}° {other}"),
    }
}

/// The direction of a line in the picture in words, from its angle (rad): `level`, `upright`, `rises 30.0° to
/// the right`.
fn line_words(angle: f64) -> String {
    let half_turns = (angle / PI - 1e-9).round();
    let off = fixed(to_degrees(angle - PI * half_turns).abs(), 1);
    match (off.as_str(), angle > PI * half_turns) {
        ("0.0", _) => "level".to_owned(),
        ("90.0", _) => "upright".to_owned(),
        (off, true) => format!("rises {off}° to the right"),
        (off, false) => format!("falls {off}° to the right"),
    }
}

/// The transitions at a plate's part: both ends, and how each is made.
fn transitions(folio: &mut Folio, design: &Design, layout: &Layout, plate: &FlangePlate, part: &PlatePart) {
    let units = design.units;
    let here = |run: usize| plate.openings.iter().any(|o| o.run == Some(run) && on(part, o.centre));
    let at = |flange: usize| plate.of == PlateOf::Flange(flange);
    let own: Vec<_> = layout.transitions.iter().filter(|t| at(t.flange) && here(t.run)).collect();
    if own.is_empty() {
        return;
    }
    folio.heading("Transitions");
    let mut table = Table::new(vec![
        Column::words("MARK", 28.0).set(Style::bold(3.0)),
        Column::words("MADE FROM", 22.0),
        Column::numbers("LENGTH", 20.0).set(Style::bold(3.0)),
        Column::numbers("AT LEAST", 18.0),
        Column::numbers("PERIMETER, SHAPE", 26.0),
        Column::numbers("ROUND", 20.0),
        Column::numbers("AREA, ROUND TO SHAPE", 28.0),
        Column::words("MIDDLE OF THE WALL, AROUND", 40.0),
    ]);
    for one in &own {
        let area = one.shape_area() / one.round_area() - 1.0;
        table.row(vec![
            one.mark.clone(),
            match one.make {
                TransitionMake::Tube => "tube, over a wedge".to_owned(),
                TransitionMake::Sheet => "sheet".to_owned(),
            },
            length(units, one.length),
            length(units, one.least_length()),
            length(units, one.shape_perimeter()),
            length(units, one.round_perimeter()),
            format!("{:+.1} %", 100.0 * area),
            around_words(units, one),
        ]);
    }
    table.draw(folio);
    folio.paragraph(&making_words(&own), BODY);
}

/// What the metal around a transition does: a tube stretches, sheet is cut to its width.
fn around_words(units: Units, one: &Transition) -> String {
    match one.make {
        TransitionMake::Tube => format!("stretched {:+.1} %", 100.0 * one.stretch()),
        TransitionMake::Sheet => {
            let [shape, round] = one.middles().map(|around| length(units, 0.5 * around));
            format!("each half {shape} wide, {round} at the round end")
        }
    }
}

fn making_words(own: &[&Transition]) -> String {
    let any = |make: TransitionMake| own.iter().any(|one| one.make == make);
    let mut words = "Perimeters are of the bore.".to_owned();
    if any(TransitionMake::Tube) {
        words += " From tube: take a stub of the run's tube at least that long and a grip besides, anneal it where the alloy \
                  needs it, drive the wedge or former in from the shape's end, cut to length afterwards.";
    }
    if any(TransitionMake::Sheet) {
        words += " From sheet: two halves as thick as the tube's wall, welded along the sides; the widths are along the middle \
                  of the wall, before the weld.";
    }
    if own.iter().any(|one| one.halves.is_some()) {
        words += " A divider is a plate of its own, let in and welded.";
    }
    words + " Least length: the wall leans at most 15 degrees (common practice, no source)."
}

/// A size to 0.01 mm, or 0.001 in.
pub fn fine(units: Units, mm: f64) -> String {
    fixed(mm / units.in_millimetres(), if units == Units::Inch { 3 } else { 2 })
}

/// How a part is made.
fn steps(design: &Design, plate: &FlangePlate, wanted: &Plate, part: &PlatePart) -> Vec<String> {
    let units = design.units;
    let mut steps = vec![format!(
        "Cut by flanges/{}.dxf: mm, layer `cut` is the finished edge. No kerf and no lead-in is in it: the cutter adds both. \
         Layer `etch` is marked, layer `centre` is for the eye.",
        part.mark
    )];
    let own: Vec<&Opening> = plate.openings.iter().filter(|opening| on(part, opening.centre)).collect();
    for transition in [false, true] {
        let alike: Vec<&Opening> = own.iter().copied().filter(|o| o.transition == transition).collect();
        if !alike.is_empty() {
            steps.push(fit_words(units, wanted, &alike, transition));
        }
    }
    if let Some(relief) = wanted.relief {
        steps.push(format!(
            "Groove around each tube or transition on the back, {} wide and {} deep, {} from its outside: between the two \
             etched rings. It is not taken off the mass.",
            full_size(units, relief.width),
            full_size(units, relief.depth),
            full_size(units, relief.distance)
        ));
    }
    // A single port has nothing to grow away from.
    if let Some(growth) = plate.growth.filter(|_| plate.openings.len() > 1) {
        let (expansion, source) = wanted.growth.metal.expansion();
        steps.push(format!(
            "Between its outermost ports the plate grows {} more than the head: plate {} C, mean expansion {} e-6 /K ({}); head \
             {} C, {} e-6 /K ({source}). Temperatures: the spec's, or common practice without a source.",
            fine_length(units, growth),
            fixed(wanted.growth.plate, 0),
            fixed(plate.alloy.mean_expansion(wanted.growth.plate) * 1e6, 1),
            plate.alloy.expansion.source,
            fixed(wanted.growth.head, 0),
            fixed(expansion * 1e6, 1)
        ));
    }
    steps.push(match wanted.parting {
        Parting::One => "Bolt the plate to a thick plate or the head before welding, and check its face for flatness after.",
        _ => "Bolt all parts or the relieved plate to the head or a thick plate before welding.",
    }.to_owned());
    steps
}

/// How what stands at `openings` is joined to the plate: tubes, or transitions.
fn fit_words(units: Units, wanted: &Plate, openings: &[&Opening], transition: bool) -> String {
    let what = if transition { "transition" } else { "tube" };
    match wanted.fit {
        TubeFit::Into(setback) => format!(
            "The {what} stands in the plate and ends {} behind the face: weld it there from inside, tack it outside. The hole \
             is {} larger than the {what}.",
            full_size(units, setback),
            fine_length(units, wanted.clearance)
        ),
        TubeFit::Flush => format!(
            "The {what} stands in the plate, flush with the face: weld its end from the face and dress it flat. The hole is {} \
             larger than the {what}.",
            fine_length(units, wanted.clearance)
        ),
        TubeFit::On if transition => {
            "The transition stands on the plate's back, its bore level with the opening's edge all around: weld around its \
             outside.".to_owned()
        }
        TubeFit::On if openings.iter().all(|opening| opening.ring().is_some()) => {
            "The tube stands on the plate's back, on its etched ring: weld around its outside.".to_owned()
        }
        TubeFit::On => {
            "The tube stands on the plate's back, its middle on that of the opening: weld around its outside.".to_owned()
        }
    }
}
