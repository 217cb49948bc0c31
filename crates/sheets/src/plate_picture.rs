//! A plate drawn: its lines, and where its numbers and names stand clear of them.

use std::f64::consts::FRAC_PI_2;

use geom::math::sin_cos;
use geom::unit::fixed;
use layout::flange_plate::{FlangePlate, Opening, PlacedHole, PlatePart};
use plate::{DVec2, Drawing, Ink, Loop};
use spec::design::{Plate, PlateSlot};

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::folio::{Folio, LABEL};
use crate::font;

/// Furthest that a printed chord may be from its arc, mm on paper.
const CHORD: f64 = 0.01;

/// Room around a plate's 1:1 drawing, mm.
const PAD: f64 = 4.0;

/// The line of a plate's edge on its 1:1 drawing; no other line of the templates is as wide.
const EDGE: Pen = Pen::solid(0.28);

/// The number of a hole, and how far its middle stands off lines, mm on paper.
const NUMBER: Style = Style::bold(2.8).align(Align::Centre);
const NUMBER_ROOM: f64 = 2.4;

/// The plate seen against the gas, at most `tallest` mm high, with its axes and the numbers of its holes and slots.
pub fn draw(folio: &mut Folio, plate: &FlangePlate, (wanted, part): (&Plate, &PlatePart), tallest: f64) {
    let (low, high) = part.outline.outer.bounds();
    let wide = high - low;
    let scale = (tallest / wide.y).min((folio.width() - 24.0) / wide.x).min(1.0);
    folio.need(wide.y * scale + 16.0);
    let (left, top) = (folio.left() + 0.5 * (folio.width() - wide.x * scale), folio.y + 6.0);
    let at = |p: DVec2| [left + (p.x - low.x) * scale, top + (high.y - p.y) * scale];
    let canvas = folio.canvas();
    ink(canvas, plate, part, &at, scale);
    let drawing = plate.drawing(part);
    let room = NUMBER_ROOM / scale;
    let mut number = |name: String, places: &[DVec2]| {
        let [x, y] = at(clearest(&drawing, part, places, room));
        canvas.words([x, y + 0.5 * NUMBER.cap], name, NUMBER);
    };
    for (name, hole) in numbered(plate, part) {
        number(name.to_string(), &around(hole.at, 0.5 * hole.diameter + room));
    }
    for (name, slot) in slots(wanted, part) {
        number(name, &beside(slot, room));
    }
    for opening in plate.openings.iter().filter(|o| on(part, o.centre)) {
        let [x, y] = at(name_place(opening));
        canvas.words([x, y + 6.0], opening.name.clone(), Style::plain(2.6).align(Align::Centre));
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

/// A part 1:1, its mark on it where that has room.
pub fn full_size(plate: &FlangePlate, part: &PlatePart) -> Canvas {
    let drawing = plate.drawing(part);
    let (low, high) = drawing.bounds();
    let wide = high - low;
    let mut canvas = Canvas::new(wide.x + 2.0 * PAD, wide.y + 2.0 * PAD);
    let at = |p: DVec2| [PAD + p.x - low.x, PAD + high.y - p.y];
    ink(&mut canvas, plate, part, &at, 1.0);
    let (below, above) = part.outline.outer.bounds();
    let (middle, style) = mark_place(&drawing, 0.5 * (below + above), &part.mark);
    let [x, y] = at(middle);
    canvas.words([x, y + 0.5 * style.cap], part.mark.clone(), style);
    canvas
}

/// Whether a place lies on a part, its holes not taken off.
pub fn on(part: &PlatePart, at: DVec2) -> bool {
    part.outline.outer.contains(at)
}

/// The holes of a part with the numbers that they have on the whole plate, from 1.
pub fn numbered<'a>(
    plate: &'a FlangePlate,
    part: &'a PlatePart,
) -> impl Iterator<Item = (usize, &'a PlacedHole)> {
    plate.holes.iter().enumerate().map(|(k, hole)| (k + 1, hole)).filter(|(_, hole)| on(part, hole.at))
}

/// The drawn slots of a part with the names that they have on the whole plate: `S1` and so on.
pub fn slots<'a>(wanted: &'a Plate, part: &'a PlatePart) -> impl Iterator<Item = (String, &'a PlateSlot)> {
    let named = wanted.slots.iter().enumerate().map(|(k, slot)| (format!("S{}", k + 1), slot));
    named.filter(|(_, slot)| on(part, slot.at))
}

/// Where the name of an opening stands below: its middle; of a divided one, that of its first half.
fn name_place(opening: &Opening) -> DVec2 {
    match opening.cut.as_slice() {
        [half, _, ..] => {
            let (low, high) = half.bounds();
            0.5 * (low + high)
        }
        _ => opening.centre,
    }
}

/// Places for a hole's number, between the arms of its cross; the upper right first.
fn around(middle: DVec2, off: f64) -> Vec<DVec2> {
    (0..4).map(|k| middle + turned(FRAC_PI_2 * (f64::from(k) + 0.5)) * off).collect()
}

/// Places for a slot's name: beside its sides, then its ends.
fn beside(slot: &PlateSlot, room: f64) -> Vec<DVec2> {
    let along = turned(slot.angle);
    let (side, end) = (0.5 * slot.width + room, 0.5 * (slot.width + slot.travel) + room);
    [along.perp() * side, -along.perp() * side, along * end, -along * end].map(|off| slot.at + off).to_vec()
}

fn turned(angle: f64) -> DVec2 {
    let (y, x) = sin_cos(angle);
    DVec2::new(x, y)
}

/// The first of `places` that is on the plate with so much room around it, mm; else the one with the most.
fn clearest(drawing: &Drawing, part: &PlatePart, places: &[DVec2], room: f64) -> DVec2 {
    let rooms = places.iter().map(|place| {
        let clear = clear(drawing, *place);
        (*place, if part.outline.contains(*place) { clear } else { -clear })
    });
    let rooms: Vec<(DVec2, f64)> = rooms.collect();
    let first = rooms.iter().find(|(_, clear)| *clear >= room - 1e-6);
    let most = || rooms.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    first.or_else(most).map_or(DVec2::ZERO, |(place, _)| *place)
}

/// Distance from a point to the nearest line that is cut or marked, mm.
fn clear(drawing: &Drawing, at: DVec2) -> f64 {
    let marked = drawing.etch.iter().filter_map(|one| match one {
        Ink::Loop(outline) => Some(outline),
        Ink::Line { .. } => None,
    });
    drawing.cut.iter().chain(marked).map(|edge| edge.nearest(at).distance).fold(f64::INFINITY, f64::min)
}

/// Where a mark stands and how large: at `middle`, or beside the cross there, as large as keeps off all lines.
fn mark_place(drawing: &Drawing, middle: DVec2, mark: &str) -> (DVec2, Style) {
    let styles = (0..=16).map(|k| Style::bold(3.0 - 0.1 * f64::from(k)).align(Align::Centre));
    let free = |style: &Style, place: DVec2| {
        let (half, tall) = (0.5 * font::width(mark, style), 0.5 * style.cap + 0.5);
        let steps = (half / tall).ceil().max(1.0) as i32;
        let along = |k: i32| place + DVec2::X * (half * f64::from(k) / f64::from(steps));
        (-steps..=steps).all(|k| clear(drawing, along(k)) >= tall)
    };
    let crossed = drawing.centre.iter().any(|one| match one {
        Ink::Line { from, to } => (0.5 * (*from + *to)).distance(middle) < 1.0,
        Ink::Loop(_) => false,
    });
    for style in styles {
        let off = DVec2::new(0.5 * font::width(mark, &style) + 2.0, 0.5 * style.cap + 2.0);
        let place = if crossed { middle + off } else { middle };
        if free(&style, place) {
            return (place, style);
        }
    }
    (middle, Style::bold(1.4).align(Align::Centre))
}
