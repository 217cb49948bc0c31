//! The template of a hole on its host: its edges unrolled at the outside surface, 1:1.
//!
//! Printed face out, downstream up, clock growing to the right, as a wrap template; the paper's ends meet
//! opposite the hole. Each edge is solid where it lies inside the other: there the metal has to stay.

use std::f64::consts::{PI, TAU};

use geom::angle::{from_degrees, to_degrees, wrap_signed, wrap_turn};
use geom::math::{hypot, sin_cos};
use geom::roots;
use geom::unit::Units;
use layout::Layout;
use layout::layout::{Drawing, Make, Part};
use spec::Design;
use tube::{Body, End, Hole, Piece};

use crate::bend_sheet::from_first_in;
use crate::canvas::{Align, Point, Style};
use crate::csv::end_name;
use crate::edge::curve;
use crate::figure::{angle, clock, fine_length, piece_section, size};
use crate::framed::Framed;
use crate::strip::arrow;
use crate::wrap::{CHORD, Template, pens};

/// A stretch of a hole's edge as it is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// 1 for the edge on the outside, 0 for the one at the bore.
    pub depth: f64,
    /// Angles around the branch between which it runs, rad.
    pub phis: (f64, f64),
    /// Whether it lies inside the other edge, so that it is the one to cut to first.
    pub solid: bool,
}

/// Where a hole's template stands on its host: mm, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Station of the datum ring on the finished piece, upstream of the hole.
    pub ring: f64,
    /// Distance of the ring from an end of the piece as sawn, at its long point; `None` where a bend is
    /// between both ends and the hole.
    pub from_end: Option<(End, f64)>,
    /// Its tape mark on a drawn piece's raw tube, from the end that goes in first.
    pub tape: Option<(End, f64)>,
    /// The centre, where the branch's axis pierces the outside: its clock, and its distance from the ring.
    pub centre: (f64, f64),
}

impl Stand {
    /// Where the template of a part's hole stands. The ring is a whole number of mm, or of eighths of an
    /// inch, from where it is measured, if the straight has room for that.
    pub fn of(units: Units, part: &Part, hole: &Hole) -> Stand {
        let piece = &part.piece;
        let (from, _) = hole.straight(piece);
        let ((first, _), _) = hole.extent(piece);
        let wanted = first - (first - from).clamp(LEAST_PAPER, PAPER);
        let ring = whole_ring(units, part, hole, wanted, (from, first - 0.5 * LEAST_PAPER));
        Stand {
            ring,
            from_end: from_end(part, hole, ring),
            tape: tape(part, ring),
            centre: (wrap_turn(pierced_clock(piece, hole)), pierced(piece, hole, 1.0) - ring),
        }
    }
}

/// The template of hole `number` (from 0) of the part with number `host`.
pub fn template(design: &Design, layout: &Layout, host: usize, number: usize) -> Template {
    let part = &layout.pieces[host];
    let piece = &part.piece;
    let hole = piece.holes[number];
    let units = design.units;
    let stand = Stand::of(units, part, &hole);
    let mark = |(end, mm): (End, f64)| {
        format!("{} {} from the {}", size(units, mm), units.symbol(), end_name(end).to_uppercase())
    };
    let mut facts = vec![
        ("QUANTITY", "1".to_owned()),
        ("ALLOY", piece.alloy().name.to_owned()),
        ("OD × WALL", piece_section(units, piece)),
        ("SPEC", design.name.clone()),
    ];
    if piece.section().is_some() {
        facts.push(("CIRCUMFERENCE", fine_length(units, circumference(design, piece))));
    }
    facts.extend(stand.tape.map(|tape| ("DATUM RING ON THE RAW TUBE", mark(tape))));
    facts.extend(stand.from_end.map(|from| ("DATUM RING", mark(from))));
    let centre = format!("{} at {}", fine_length(units, stand.centre.1), clock(stand.centre.0));
    let (apart, phi) = bevel(piece, &hole);
    facts.extend([
        ("CENTRE FROM THE RING", centre),
        ("ANGLE TO THE HOST", angle(hole.angle)),
        ("HOLE ALONG ITS OWN AXIS", format!("Ø {} {}", size(units, 2.0 * hole.radius), units.symbol())),
        ("BEVEL TO FILE, AT MOST", format!("{} at {}", fine_length(units, apart), angle(wrap_turn(phi)))),
    ]);
    let own = layout.places().find(|(place, _)| (place.host, place.hole) == (host, number));
    facts.extend(own.as_ref().map(|(place, _)| ("SET", place.set.name().to_owned())));
    let of = own.map_or(String::new(), |(_, foot)| format!(", for {}", layout.pieces[foot].mark));
    Template {
        mark: part.mark.clone(),
        title: format!("hole {}{of}", number + 1),
        facts: facts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect(),
        words: words(part, &hole),
        drawing: Sheet::new(design, part, hole, stand).draw(number),
    }
}

/// The edges of a hole as they are printed: each solid where it lies inside the other, unrolled at the
/// same clock and station.
pub fn strokes(piece: &Piece, hole: &Hole) -> Vec<Stroke> {
    [1.0, 0.0].into_iter().flat_map(|depth| edge_strokes(piece, hole, depth)).collect()
}

/// Largest distance along the outside between both edges at the same angle around the branch, mm, and that
/// angle: the bevel to file.
pub fn bevel(piece: &Piece, hole: &Hole) -> (f64, f64) {
    let apart = |phi: f64| {
        let [inner, outer] = [0.0, 1.0].map(|depth| hole.edge(piece, phi, depth));
        hypot(piece.outer_radius(outer.1) * (outer.0 - inner.0), outer.1 - inner.1)
    };
    let phis = (0..360).map(|i| from_degrees(f64::from(i)));
    phis.map(|phi| (apart(phi), phi)).max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0.0))
}

/// A station of a piece on its raw tube, mm from the raw end at its start.
pub fn on_raw_tube(piece: &Piece, drawing: &Drawing, station: f64) -> f64 {
    let (mut end, mut raw) = (0.0, None);
    for (row, mark) in piece.rows().rows.iter().zip(&drawing.marks) {
        let begin = end + row.feed;
        if station <= begin {
            return raw.map_or(mark.begin - begin, |(net, raw)| raw - net) + station;
        }
        end = begin + row.radius * row.bend;
        raw = Some((end, mark.end));
    }
    raw.map_or(station, |(net, raw)| raw + station - net)
}

fn words(part: &Part, hole: &Hole) -> String {
    let cut = if overlap(&part.piece, hole) {
        "Cut to the solid line, square to the wall: everywhere it is the inner one of both edges, so all metal that has to \
         stay stays. The dashed line is the other edge: file the bevel between them along the branch's axis."
    } else {
        "The hole leans more than it is wide: drill it along its axis through the cross. The solid line is its edge \
         outside, the dashed one at the bore."
    };
    let when = match part.make {
        Make::Drawn(_) | Make::Bought(_) => " Cut the hole after bending.",
        Make::Cone => " Cut the hole after the cone is rolled and welded.",
        _ => "",
    };
    format!(
        "Cut the paper along its ends, the tab and the ring. Ring at its distance from the long point as sawn, scribe line \
         on the tube's scribe line. {cut}{when}"
    )
}

/// Whether each edge's middle is inside the other edge.
fn overlap(piece: &Piece, hole: &Hole) -> bool {
    let clock = pierced_clock(piece, hole);
    [0.0, 1.0]
        .iter()
        .all(|depth| hole.clearance(piece, pierced(piece, hole, 1.0 - depth), clock, *depth) < 0.0)
}

/// The stretches of one edge.
fn edge_strokes(piece: &Piece, hole: &Hole, depth: f64) -> Vec<Stroke> {
    if !overlap(piece, hole) {
        return vec![Stroke { depth, phis: (0.0, TAU), solid: depth == 1.0 }];
    }
    // Where both edges fall on one line the outside one is the solid one.
    let tie = if depth == 1.0 { TIE } else { -TIE };
    let outside = |phi: f64| {
        let (clock, station) = hole.edge(piece, phi, depth);
        hole.clearance(piece, station, clock, 1.0 - depth) - tie
    };
    let mut phis: Vec<f64> = (0..=720).map(|i| from_degrees(0.5 * f64::from(i))).collect();
    phis.extend(hole.kinks(piece, depth));
    phis.sort_by(f64::total_cmp);
    let mut breaks = vec![0.0];
    breaks.extend(phis.windows(2).filter_map(|w| roots::bracketed(outside, w[0], w[1], 1e-12)));
    breaks.push(TAU);
    breaks.dedup_by(|a, b| *a - *b < 1e-9);
    let strokes = breaks.windows(2).map(|w| {
        let solid = outside(0.5 * (w[0] + w[1])) <= 0.0;
        Stroke { depth, phis: (w[0], w[1]), solid }
    });
    let mut joined: Vec<Stroke> = Vec::new();
    for stroke in strokes {
        match joined.last_mut() {
            Some(last) if last.solid == stroke.solid => last.phis.1 = stroke.phis.1,
            _ => joined.push(stroke),
        }
    }
    joined
}

/// Station at which the hole's axis pierces the wall at `depth`.
pub(crate) fn pierced(piece: &Piece, hole: &Hole, depth: f64) -> f64 {
    hole.station + hole.rise(piece, depth) * geom::math::cos(hole.angle)
}

/// Clock at which its axis pierces the outside.
pub(crate) fn pierced_clock(piece: &Piece, hole: &Hole) -> f64 {
    let radius = piece.outer_radius(pierced(piece, hole, 1.0));
    hole.clock + geom::math::asin((hole.offset / radius).clamp(-1.0, 1.0))
}

/// PI (OD + thickness of the paper) of a tube.
fn circumference(design: &Design, piece: &Piece) -> f64 {
    PI * (piece.od() + design.shop.paper_thickness)
}

/// Distance of a station from an end that no bend is before; the nearer one where there are no bends.
pub(crate) fn from_end(part: &Part, hole: &Hole, station: f64) -> Option<(End, f64)> {
    let length = part.piece.length();
    let (from, to) = hole.straight(&part.piece);
    let start = (End::Start, station + part.shrinkage[0]);
    let end = (End::End, length - station + part.shrinkage[1]);
    match (from <= 0.0, to >= length) {
        (true, true) => Some(if start.1 <= end.1 { start } else { end }),
        (true, false) => Some(start),
        (false, true) => Some(end),
        (false, false) => None,
    }
}

/// The tape mark of a station on the raw tube.
pub(crate) fn tape(part: &Part, station: f64) -> Option<(End, f64)> {
    let Make::Drawn(drawing) = &part.make else { return None };
    Some((drawing.first_in, from_first_in(drawing, on_raw_tube(&part.piece, drawing, station))))
}

/// The ring moved away from the hole, or where there is no room toward it, to a whole number.
fn whole_ring(units: Units, part: &Part, hole: &Hole, ring: f64, (least, most): (f64, f64)) -> f64 {
    let step = match units {
        Units::Millimetre => 1.0,
        Units::Inch => geom::unit::INCH / 8.0,
    };
    let Some((_, first)) = tape(part, ring).or_else(|| from_end(part, hole, ring)) else { return ring };
    let second = tape(part, ring + 1.0).or_else(|| from_end(part, hole, ring + 1.0)).map_or(first, |m| m.1);
    let shift = |wanted: f64| (wanted * step - first) * if second >= first { 1.0 } else { -1.0 };
    let steps = first / step;
    let mut rings = [shift(steps.floor()), shift(steps.ceil())].map(|by| ring + by);
    rings.sort_by(f64::total_cmp);
    rings.into_iter().find(|ring| *ring >= least && *ring <= most).unwrap_or(ring)
}

/// A hole's template being drawn.
struct Sheet<'a> {
    part: &'a Part,
    hole: Hole,
    stand: Stand,
    /// Station of the upper border.
    top: f64,
    /// Thickness of the paper.
    paper: f64,
    page: Framed,
}

impl<'a> Sheet<'a> {
    fn new(design: &Design, part: &'a Part, hole: Hole, stand: Stand) -> Sheet<'a> {
        let ((_, last), _) = hole.extent(&part.piece);
        let paper = design.shop.paper_thickness;
        let top = last + ABOVE;
        let line = |station: f64, offset: f64| -> Vec<Point> {
            let place = |i: i32| unrolled(&part.piece, paper, station, PI * f64::from(i) / 32.0);
            let mut line: Vec<Point> = (-32..=32).map(place).collect();
            line.iter_mut().for_each(|p| p[1] += offset);
            line
        };
        let corner = unrolled(&part.piece, paper, stand.ring, PI);
        let lines = [line(stand.ring, 3.0), line(top, -1.0), vec![[corner[0] + TAB, corner[1]]]];
        let page = Framed::around(&lines.each_ref().map(Vec::as_slice));
        Sheet { part, hole, stand, top, paper, page }
    }

    /// Where the wall's point at a station and a clock is on the paper, the centre's clock in the middle.
    fn at(&self, station: f64, clock: f64) -> Point {
        unrolled(&self.part.piece, self.paper, station, clock - self.stand.centre.0)
    }

    fn draw(mut self, number: usize) -> crate::canvas::Canvas {
        self.borders();
        self.clocks();
        self.cross();
        self.edges();
        self.words(number);
        self.page.canvas
    }

    /// The datum ring, the upper border, the ends that meet and the tab.
    fn borders(&mut self) {
        let middle = self.stand.centre.0;
        let ring = curve(|c| self.at(self.stand.ring, c), &[], (middle - PI, middle + PI), CHORD);
        let top = curve(|c| self.at(self.top, c), &[], (middle - PI, middle + PI), CHORD);
        let ends = [0, 1]
            .map(|i| if i == 0 { [ring[0], top[0]] } else { [ring[ring.len() - 1], top[top.len() - 1]] });
        self.page.line(&top, pens::LIGHT);
        self.page.line(&ring, pens::DATUM);
        self.page.line(&ends[0], pens::LIGHT);
        self.page.line(&ends[1], pens::LIGHT);
        let [low, high] = ends[1];
        let tab = [low, [low[0] + TAB, low[1] - 3.0], [high[0] + TAB, high[1] + 3.0], high];
        self.page.line(&tab, pens::LIGHT);
        let at = self.page.at([0.5 * (low[0] + high[0]) + 0.5 * TAB - 0.8, 0.5 * (low[1] + high[1])]);
        self.page.canvas.turned_words(at, "overlap", Style::plain(1.6).align(Align::Centre), 1);
    }

    /// Ticks on the datum ring, and the scribe line.
    fn clocks(&mut self) {
        let ring = self.stand.ring;
        for i in 0..24 {
            let clock = self.nearest(from_degrees(15.0 * f64::from(i)));
            let length = if i % 2 == 0 { 3.0 } else { 2.0 };
            self.page.line(&[self.at(ring, clock), self.at(ring + length, clock)], pens::LIGHT);
            if i % 2 == 0 {
                let [x, y] = self.page.at(self.at(ring, clock));
                let text = format!("{:.0}", to_degrees(wrap_turn(clock)));
                self.page.canvas.words([x, y + 2.6], text, Style::plain(1.5).align(Align::Centre));
            }
        }
        let scribe = self.nearest(0.0);
        // Where it is at the paper's end it is at both.
        let both = (PI - (scribe - self.stand.centre.0).abs() < from_degrees(2.0))
            .then(|| scribe - TAU * (scribe - self.stand.centre.0).signum());
        for clock in [Some(scribe), both].into_iter().flatten() {
            self.page.line(&[self.at(ring, clock), self.at(self.top, clock)], pens::SCRIBE);
            let [x, y] = self.page.at(self.at(self.top, clock));
            let right = clock <= self.stand.centre.0;
            let (shift, align) = if right { (0.8, Align::Left) } else { (-0.8, Align::Right) };
            self.page.canvas.words(
                [x + shift, y + 2.6],
                "scribe line, clock 0",
                Style::plain(1.5).align(align),
            );
        }
    }

    /// The cross through the centre, beyond the hole's edges.
    fn cross(&mut self) {
        let (clock, from_ring) = self.stand.centre;
        let centre = self.stand.ring + from_ring;
        let ((first, last), (left, right)) = self.hole.extent(&self.part.piece);
        let turn = TAU * ((clock - self.hole.clock) / TAU).round();
        let reach = 4.0 / self.part.piece.outer_radius(centre);
        let (left, right) = ((left + turn - reach).max(clock - PI), (right + turn + reach).min(clock + PI));
        let level = curve(|c| self.at(centre, c), &[], (left, right), CHORD);
        self.page.line(&level, pens::LIGHT);
        let upright = [self.at(self.stand.ring.max(first - 4.0), clock), self.at(last + 4.0, clock)];
        self.page.line(&upright, pens::LIGHT);
    }

    fn edges(&mut self) {
        let piece = &self.part.piece;
        let turn = TAU * ((self.stand.centre.0 - self.hole.clock) / TAU).round();
        for stroke in strokes(piece, &self.hole) {
            let place = |phi: f64| {
                let (clock, station) = self.hole.edge(piece, phi, stroke.depth);
                self.at(station, clock + turn)
            };
            let points = curve(place, &self.hole.kinks(piece, stroke.depth), stroke.phis, CHORD);
            self.page.line(&points, if stroke.solid { pens::CUT } else { pens::OTHER });
        }
    }

    /// The mark, the hole's number and the downstream arrow, clear of the hole and of the scribe line.
    fn words(&mut self, number: usize) {
        let middle = self.stand.centre.0;
        let scribe = self.nearest(0.0) - middle;
        let side = if scribe < 0.0 { 1.0 } else { -1.0 };
        let height = 0.5 * (self.stand.ring + self.top);
        let room = 0.25 * TAU * self.part.piece.outer_radius(height);
        let [x, y] = self.page.at(self.at(height, middle + side * 0.75 * PI));
        let mut style = Style::bold(4.0).align(Align::Centre);
        while crate::font::width(&self.part.mark, &style) > room - 4.0 && style.cap > 1.6 {
            style.cap -= 0.1;
        }
        self.page.canvas.words([x, y], self.part.mark.clone(), style);
        let text = format!("HOLE {}", number + 1);
        self.page.canvas.words([x, y + 3.6], text, Style::plain(2.2).align(Align::Centre));
        let away = if (scribe.abs() - 0.7 * PI).abs() < 0.15 * PI { 0.5 } else { 0.7 };
        let [x, y] = self.page.at(self.at(height, middle - side * away * PI));
        arrow(&mut self.page.canvas, [x, y + 5.0], [x, y - 5.0]);
        let small = Style::plain(1.3).align(Align::Centre);
        self.page.canvas.turned_words([x + 3.0, y], "downstream", small, 3);
    }

    /// A clock within half a turn of the centre's.
    fn nearest(&self, clock: f64) -> f64 {
        self.stand.centre.0 + wrap_signed(clock - self.stand.centre.0)
    }
}

/// A point of the outside, and half the paper's thickness more, on the flat: a tube's downstream upward,
/// a cone's about its apex.
fn unrolled(piece: &Piece, paper: f64, station: f64, turn: f64) -> Point {
    let line = piece.line(0.0, 1.0);
    let radius = piece.outer_radius(station) + 0.5 * paper;
    match piece.body {
        Body::Cone { .. } if line.slope != 0.0 => {
            let lean = line.slope.abs() / hypot(1.0, line.slope);
            let (s, c) = sin_cos(turn * lean);
            let up = if line.slope < 0.0 { 1.0 } else { -1.0 };
            [radius / lean * s, up * radius / lean * c]
        }
        _ => [radius * turn, -station],
    }
}

/// Paper between the ring and the hole: wanted and at least, mm.
const PAPER: f64 = 16.0;
const LEAST_PAPER: f64 = 4.0;
/// Paper above the hole, mm.
const ABOVE: f64 = 8.0;
/// Width of the overlap tab, mm.
const TAB: f64 = 10.0;
/// How near both edges come before they count as one, mm.
const TIE: f64 = 1e-7;
