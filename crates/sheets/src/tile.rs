//! A template on paper: its head, the bars to check the scale with, and tiles where it exceeds a page.

use spec::design::Paper;

use crate::canvas::{Align, Canvas, Ink, Pen, Point, Style};
use crate::folio::{LABEL, not_released, size};
use crate::font::{width, wrap};
use crate::wrap::{Template, pens};

/// Margin that a printer may leave white, mm.
const MARGIN: f64 = 8.0;
/// Overlap of neighbouring tiles, mm.
const OVERLAP: f64 = 10.0;
/// Length of a check bar, mm.
const BAR: f64 = 100.0;
/// Room for the bar at the left and for the bar and the foot at the bottom, mm.
const SIDE: f64 = 9.0;
const FOOT: f64 = 15.0;

/// The pages of templates, as they are made.
pub struct Tiler<'a> {
    /// The paper.
    pub paper: Paper,
    /// Places and messages of what keeps the packet from being released.
    pub reasons: &'a [(String, String)],
    /// The spec's name, for the foot.
    pub spec: &'a str,
    /// The pages so far.
    pub pages: Vec<Canvas>,
}

/// How a drawing is spread over pages.
#[derive(Clone, Copy)]
struct Spread {
    page: Point,
    /// Top left corner and size of the part of a page that shows the drawing.
    corner: Point,
    room: Point,
    across: usize,
    down: usize,
}

impl Tiler<'_> {
    /// Adds the pages of one template.
    pub fn add(&mut self, template: &Template) {
        let spread = self.spread(template);
        let count = spread.across * spread.down;
        for row in 0..spread.down {
            for column in 0..spread.across {
                let mut page = Canvas::new(spread.page[0], spread.page[1]);
                let tile = (count > 1).then_some((row * spread.across + column + 1, count));
                self.head(&mut page, template, tile);
                bars(&mut page);
                self.foot(&mut page);
                shown(&mut page, template, &spread, (row, column));
                self.pages.push(page);
            }
        }
    }

    /// The spread with the fewest pages: upright before sideways.
    fn spread(&self, template: &Template) -> Spread {
        let [short, long] = size(self.paper);
        let [upright, sideways] = [[short, long], [long, short]].map(|page| {
            let whole = self.spread_on(page, template, None);
            let fits = whole.across * whole.down == 1;
            if fits { whole } else { self.spread_on(page, template, Some((1, 2))) }
        });
        if sideways.across * sideways.down < upright.across * upright.down { sideways } else { upright }
    }

    fn spread_on(&self, page: Point, template: &Template, tile: Option<(usize, usize)>) -> Spread {
        let mut scratch = Canvas::new(page[0], page[1]);
        let top = self.head(&mut scratch, template, tile);
        let corner = [MARGIN + SIDE, top];
        let room = [page[0] - MARGIN - corner[0], page[1] - MARGIN - FOOT - top];
        let count = |whole: f64, room: f64| {
            if whole <= room { 1 } else { ((whole - OVERLAP) / (room - OVERLAP)).ceil() as usize }
        };
        let (across, down) =
            (count(template.drawing.width, room[0]), count(template.drawing.height, room[1]));
        Spread { page, corner, room, across, down }
    }

    /// Draws a page's head and returns where it ends, mm from the top.
    fn head(&self, page: &mut Canvas, template: &Template, tile: Option<(usize, usize)>) -> f64 {
        let (left, right) = (MARGIN, page.width - MARGIN);
        let mut y = MARGIN;
        if !self.reasons.is_empty() {
            let about = [template.mark.clone()];
            y += not_released((page, self.reasons), &about, [left, y], right - left) + 1.5;
        }
        page.words([left, y + 6.0], template.mark.clone(), Style::bold(6.0));
        let mut title = format!("Template · {}", template.title);
        if let Some((number, count)) = tile {
            title = format!("{title} · tile {number} of {count}");
        }
        page.words([right, y + 6.0], title, Style::plain(3.0).align(Align::Right));
        y += 7.5;
        let style = Style::bold(2.6);
        let mut x = left;
        for (label, value) in &template.facts {
            let need = width(value, &style).max(width(label, &LABEL));
            if x + need > right {
                (x, y) = (left, y + 8.0);
            }
            page.words([x, y + 2.8], label.clone(), LABEL);
            page.words([x, y + 6.8], value.clone(), style);
            x += need + 5.0;
        }
        y += 8.5;
        let mut words = template.words.clone();
        if tile.is_some() {
            words.push_str(
                " Cut the tiles at their dashed frames, lay the crosses over each other and tape them.",
            );
        }
        let small = Style::plain(1.9);
        for line in wrap(&words, &small, right - left) {
            page.words([left, y + 2.4], line, small);
            y += 3.3;
        }
        page.line(&[[left, y + 1.0], [right, y + 1.0]], pens::LIGHT);
        y + 2.0
    }

    fn foot(&self, page: &mut Canvas) {
        let y = page.height - MARGIN + 0.5;
        page.words([MARGIN, y], format!("{} · templates, print at 100 %", self.spec), LABEL);
        let number = format!("page {}", self.pages.len() + 1);
        page.words([page.width - MARGIN, y], number, LABEL.align(Align::Right));
    }
}

/// Two bars of exactly 100 mm, across and down, with a tick each 10 mm.
pub fn bars(page: &mut Canvas) {
    let foot = page.height - MARGIN - 6.0;
    let (x, y) = (MARGIN + SIDE, foot);
    page.line(&[[x, y], [x + BAR, y]], pens::BAR);
    page.line(&[[MARGIN + 2.0, y], [MARGIN + 2.0, y - BAR]], pens::BAR);
    for i in 0..=10 {
        let at = 10.0 * f64::from(i);
        let tick = if i % 5 == 0 { 3.0 } else { 1.8 };
        page.line(&[[x + at, y], [x + at, y - tick]], pens::LIGHT);
        page.line(&[[MARGIN + 2.0, y - at], [MARGIN + 2.0 + tick, y - at]], pens::LIGHT);
    }
    page.words(
        [x + BAR + 2.5, y],
        "100 mm (3 15/16 in) both ways: measure before you cut",
        Style::plain(2.0),
    );
    page.turned_words([MARGIN + 6.4, y - 0.25 * BAR], "100 mm", Style::plain(2.0).align(Align::Centre), 3);
}

/// The part of the drawing that a tile shows, with register marks where it overlaps its neighbours.
fn shown(page: &mut Canvas, template: &Template, spread: &Spread, (row, column): (usize, usize)) {
    let [x0, y0] = spread.corner;
    let step = [spread.room[0] - OVERLAP, spread.room[1] - OVERLAP];
    let tiled = spread.across * spread.down > 1;
    let spare = |whole: f64, room: f64| if whole <= room { 0.5 * (room - whole) } else { 0.0 };
    let dx = x0 - step[0] * column as f64 + spare(template.drawing.width, spread.room[0]);
    let dy = y0 - step[1] * row as f64 + spare(template.drawing.height, spread.room[1]).min(8.0);
    let mut inks: Vec<Ink> = template.drawing.inks.iter().map(|ink| ink.moved(dx, dy)).collect();
    if !tiled {
        page.inks.append(&mut inks);
        return;
    }
    page.inks.push(Ink::Window { frame: [x0, y0, spread.room[0], spread.room[1]], inks });
    page.rect([x0, y0], spread.room[0], spread.room[1], Pen { dash: Some([3.0, 2.0]), ..pens::LIGHT });
    for (a, b) in seams(spread, (row, column)) {
        cross(page, a);
        cross(page, b);
    }
}

/// Register marks of a tile: two in the middle of each overlap, at the same places on both tiles.
fn seams(spread: &Spread, (row, column): (usize, usize)) -> Vec<(Point, Point)> {
    let ([x0, y0], [w, h]) = (spread.corner, spread.room);
    let (quarter, half) = (0.25, 0.5 * OVERLAP);
    let mut seams = Vec::new();
    let mut beside = |x: f64| seams.push(([x, y0 + quarter * h], [x, y0 + (1.0 - quarter) * h]));
    if column > 0 {
        beside(x0 + half);
    }
    if column + 1 < spread.across {
        beside(x0 + w - half);
    }
    let mut above = |y: f64| seams.push(([x0 + quarter * w, y], [x0 + (1.0 - quarter) * w, y]));
    if row > 0 {
        above(y0 + half);
    }
    if row + 1 < spread.down {
        above(y0 + h - half);
    }
    seams
}

fn cross(page: &mut Canvas, [x, y]: Point) {
    let pen = Pen::solid(0.15);
    page.line(&[[x - 3.5, y], [x + 3.5, y]], pen);
    page.line(&[[x, y - 3.5], [x, y + 3.5]], pen);
    let ring: Vec<Point> = (0..=24)
        .map(|i| {
            let (s, c) = geom::math::sin_cos(f64::from(i) * std::f64::consts::PI / 12.0);
            [x + 2.0 * c, y + 2.0 * s]
        })
        .collect();
    page.line(&ring, pen);
}
