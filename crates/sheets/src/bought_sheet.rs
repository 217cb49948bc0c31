//! The sheets of pieces cut from bought bends: which stock, what is kept, and where to mark it.

use geom::math::sin_cos;
use layout::Layout;
use layout::layout::{Cutting, Make, Part};
use spec::Design;
use spec::shop::StockBend;
use tube::End;

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::csv::end_name;
use crate::figure::{angle, cell_length, cell_mark, full_length, full_mark, length};
use crate::folio::{BODY, FIGURE, Folio, LABEL};
use crate::font::wrap;
use crate::head::{piece_facts, plain_head};
use crate::strip::arrow;

/// Where to mark and cut a bought bend. Lengths in mm, angles in rad.
#[derive(Clone, Debug, PartialEq)]
pub struct BoughtSheet {
    /// The stock bend's name; `None` where none fits.
    pub stock: Option<String>,
    /// The end at which a leg is kept; marks are measured from its finished end.
    pub kept: End,
    /// Straight kept at that end, with what is added for weld shrinkage.
    pub kept_leg: f64,
    /// Straight kept at the other end; 0 where that is cut inside the arc.
    pub other_leg: f64,
    /// Angle of the arc that is kept.
    pub angle: f64,
    /// What to saw off the stock bend's leg at the kept end; `None` without stock.
    pub off_leg: Option<f64>,
    /// Marks from the kept end, along the inside, the side and the outside of the bend.
    pub marks: [f64; 3],
    /// Whether the other end is cut inside the arc.
    pub cut_in_arc: bool,
    /// The ends that get a cut other than square afterwards, and its kind.
    pub then: Vec<(End, &'static str)>,
}

/// Height of a piece's block, mm.
const BLOCK: f64 = 69.0;
/// Room for the drawing at a block's right, mm.
const DRAWING: [f64; 2] = [72.0, 43.0];

impl BoughtSheet {
    /// The sheet of a piece cut from a bought bend; `None` for a piece that is made otherwise.
    ///
    /// Marks: leg + (CLR -/+ OD / 2) angle along the inside and the outside, leg + CLR angle at the sides.
    pub fn of(design: &Design, part: &Part) -> Option<BoughtSheet> {
        let Make::Bought(cutting) = &part.make else { return None };
        let stock = stock_of(design, cutting);
        let (near, far) = sides(cutting.kept);
        let kept_leg = cutting.legs[near] + part.shrinkage[near];
        let other_leg = cutting.legs[far] + part.shrinkage[far];
        let clr = part.piece.rows().rows.first().map_or(0.0, |r| r.radius);
        let half = 0.5 * part.piece.od();
        let mark = |radius: f64| kept_leg + radius * cutting.angle + other_leg;
        Some(BoughtSheet {
            stock: stock.map(|s| s.name.clone()),
            kept: cutting.kept,
            kept_leg,
            other_leg,
            angle: cutting.angle,
            off_leg: stock.map(|s| stock_leg(s, cutting) - kept_leg),
            marks: [mark(clr - half), mark(clr), mark(clr + half)],
            cut_in_arc: cutting.cut_in_arc,
            then: [End::Start, End::End]
                .map(|end| (end, part.piece.cut(end).kind()))
                .into_iter()
                .filter(|(_, kind)| *kind != "square")
                .collect(),
        })
    }

    /// What to do, in words.
    pub fn words(&self, design: &Design) -> String {
        let units = design.units;
        let end = end_name(self.kept).to_uppercase();
        let saw = match self.off_leg {
            Some(off) if off > 0.05 => format!(
                "Saw {} off the bend's leg, square, so that {} of straight is left: that is the {end}.",
                full_length(units, off),
                full_length(units, self.kept_leg)
            ),
            _ => format!(
                "Keep the bend's leg as it is, {} of straight: that is the {end}.",
                full_length(units, self.kept_leg)
            ),
        };
        let cut = if self.cut_in_arc {
            "and cut on the plane through the marks and the bend's centre; the cut end is oval: round it before tacking."
        } else {
            "and cut square through the marks."
        };
        let marks = "mark along the inside, both sides and the outside of the bend";
        let mut words = match self.off_leg {
            Some(off) if self.kept_leg < design.shop.least_piece && off > 0.05 => format!(
                "Little of the leg is kept: cut the other end first, while the whole leg is in the vice. From the stock \
                 bend's own end of the leg, {marks}, each {} further than printed, {cut} Then saw {} off that leg, \
                 square: that is the {end}.",
                full_mark(units, off),
                full_length(units, off)
            ),
            _ => format!("{saw} From it, {marks}, {cut}"),
        };
        for (end, kind) in &self.then {
            let end = end_name(*end).to_uppercase();
            words.push_str(&format!(
                " Last, cut the {end} ({kind}), its long point at the square end: see the saw list."
            ));
        }
        words
    }
}

/// Draws a block for every piece that is cut from a bought bend.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    let parts: Vec<&Part> = layout.pieces.iter().filter(|p| matches!(p.make, Make::Bought(_))).collect();
    if parts.is_empty() {
        return;
    }
    folio.sheet(plain_head(design, "Bought bends", "Cut sheet"));
    for part in parts {
        if let (Make::Bought(cutting), Some(sheet)) = (&part.make, BoughtSheet::of(design, part)) {
            // A line of words more than usual, where little of a leg is kept.
            folio.need(BLOCK + 4.0);
            block(folio, design, part, cutting, &sheet);
        }
    }
}

fn block(folio: &mut Folio, design: &Design, part: &Part, cutting: &Cutting, sheet: &BoughtSheet) {
    let (top, left, right) = (folio.y, folio.left(), folio.right());
    folio.canvas().words([left, top + 7.0], part.mark.clone(), Style::bold(6.0));
    let mut x = left + crate::font::width(&part.mark, &Style::bold(6.0)) + 8.0;
    for (label, value) in piece_facts(design, part).into_iter().take(3) {
        let style = Style::bold(2.6);
        let canvas = folio.canvas();
        canvas.words([x, top + 2.8], label.clone(), LABEL);
        canvas.words([x, top + 7.0], value.clone(), style);
        x += crate::font::width(&value, &style).max(crate::font::width(&label, &LABEL)) + 6.0;
    }
    figures(folio, design, sheet, top + 9.4);
    let corner = [right - DRAWING[0], top + 11.0];
    drawing(folio.canvas(), design, part, cutting, corner);
    let mut y = top + 57.8;
    for line in wrap(&sheet.words(design), &BODY, right - left) {
        folio.canvas().words([left, y], line, BODY);
        y += 3.8;
    }
    folio.y = (top + BLOCK - 2.6).max(y - 1.6);
    folio.rule();
    folio.y += 1.6;
}

/// Two columns of labelled figures at the block's left.
fn figures(folio: &mut Folio, design: &Design, sheet: &BoughtSheet, top: f64) {
    let units = design.units;
    let unit = units.symbol();
    let none = || "none fits".to_owned();
    let other = if sheet.cut_in_arc {
        ("OTHER END".to_owned(), "CUT IN THE ARC".to_owned())
    } else {
        (format!("LEG KEPT AT THE OTHER END, {unit}"), cell_length(units, sheet.other_leg))
    };
    let rows = [
        [
            ("STOCK BEND".to_owned(), sheet.stock.clone().unwrap_or_else(none)),
            ("KEEP THE LEG AT THE".to_owned(), end_name(sheet.kept).to_uppercase()),
        ],
        [
            (format!("LEG KEPT, {unit}"), cell_length(units, sheet.kept_leg)),
            ("ANGLE KEPT".to_owned(), angle(sheet.angle)),
        ],
        [
            (format!("MARK ALONG THE INSIDE, {unit}"), cell_mark(units, sheet.marks[0])),
            (format!("ALONG THE OUTSIDE, {unit}"), cell_mark(units, sheet.marks[2])),
        ],
        [(format!("AT BOTH SIDES, {unit}"), cell_mark(units, sheet.marks[1])), other],
    ];
    let room = folio.width() - DRAWING[0] - 4.0;
    let left = folio.left();
    for (i, row) in rows.into_iter().enumerate() {
        for (j, (label, value)) in row.into_iter().enumerate() {
            let at = [left + 0.5 * room * j as f64, top + 11.4 * i as f64];
            let mut style = FIGURE;
            while crate::font::width(&value, &style) > 0.5 * room - 3.0 && style.cap > 2.4 {
                style.cap -= 0.2;
            }
            folio.canvas().words([at[0], at[1] + 3.6], label, LABEL);
            folio.canvas().words([at[0], at[1] + 9.8], value, style);
        }
    }
}

/// The bend in its own plane, to scale: what is kept solid, the rest of the stock bend dashed.
fn drawing(canvas: &mut Canvas, design: &Design, part: &Part, cutting: &Cutting, corner: Point) {
    let Some(row) = part.piece.rows().rows.first().copied() else { return };
    let (near, far) = sides(cutting.kept);
    let half = 0.5 * part.piece.od();
    let plane = Plane { leg: cutting.legs[near], clr: row.radius, angle: cutting.angle };
    let stock = stock_of(design, cutting);
    let before = stock.map_or(0.0, |s| (stock_leg(s, cutting) - cutting.legs[near]).max(0.0));
    let whole = stock.map_or(cutting.angle, |s| s.angle.max(cutting.angle));
    let rest = Plane { angle: whole, ..plane };
    let after = stock.map_or(cutting.legs[far], |s| (s.legs[0] + s.legs[1] - stock_leg(s, cutting)).max(0.0));
    let mut all = Vec::new();
    for side in [-half, half] {
        all.extend(rest.wall(-before, after, side));
    }
    let fit = Fit::new(&all, corner, DRAWING);
    for side in [-half, half] {
        canvas.line(&fit.points(&rest.wall(-before, after, side)), Pen::dashed(0.18).grey(0.4));
        canvas.line(&fit.points(&plane.wall(0.0, cutting.legs[far], side)), Pen::solid(0.45));
    }
    for reach in [0.0, plane.length() + cutting.legs[far]] {
        let line = [plane.at(reach, -1.25 * half), plane.at(reach, 1.25 * half)];
        canvas.line(&fit.points(&line), Pen::solid(0.7));
    }
    let middle = 0.5 * (plane.length() + cutting.legs[far]);
    let (mut from, mut to) =
        (fit.point(plane.at(middle - 12.0, 0.0)), fit.point(plane.at(middle + 12.0, 0.0)));
    if cutting.kept == End::End {
        std::mem::swap(&mut from, &mut to);
    }
    arrow(canvas, from, to);
    let kept = fit.point(plane.at(0.0, 0.0));
    let style = LABEL.align(Align::Centre);
    canvas.words(
        [kept[0] - 3.0, kept[1] + 0.8],
        end_name(cutting.kept).to_uppercase(),
        style.align(Align::Right),
    );
    let cut = plane.length() + cutting.legs[far];
    for (side, word) in [(-half, "inside"), (half, "outside")] {
        let (axis, wall) = (fit.point(plane.at(cut, 0.0)), fit.point(plane.at(cut, side)));
        let (dx, dy) = (wall[0] - axis[0], wall[1] - axis[1]);
        let beyond = 1.0 + 7.0 / (dx * dx + dy * dy).sqrt();
        canvas.words([axis[0] + dx * beyond, axis[1] + dy * beyond + 0.8], word, style);
    }
    let foot = [corner[0] + DRAWING[0], corner[1] + DRAWING[1]];
    let clr =
        format!("CLR {} · arrow: gas · dashed: the rest of the stock bend", length(design.units, row.radius));
    canvas.words(foot, clr, LABEL.align(Align::Right));
}

/// A bend in its plane: a leg along x from the origin, then the arc to the left (up).
#[derive(Clone, Copy)]
struct Plane {
    leg: f64,
    clr: f64,
    angle: f64,
}

impl Plane {
    fn length(&self) -> f64 {
        self.leg + self.clr * self.angle
    }

    /// The point `reach` along the centreline and `side` mm to its outside.
    fn at(&self, reach: f64, side: f64) -> Point {
        let turned = ((reach - self.leg) / self.clr).clamp(0.0, self.angle);
        let straight = reach - self.leg - self.clr * turned;
        let (s, c) = sin_cos(turned);
        let radius = self.clr + side;
        let begin = self.leg;
        [begin + radius * s + straight * c, self.clr - radius * c + straight * s]
    }

    /// A wall from `from` before the kept end to `after` beyond the arc.
    fn wall(&self, from: f64, after: f64, side: f64) -> Vec<Point> {
        let mut points = vec![self.at(from, side), self.at(self.leg, side)];
        let arc = self.length() - self.leg;
        points.extend((1..=40).map(|i| self.at(self.leg + arc * f64::from(i) / 40.0, side)));
        points.push(self.at(self.length() + after, side));
        points
    }
}

/// A drawing's scale and place on the page; y up becomes y down.
struct Fit {
    scale: f64,
    origin: Point,
}

impl Fit {
    fn new(points: &[Point], corner: Point, room: Point) -> Fit {
        let bound = |axis: usize| {
            let values = points.iter().map(|p| p[axis]);
            (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
        };
        let ((x0, x1), (y0, y1)) = (bound(0), bound(1));
        // Room is left around for the words.
        let scale = ((room[0] - 16.0) / (x1 - x0)).min((room[1] - 10.0) / (y1 - y0));
        let spare = room[0] - scale * (x1 - x0);
        let origin = [corner[0] + 0.6 * spare - scale * x0, corner[1] + 2.0 + scale * y1];
        Fit { scale, origin }
    }

    fn point(&self, [x, y]: Point) -> Point {
        [self.origin[0] + self.scale * x, self.origin[1] - self.scale * y]
    }

    fn points(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|p| self.point(*p)).collect()
    }
}

/// Indices of the kept end and of the other among start and end.
fn sides(kept: End) -> (usize, usize) {
    match kept {
        End::Start => (0, 1),
        End::End => (1, 0),
    }
}

fn stock_of<'a>(design: &'a Design, cutting: &Cutting) -> Option<&'a StockBend> {
    cutting.stock.and_then(|i| design.shop.bends.get(i))
}

/// The leg of the stock bend to use at the kept end: the shorter that is long enough, else the longer.
fn stock_leg(stock: &StockBend, cutting: &Cutting) -> f64 {
    let wanted = cutting.legs[sides(cutting.kept).0];
    let [a, b] = stock.legs;
    let (short, long) = (a.min(b), a.max(b));
    if short >= wanted - 1e-6 { short } else { long }
}
