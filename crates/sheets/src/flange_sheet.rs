//! The sheet of a flange's plate: its picture, its holes, how its tubes are joined to it.

use geom::angle::to_degrees;
use geom::math::atan2;
use geom::unit::{Units, fixed};
use layout::Layout;
use layout::flange_plate::{FlangePlate, PlateOf, PlatePart};
use plate::{DVec2, Ink, Loop};
use spec::Design;
use spec::design::{Parting, Plate, TransitionMake, TubeFit};

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::figure::{cell_length, fine_length, full_length, length, mass, size};
use crate::folio::{BODY, FIGURE, Folio, Head, LABEL};
use crate::table::{Column, Table};
use crate::wrap::Template;

/// Largest height of a picture, mm.
const PICTURE: f64 = 110.0;

/// Furthest that a printed chord may be from its arc, mm on paper.
const CHORD: f64 = 0.01;

/// Room around a plate's 1:1 drawing, mm.
const PAD: f64 = 4.0;

/// The line of a plate's edge on its 1:1 drawing; no other line of the templates is as wide.
const EDGE: Pen = Pen::solid(0.28);

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
            folio.sheet(head(design, plate, part));
            measures(folio, design, plate, part);
            picture(folio, plate, part);
            openings(folio, design, plate, part);
            holes(folio, design, plate, part);
            transitions(folio, design, layout, plate, part);
            words(folio, design, plate, wanted, part);
        }
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
            (
                "THICKNESS".to_owned(),
                format!("{} {}", size(design.units, plate.thickness()), design.units.symbol()),
            ),
            ("SPEC".to_owned(), design.name.clone()),
        ],
        words: match plate.of {
            PlateOf::Flange(_) => FLANGE_WORDS,
            PlateOf::Merge(_) => PLUG_WORDS,
        }
        .to_owned(),
        drawing: full_size(plate, part),
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
            (
                "THICKNESS".to_owned(),
                format!("{} {}", size(design.units, plate.thickness()), design.units.symbol()),
            ),
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
        (format!("BLANK, {unit}"), format!("{} × {}", length(units, blank.x), length(units, blank.y))),
        (format!("EDGE TO CUT, {unit}"), cell_length(units, part.outline.perimeter())),
        (format!("WELD TO TUBES, {unit}"), cell_length(units, welds.map(|o| o.weld_length).sum())),
    ];
    folio.figures(&figures, FIGURE);
}

/// The plate seen against the gas, with its axes and the numbers of its holes.
fn picture(folio: &mut Folio, plate: &FlangePlate, part: &PlatePart) {
    let (low, high) = part.outline.outer.bounds();
    let wide = high - low;
    let scale = (PICTURE / wide.y).min((folio.width() - 24.0) / wide.x).min(1.0);
    folio.need(wide.y * scale + 16.0);
    let (left, top) = (folio.left() + 0.5 * (folio.width() - wide.x * scale), folio.y + 6.0);
    let at = |p: DVec2| [left + (p.x - low.x) * scale, top + (high.y - p.y) * scale];
    let canvas = folio.canvas();
    ink(canvas, plate, part, &at, scale);
    for (number, hole) in numbered(plate, part) {
        let [x, y] = at(hole.at);
        let out = 0.5 * hole.diameter * scale + 1.5;
        canvas.words([x + out, y - out], number.to_string(), Style::bold(2.8));
    }
    for opening in plate.openings.iter().filter(|o| on(part, o.centre)) {
        let [x, y] = at(opening.centre);
        let style = Style::plain(2.6).align(Align::Centre);
        canvas.words([x, y + 6.0], opening.name.clone(), style);
    }
    folio.y = top + wide.y * scale + 5.0;
    let (place, y) = (folio.left(), folio.y);
    let scaled = format!("seen against the gas, 1 : {}; x to the right, y up", fixed(1.0 / scale, 2));
    folio.canvas().words([place, y], scaled, LABEL);
    folio.y += 3.0;
}

/// Every line of a part's drawing, placed by `at`.
pub fn ink(
    canvas: &mut Canvas,
    plate: &FlangePlate,
    part: &PlatePart,
    at: &dyn Fn(DVec2) -> Point,
    scale: f64,
) {
    let drawing = plate.drawing(part);
    let ring = |outline: &Loop| {
        let mut points: Vec<Point> = outline.points(CHORD / scale).into_iter().map(at).collect();
        points.extend(points.first().copied());
        points
    };
    for outline in &drawing.cut {
        canvas.line(&ring(outline), EDGE);
    }
    let light = [(&drawing.etch, Pen::dashed(0.18)), (&drawing.centre, Pen::solid(0.12).grey(0.4))];
    for (lines, pen) in light {
        for one in lines {
            match one {
                Ink::Loop(outline) => canvas.line(&ring(outline), pen),
                Ink::Line { from, to } => canvas.line(&[at(*from), at(*to)], pen),
            }
        }
    }
}

fn full_size(plate: &FlangePlate, part: &PlatePart) -> Canvas {
    let (low, high) = plate.drawing(part).bounds();
    let wide = high - low;
    let mut canvas = Canvas::new(wide.x + 2.0 * PAD, wide.y + 2.0 * PAD);
    let at = |p: DVec2| [PAD + p.x - low.x, PAD + high.y - p.y];
    ink(&mut canvas, plate, part, &at, 1.0);
    let (below, above) = part.outline.outer.bounds();
    let middle = at(0.5 * (below + above));
    canvas.words([middle[0] + 2.0, middle[1] - 2.0], part.mark.clone(), Style::bold(3.0));
    canvas
}

fn on(part: &PlatePart, at: DVec2) -> bool {
    part.outline.outer.contains(at)
}

/// The holes of a part with the numbers that they have on the whole plate, from 1.
fn numbered<'a>(
    plate: &'a FlangePlate,
    part: &'a PlatePart,
) -> impl Iterator<Item = (usize, &'a layout::flange_plate::PlacedHole)> {
    plate.holes.iter().enumerate().map(|(k, hole)| (k + 1, hole)).filter(|(_, hole)| on(part, hole.at))
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
        Column::words("SLOT", 56.0),
        Column::numbers("WASHER", 26.0),
    ]);
    for (number, hole) in numbered(plate, part) {
        let (low, high) = hole.through.bounds();
        let towards = 0.5 * (low + high) - hole.at;
        let slot = format!(
            "{} towards {}°",
            fine(units, hole.travel),
            fixed(to_degrees(atan2(towards.y, towards.x)), 0)
        );
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
        folio.paragraph(
            "X and y are from the drawing's origin. A slotted hole's are those of the bolt when cold; its slot reaches from \
             there towards the point from which the plate grows.",
            BODY,
        );
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
        Column::numbers("STRETCH", 20.0).set(Style::bold(3.0)),
    ]);
    for one in own {
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
            format!("{:+.1} %", 100.0 * one.stretch()),
        ]);
    }
    table.draw(folio);
    folio.paragraph(
        "Perimeters are of the bore; the stretch is that of the middle of the wall. From tube: take a stub of the run's tube \
         at least that long and a grip besides, anneal it where the alloy needs it, drive the wedge or former in from the \
         shape's end, cut to length afterwards. From sheet: two halves as thick as the tube's wall, welded along the sides. \
         A divider is a plate of its own, let in and welded. Least length: the wall leans at most 15 degrees (common \
         practice, no source).",
        BODY,
    );
}

/// A size to 0.01 mm, or 0.001 in.
pub fn fine(units: Units, mm: f64) -> String {
    fixed(mm / units.in_millimetres(), if units == Units::Inch { 3 } else { 2 })
}

fn words(folio: &mut Folio, design: &Design, plate: &FlangePlate, wanted: &Plate, part: &PlatePart) {
    let units = design.units;
    folio.heading("Making it");
    let mut steps = vec![format!(
        "Cut by flanges/{}.dxf: mm, layer `cut` is the finished edge. No kerf and no lead-in is in it: the cutter adds both. \
         Layer `etch` is marked, layer `centre` is for the eye.",
        part.mark
    )];
    steps.push(match wanted.fit {
        TubeFit::Into(setback) => format!(
            "The tube stands in the plate and ends {} behind the face: weld it there from inside, tack it outside. The hole is \
             {} larger than the tube.",
            full_length(units, setback),
            fine_length(units, wanted.clearance)
        ),
        TubeFit::Flush => format!(
            "The tube stands in the plate, flush with the face: weld its end from the face and dress it flat. The hole is {} \
             larger than the tube.",
            fine_length(units, wanted.clearance)
        ),
        TubeFit::On => "The tube stands on the plate's back, on its etched ring: weld around its outside.".to_owned(),
    });
    if let Some(relief) = wanted.relief {
        steps.push(format!(
            "Groove around each tube on the back, {} wide and {} deep, {} from the tube's outside: between the two etched \
             rings. It is not taken off the mass.",
            full_length(units, relief.width),
            full_length(units, relief.depth),
            full_length(units, relief.distance)
        ));
    }
    if let Some(growth) = plate.growth {
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
    if wanted.parting != Parting::One {
        steps.push(
            "Bolt all parts or the relieved plate to the head or a thick plate before welding.".to_owned(),
        );
    } else {
        steps.push("Bolt the plate to a thick plate or the head before welding, and check its face for flatness after.".to_owned());
    }
    for (k, step) in steps.iter().enumerate() {
        folio.item(&format!("{}.", k + 1), step, Style::plain(2.6));
    }
}
