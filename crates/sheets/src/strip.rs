//! The flat strip: the raw straight tube of a bend sheet, to scale, with all that is marked on it.

use std::f64::consts::PI;

use geom::angle::wrap_turn;
use layout::layout::{Drawing, Part};
use tube::End;

use crate::bend_sheet::{BendSheet, from_first_in};
use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::figure::{angle, mark};
use crate::folio::{Folio, LABEL};

/// Heights, mm: tape marks above the tube and clocks below it.
const ABOVE: f64 = 14.0;
const BELOW: f64 = 15.0;

/// Draws the strip at the cursor: the end that goes into the bender first is at the left.
pub fn draw(folio: &mut Folio, sheet: &BendSheet, part: &Part, drawing: &Drawing) {
    let scale = folio.width() / sheet.raw_length;
    let half = (0.5 * part.piece.od() * scale).clamp(2.5, 9.0);
    folio.need(ABOVE + BELOW + 2.0 * half);
    let strip = Strip { left: folio.left(), axis: folio.y + ABOVE + half, half, scale, drawing };
    let canvas = folio.canvas();
    strip.tube(canvas, sheet);
    strip.marks(canvas, sheet);
    strip.planes(canvas, part);
    strip.flow(canvas);
    folio.y += ABOVE + BELOW + 2.0 * half;
}

struct Strip<'a> {
    left: f64,
    axis: f64,
    half: f64,
    scale: f64,
    drawing: &'a Drawing,
}

impl Strip<'_> {
    /// Where a station of the raw tube is on the page.
    fn x(&self, station: f64) -> f64 {
        self.left + self.scale * from_first_in(self.drawing, station)
    }

    /// The outline, with bend zones grey and what is trimmed off hatched.
    fn tube(&self, canvas: &mut Canvas, sheet: &BendSheet) {
        let (top, height) = (self.axis - self.half, 2.0 * self.half);
        for mark in &self.drawing.marks {
            let (a, b) = (self.x(mark.begin), self.x(mark.end));
            canvas.fill([a.min(b), top], (b - a).abs(), height, 0.82);
        }
        for trim in &sheet.trims {
            let (from, to) = match trim.end {
                End::Start => (0.0, trim.length),
                End::End => (sheet.raw_length - trim.length, sheet.raw_length),
            };
            let (a, b) = (self.x(from), self.x(to));
            hatch(canvas, [a.min(b), top], (b - a).abs(), height);
        }
        canvas.rect([self.left, top], self.scale * sheet.raw_length, height, Pen::solid(0.35));
        let line = [[self.left, self.axis], [self.left + self.scale * sheet.raw_length, self.axis]];
        canvas.line(&line, Pen { dash: Some([4.0, 1.5]), ..Pen::solid(0.12) });
    }

    /// The tape marks with their figures, kept apart where bends crowd.
    fn marks(&self, canvas: &mut Canvas, sheet: &BendSheet) {
        let mut free = self.left - 1.0;
        for step in &sheet.steps {
            let x = self.left + self.scale * step.tape_mark;
            let text = mark(sheet.units, step.tape_mark);
            let style = Style::bold(2.6);
            let room = crate::font::width(&text, &style);
            let at = (x - 0.5 * room).max(free + 2.0);
            free = at + room;
            let foot = self.axis - self.half - 5.5;
            canvas.words([at, foot - 1.0], text, style);
            canvas.words([at + 0.5 * room, foot - 4.8], format!("bend {}", step.bend), label());
            let points = [[at + 0.5 * room, foot], [x, foot + 3.0], [x, self.axis + self.half]];
            canvas.line(&points, Pen::solid(0.45));
        }
    }

    /// The clock of each bend's inside, below its zone.
    fn planes(&self, canvas: &mut Canvas, part: &Part) {
        let mut plane = 0.0;
        for (row, mark) in part.piece.rows().rows.iter().zip(&self.drawing.marks) {
            plane = wrap_turn(plane + row.rotate);
            let x = self.x(0.5 * (mark.begin + mark.end));
            let y = self.axis + self.half;
            canvas.words([x, y + 3.6], angle(plane), Style::plain(2.2).align(Align::Centre));
        }
    }

    /// Which end is which, and where the gas goes.
    fn flow(&self, canvas: &mut Canvas) {
        let right = self.left + self.scale * self.drawing.raw_length;
        let (first, other, sign) = match self.drawing.first_in {
            End::Start => ("START, goes in first", "END", 1.0),
            End::End => ("END, goes in first", "START", -1.0),
        };
        let y = self.axis + self.half + 8.5;
        let (near, far) = (Style::bold(2.3), Style::bold(2.3).align(Align::Right));
        canvas.words([self.left, y], first, near);
        canvas.words([right, y], other, far);
        let middle = 0.5 * (self.left + right);
        arrow(canvas, [middle - sign * 12.0, y - 1.0], [middle + sign * 12.0, y - 1.0]);
        let note =
            "gas · grey: bend zones · below each: clock of the inside of the bend from the scribe line";
        canvas.words([middle, y + 3.8], note, label());
    }
}

/// A line with a filled head at its end.
pub fn arrow(canvas: &mut Canvas, from: Point, to: Point) {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = (dx * dx + dy * dy).sqrt();
    if length == 0.0 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let base = [to[0] - 3.0 * ux, to[1] - 3.0 * uy];
    canvas.line(&[from, base], Pen::solid(0.5));
    let side = |s: f64| [base[0] - s * uy, base[1] + s * ux];
    canvas.area(&[to, side(1.1), side(-1.1)], 0.0);
}

/// Slanted lines over a rectangle, from its top left corner.
pub fn hatch(canvas: &mut Canvas, [x, y]: Point, width: f64, height: f64) {
    let mut inks = Canvas::new(width, height);
    let mut at = x - height;
    while at < x + width {
        inks.line(&[[at, y + height], [at + height, y]], Pen::solid(0.12));
        at += 1.4;
    }
    if width > 0.0 {
        let frame = [x, y, width, height];
        canvas.inks.push(crate::canvas::Ink::Window { frame, inks: inks.inks });
    }
}

/// A small dial: the inside of the bend at the bottom, the scribe line where the dial puts it, seen from
/// the collet towards the bend head.
pub fn dial(canvas: &mut Canvas, centre: Point, radius: f64, clockwise: f64) {
    let at = |r: f64, turn: f64| {
        let (s, c) = geom::math::sin_cos(turn);
        [centre[0] + r * s, centre[1] - r * c]
    };
    let ring: Vec<Point> = (0..=48).map(|i| at(radius, f64::from(i) * PI / 24.0)).collect();
    canvas.line(&ring, Pen::solid(0.25));
    canvas.line(&[at(0.0, 0.0), at(radius, clockwise)], Pen::solid(0.7));
    canvas.line(&[at(radius, 0.0), at(radius + 1.0, 0.0)], Pen::solid(0.25));
}

fn label() -> Style {
    LABEL.align(Align::Centre)
}
