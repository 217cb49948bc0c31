//! The wrap template of a tube's end: its cut unrolled at the outside surface, 1:1.
//!
//! Printed face out, downstream up, clock growing to the right. Lines can be told apart by their
//! widths, see [`pens`].

use std::f64::consts::{PI, TAU};

use geom::angle::{from_degrees, to_degrees, wrap_signed, wrap_turn};
use geom::unit::Units;
use layout::layout::Part;
use spec::Design;
use tube::{Body, End, Piece, Shape};

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::csv::end_name;
use crate::edge::{bevel, corners, curve};
use crate::figure::{clock, fine_length, piece_section};
use crate::folio::LABEL;
use crate::strip::arrow;

/// The pens of a template. An outside reader finds a line by its width.
pub mod pens {
    use crate::canvas::Pen;

    /// The line to cut to.
    pub const CUT: Pen = Pen::solid(0.35);
    /// The other edge of the wall.
    pub const OTHER: Pen = Pen::dashed(0.22);
    /// The datum ring, square across the tube.
    pub const DATUM: Pen = Pen::solid(0.3);
    /// The scribe line.
    pub const SCRIBE: Pen = Pen::solid(0.26);
    /// Everything that is neither cut nor measured.
    pub const LIGHT: Pen = Pen::solid(0.12);
    /// The bars to check the scale with.
    pub const BAR: Pen = Pen::solid(0.4);
}

/// Furthest that a printed chord may be from the curve, mm.
pub const CHORD: f64 = 0.005;
/// Width of the overlap tab, mm.
const TAB: f64 = 10.0;
/// Height that the words of a drawing take at full size, from the datum ring, mm.
const WORDS: f64 = 15.0;
/// Room that the arrow takes beside them at full size, mm.
const ARROW: f64 = 6.0;
/// Room for the words along a scribe line, mm.
const SCRIBED: f64 = 4.5;
/// A length that is this little short is none, mm.
const TOUCH: f64 = 1e-9;
/// Room that a tick's number takes, mm.
const NUMBER: f64 = 4.5;
/// Room around a drawing, mm.
const PAD: f64 = 2.0;

/// A drawing to be printed 1:1, with the figures of its head.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// The mark of its piece.
    pub mark: String,
    /// What it is of: `start cut, saddle`.
    pub title: String,
    /// Labels and figures of the head, in the order of printing.
    pub facts: Vec<(String, String)>,
    /// A sentence on its use.
    pub words: String,
    /// The drawing.
    pub drawing: Canvas,
}

/// The measures of a wrap template: mm, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wrap {
    /// PI (OD + thickness of the paper).
    pub circumference: f64,
    /// Distance of the datum ring from the raw square end, which is the longest point of the printed
    /// line; a whole number of mm or eighths of an inch.
    pub datum: f64,
    /// Longest ordinate of the printed line from the datum ring, and its clock.
    pub longest: (f64, f64),
    /// Shortest ordinate, and its clock.
    pub shortest: (f64, f64),
    /// Largest distance between both edges, and its clock.
    pub bevel: (f64, f64),
}

impl Wrap {
    /// The measures of the template for `end` of a piece of tube.
    pub fn of(design: &Design, piece: &Piece, end: End) -> Wrap {
        let raw = raw_end(piece, end);
        let mut clocks = corners(piece, end);
        clocks.extend((0..720).map(|i| from_degrees(0.5 * f64::from(i))));
        for depth in [0.0, 1.0] {
            let extremes = piece.extremes(end, depth);
            clocks.extend([extremes.longest.0, extremes.shortest.0]);
        }
        clocks.sort_by(f64::total_cmp);
        let depth_of = |clock: f64| (piece.printed(end, clock) - raw).abs();
        let by_depth = |a: &f64, b: &f64| depth_of(*a).total_cmp(&depth_of(*b));
        let longest = clocks.iter().copied().min_by(by_depth).unwrap_or(0.0);
        let shortest = clocks.iter().copied().max_by(by_depth).unwrap_or(0.0);
        let datum = datum(design.units, piece, end, depth_of(shortest));
        Wrap {
            circumference: PI * (piece.od() + design.shop.paper_thickness),
            datum,
            longest: (datum - depth_of(longest), longest),
            shortest: (datum - depth_of(shortest), shortest),
            bevel: bevel(piece, end),
        }
    }
}

impl Template {
    /// The wrap template for `end` of a piece of tube.
    pub fn wrap(design: &Design, part: &Part, end: End) -> Template {
        let piece = &part.piece;
        let wrap = Wrap::of(design, piece, end);
        let units = design.units;
        let exact = |mm: f64| crate::figure::size(units, mm);
        let ordinate = |(value, at): (f64, f64)| format!("{} at {}", fine_length(units, value), clock(at));
        let mut facts = vec![
            ("QUANTITY", "1".to_owned()),
            ("ALLOY", piece.alloy().name.to_owned()),
            ("OD × WALL", piece_section(units, piece)),
            ("SPEC", design.name.clone()),
            ("CIRCUMFERENCE", fine_length(units, wrap.circumference)),
            ("DATUM RING FROM THE RAW SQUARE END", format!("{} {}", exact(wrap.datum), units.symbol())),
            ("LONGEST", ordinate(wrap.longest)),
            ("SHORTEST", ordinate(wrap.shortest)),
            ("BEVEL TO FILE, AT MOST", ordinate(wrap.bevel)),
        ];
        facts.extend(host_side(piece, end).map(|at| ("THE HOST'S DOWNSTREAM SIDE", clock(at))));
        let side = if end == End::Start { "below" } else { "above" };
        Template {
            mark: part.mark.clone(),
            title: format!("{} cut, {}", end_name(end), piece.cut(end).kind()),
            facts: facts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect(),
            words: format!(
                "Ordinates are from the datum ring; clocks from the scribe line. Cut away what is {side} the solid line. It is \
                 the longer of the inner and the outer edge; the other is dashed: file the bevel between them."
            ),
            drawing: Drawing::new(piece, end, wrap).draw(part),
        }
    }

    /// The same template for a bend's `count` mitres, which are all cut alike.
    pub fn for_mitres(mut self, count: usize) -> Template {
        let mitres = if count == 1 { "the mitre".to_owned() } else { format!("all {count} mitres") };
        self.title = format!("{}, for {mitres} of the bend", self.title);
        self.words.push_str(
            " Of a mitre one cut makes two faces: see the sticks on the saw list. Needed where the saw does not swing so far.",
        );
        self
    }
}

/// A wrap template being drawn.
struct Drawing<'a> {
    piece: &'a Piece,
    end: End,
    wrap: Wrap,
    /// Station at the top of the drawing, mm.
    top: f64,
    canvas: Canvas,
}

impl<'a> Drawing<'a> {
    fn new(piece: &'a Piece, end: End, wrap: Wrap) -> Drawing<'a> {
        let raw = raw_end(piece, end);
        let top = if end == End::Start { raw + wrap.datum } else { raw };
        let width = wrap.circumference + TAB + 2.0 * PAD;
        Drawing { piece, end, wrap, top, canvas: Canvas::new(width, wrap.datum + 2.0 * PAD + 8.0) }
    }

    fn x(&self, clock: f64) -> f64 {
        PAD + self.wrap.circumference * clock / TAU
    }

    fn y(&self, station: f64) -> f64 {
        PAD + 4.0 + self.top - station
    }

    /// Where the datum ring is.
    fn datum_y(&self) -> f64 {
        let raw = raw_end(self.piece, self.end);
        self.y(if self.end == End::Start { raw + self.wrap.datum } else { raw - self.wrap.datum })
    }

    fn draw(mut self, part: &Part) -> Canvas {
        self.grid();
        self.edges();
        self.ends();
        self.host();
        self.words(part);
        self.canvas
    }

    /// The printed line, the other edge dashed, and the datum ring.
    fn edges(&mut self) {
        let corners = corners(self.piece, self.end);
        let at = |station: f64, clock: f64| [self.x(clock), self.y(station)];
        let printed = curve(|c| at(self.piece.printed(self.end, c), c), &corners, (0.0, TAU), CHORD);
        let other = |c: f64| {
            let [inner, outer] = [0.0, 1.0].map(|depth| self.piece.edge(self.end, c, depth));
            if self.piece.printed(self.end, c) == inner { outer } else { inner }
        };
        let dashed = curve(|c| at(other(c), c), &corners, (0.0, TAU), CHORD);
        self.canvas.line(&dashed, pens::OTHER);
        self.canvas.line(&printed, pens::CUT);
        let y = self.datum_y();
        self.canvas.line(&[[self.x(0.0), y], [self.x(TAU), y]], pens::DATUM);
    }

    /// Both scribe lines, and the tab that goes under.
    fn ends(&mut self) {
        let (datum, edge) = (self.datum_y(), self.y(self.piece.printed(self.end, 0.0)));
        for clock in [0.0, TAU] {
            self.canvas.line(&[[self.x(clock), datum], [self.x(clock), edge]], pens::SCRIBE);
        }
        let x = self.x(TAU);
        let inset = 3.0 * (edge - datum).signum();
        let tab = [[x, datum], [x + TAB, datum + inset], [x + TAB, edge - inset], [x, edge]];
        self.canvas.line(&tab, pens::LIGHT);
        let middle = 0.5 * (datum + edge);
        let style = LABEL.align(Align::Centre);
        self.canvas.turned_words([x + 0.5 * TAB - 0.8, middle], "overlap", style, 1);
        let style = Style::plain(1.6).align(Align::Centre);
        let host = host_side(self.piece, self.end);
        for clock in [0.0, TAU] {
            let shift = if clock == 0.0 { 1.2 } else { -2.8 };
            let words: &[&str] = match host {
                Some(host) if self.beside_scribe(host) => &["clock 0, host downstream", "clock 0", "0"],
                _ => &["scribe line, clock 0", "clock 0", "0"],
            };
            self.upright(clock, shift, words, style);
        }
    }

    /// The first of some words that fits between the datum ring and the edges at a clock, over the words' own
    /// breadth too; from the datum ring upwards, `shift` mm to the right.
    fn upright(&mut self, clock: f64, shift: f64, choices: &[&str], style: Style) {
        let breadth = 4.0 * TAU / self.wrap.circumference;
        let room = self.depth(clock - breadth, clock + breadth) - 1.5;
        let Some(words) = choices.iter().find(|w| crate::font::width(w, &style) <= room) else { return };
        let inward = if self.end == End::Start { 1.0 } else { -1.0 };
        let middle = self.datum_y() + inward * (0.5 * room + 0.75);
        self.canvas.turned_words([self.x(clock) + shift, middle], *words, style, 1);
    }

    /// Clock ticks on the datum ring, light lines each quarter turn, and the raw square end.
    fn grid(&mut self) {
        let datum = self.datum_y();
        let inward = if self.end == End::Start { 1.0 } else { -1.0 };
        // Every 30 degrees has its number, or on thin tube each quarter.
        let numbered = if self.wrap.circumference / 12.0 < NUMBER { 6 } else { 2 };
        for i in 0..=24 {
            let (clock, x) = (from_degrees(15.0 * f64::from(i)), self.x(from_degrees(15.0 * f64::from(i))));
            let length = if i % 2 == 0 { 3.0 } else { 2.0 };
            self.canvas.line(&[[x, datum], [x, datum + inward * length]], pens::LIGHT);
            if i % 6 == 0 && i > 0 && i < 24 {
                let edge = self.y(self.piece.printed(self.end, clock));
                self.canvas.line(&[[x, datum], [x, edge]], pens::LIGHT.grey(0.45));
            }
            if i % numbered == 0 {
                let y = if inward < 0.0 { datum + 2.6 } else { datum - 1.0 };
                let text = format!("{:.0}", to_degrees(clock));
                self.canvas.words([x, y], text, Style::plain(1.5).align(Align::Centre));
            }
        }
        let raw = self.y(raw_end(self.piece, self.end));
        let pen = Pen { dash: Some([0.6, 1.4]), ..pens::LIGHT };
        self.canvas.line(&[[self.x(0.0), raw], [self.x(TAU) + TAB, raw]], pen);
        let foot = if inward < 0.0 { raw - 0.8 } else { raw + 2.4 };
        let away = self.wrap.shortest.1;
        let style = Style::plain(1.5).align(Align::Centre);
        let x = self.x(away).clamp(self.x(0.0) + 12.0, self.x(TAU) - 12.0);
        self.canvas.words([x, foot], "raw square end", style);
    }

    /// Of a saddle: which side looks downstream on the host, so that the tube can be clocked to it.
    fn host(&mut self) {
        let Some(clock) = host_side(self.piece, self.end) else { return };
        let (datum, edge) = (self.datum_y(), self.y(self.piece.printed(self.end, clock)));
        let x = self.x(clock);
        self.canvas.line(&[[x, datum], [x, edge]], Pen { dash: Some([0.6, 0.8]), ..pens::LIGHT });
        // Along the scribe line its own words say it.
        if self.beside_scribe(clock) {
            return;
        }
        let shift = if clock < TAU - 0.5 { 1.0 } else { -2.4 };
        let style = Style::plain(1.3).align(Align::Centre);
        // The head says it too, where a short foot leaves no room.
        self.upright(clock, shift, &["host downstream"], style);
    }

    /// Whether words along a clock would touch those along the scribe line.
    fn beside_scribe(&self, clock: f64) -> bool {
        wrap_signed(clock).abs() * self.wrap.circumference / TAU < SCRIBED
    }

    /// Mark, end and downstream arrow, in the part that stays on the tube: as large as fits, between two quarter lines
    /// where there is a place.
    fn words(&mut self, part: &Part) {
        let end = end_name(self.end).to_uppercase();
        let styles = |scale: f64| (Style::bold(4.0 * scale), Style::plain(2.2 * scale));
        let half = |scale: f64| {
            let (mark, small) = styles(scale);
            0.5 * crate::font::width(&part.mark, &mark).max(crate::font::width(&end, &small))
        };
        let sizes = (0..=14).map(|i| 1.0 - 0.05 * f64::from(i));
        let fits = sizes
            .clone()
            .find_map(|scale| Some((scale, self.place(2.0 * half(scale) + ARROW * scale, scale)?)));
        let smallest = 0.3;
        let (scale, left) = fits.unwrap_or((smallest, self.x(0.0) + SCRIBED));
        let (mark, small) = styles(scale);
        let inward = if self.end == End::Start { 1.0 } else { -1.0 };
        let (x, y) = (left + half(scale), self.datum_y() + scale * (inward * 9.0 + 2.0));
        self.canvas.words([x, y], part.mark.clone(), mark.align(Align::Centre));
        self.canvas.words([x, y + 3.6 * scale], end.clone(), small.align(Align::Centre));
        let from: Point = [x + half(scale) + 2.5 * scale, y + 3.0 * scale];
        arrow(&mut self.canvas, from, [from[0], from[1] - 10.0 * scale]);
        let tiny = Style::plain(1.3 * scale).align(Align::Centre);
        self.canvas.turned_words([from[0] + 2.2 * scale, from[1] - 5.0 * scale], "downstream", tiny, 3);
    }

    /// The left edge of words `width` mm wide where most paper is between the datum ring and the edges over all of
    /// them: in the middle of a quarter, or anywhere clear of the scribe lines. `None` where there is too little.
    fn place(&self, width: f64, scale: f64) -> Option<f64> {
        let quarter = 0.25 * self.wrap.circumference;
        let first = self.x(0.0) + SCRIBED;
        let spare = self.wrap.circumference - 2.0 * SCRIBED - width;
        let quarters = (0..4).map(|k| self.x(0.0) + (f64::from(k) + 0.5) * quarter - 0.5 * width);
        let anywhere = (0..=24).map(|i| first + spare * f64::from(i) / 24.0);
        let clock = |x: f64| (x - self.x(0.0)) / self.wrap.circumference * TAU;
        let best = |places: Vec<f64>| {
            let deep = |left: f64| self.depth(clock(left), clock(left + width));
            let within = |left: &f64| *left >= first - 1e-9 && *left <= first + spare + 1e-9;
            let places = places.into_iter().filter(within).map(|left| (deep(left), left));
            places.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(depth, _)| *depth >= WORDS * scale + 1.0)
        };
        let between = if width + 1.0 <= quarter { best(quarters.collect()) } else { None };
        between.or_else(|| best(anywhere.collect())).map(|(_, left)| left)
    }

    /// The least distance between the datum ring and the two edges over a range of clocks, mm.
    fn depth(&self, from: f64, to: f64) -> f64 {
        let datum = self.datum_y();
        let clocks = (0..=30).map(|i| from + (to - from) * f64::from(i) / 30.0);
        let edges = clocks.flat_map(|c| [0.0, 1.0].map(|depth| self.y(self.piece.edge(self.end, c, depth))));
        edges.map(|y| (y - datum).abs()).fold(f64::INFINITY, f64::min)
    }
}

/// Whether an end gets a template: every cut other than square.
pub fn has_template(piece: &Piece, end: End) -> bool {
    piece.cut(end).kind() != "square"
}

/// The clock, rad, at which a saddle looks along its host's travel; `None` for other cuts.
pub fn host_side(piece: &Piece, end: End) -> Option<f64> {
    let cut = piece.cut(end);
    let Shape::Saddle(saddle) = &cut.shape else { return None };
    Some(wrap_turn(cut.roll + geom::math::atan2(saddle.along.y, saddle.along.x)))
}

/// Station of the raw square end, sawn at the longest point.
fn raw_end(piece: &Piece, end: End) -> f64 {
    match end {
        End::Start => 0.0,
        End::End => piece.length(),
    }
}

/// Distance of the datum ring from the raw square end: beyond the deepest point of the cut by as much
/// paper as the straight allows, a whole number of mm or eighths of an inch.
fn datum(units: Units, piece: &Piece, end: End, deepest: f64) -> f64 {
    let step = match units {
        Units::Millimetre => 1.0,
        Units::Inch => geom::unit::INCH / 8.0,
    };
    let straight = match &piece.body {
        Body::Tube { centreline, .. } => {
            let (first, last) = centreline.end_straights();
            if end == End::Start { first } else { last }
        }
        Body::Cone { length, .. } => *length,
    };
    let (wanted, least) = (deepest + 16.0, deepest + 2.0);
    let steps = (wanted / step).ceil().min(((straight + TOUCH) / step).floor());
    if steps * step >= least { steps * step } else { (least / step).ceil() * step }
}
