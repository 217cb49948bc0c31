//! The flat pattern of a cone: the sector that rolls into it, developed at mid-wall, 1:1.

use std::f64::consts::{PI, TAU};

use geom::math::{sin, sin_cos};
use layout::layout::Part;
use spec::Design;
use tube::{Body, End, Piece};

use crate::canvas::{Align, Canvas, Point, Style};
use crate::edge::{bevel, corners, curve};
use crate::figure::{angle, clock, fine_length, piece_section};
use crate::framed::Framed;
use crate::strip::arrow;
use crate::wrap::{CHORD, Template, pens};

/// The sector that a plain cone unrolls to: mm, rad.
///
/// From the two diameters D1 < D2 and the height H: slant S = sqrt(H^2 + ((D2 - D1) / 2)^2), outer
/// radius S D2 / (D2 - D1), angle PI D2 / outer radius (sheet-metal textbooks; checked against a
/// published example in the tests). Mid-wall diameters: outside ones make a rolled cone too large
/// (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sector {
    /// Radius of the arc of the small end.
    pub inner: f64,
    /// Radius of the arc of the large end.
    pub outer: f64,
    /// Angle of the sector.
    pub angle: f64,
}

impl Sector {
    /// The sector between two different mid-wall diameters, `height` apart along the axis, mm.
    pub fn new(small: f64, large: f64, height: f64) -> Sector {
        let half = 0.5 * (large - small);
        let slant = (height * height + half * half).sqrt();
        let outer = slant * large / (large - small);
        Sector { inner: outer - slant, outer, angle: PI * large / outer }
    }

    /// Straight distance between the corners of the large end.
    pub fn chord(&self) -> f64 {
        2.0 * self.outer * sin(0.5 * self.angle)
    }
}

/// The pattern of a cone; `None` for a tube, and for a cone that does not widen or narrow.
pub fn pattern(design: &Design, part: &Part) -> Option<Template> {
    let piece = &part.piece;
    let Body::Cone { length, .. } = piece.body else { return None };
    let [first, last] = [0.0, length].map(|station| 2.0 * mid_radius(piece, station));
    if (first - last).abs() < 1e-6 {
        return None;
    }
    let sector = Sector::new(first.min(last), first.max(last), length);
    let units = design.units;
    let (gap, at) = bevel(piece, End::Start);
    let mut facts = vec![
        ("QUANTITY", "1".to_owned()),
        ("ALLOY", piece.alloy().name.to_owned()),
        ("OD × WALL", piece_section(units, piece)),
        ("SPEC", design.name.clone()),
        ("OUTER RADIUS", fine_length(units, sector.outer)),
        ("INNER RADIUS", fine_length(units, sector.inner)),
        ("SECTOR", angle(sector.angle)),
        ("OUTER CHORD", fine_length(units, sector.chord())),
    ];
    // A square end has none.
    if gap > 0.005 {
        facts.push(("BEVEL TO FILE, AT MOST", format!("{} at {}", fine_length(units, gap), clock(at))));
    }
    Some(Template {
        mark: part.mark.clone(),
        title: format!("cone pattern, start {}", piece.cut(End::Start).kind()),
        facts: facts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect(),
        words: "Developed at mid-wall: cut the flat sheet to the solid line and roll it, printed face out, seam at clock 0. \
                The other edge of the wall is dashed. A formed cone is cut to the same line after marking its clocks."
            .to_owned(),
        drawing: drawing(part, &sector),
    })
}

/// Radius of the middle of the wall at a station of a cone, mm.
fn mid_radius(piece: &Piece, station: f64) -> f64 {
    let line = piece.line(0.0, 0.5);
    line.rho + line.slope * station
}

fn drawing(part: &Part, sector: &Sector) -> Canvas {
    let piece = &part.piece;
    let slope = piece.line(0.0, 0.5).slope;
    let turn = sector.angle / TAU;
    let lean = slope.abs() / (1.0 + slope * slope).sqrt();
    // The apex is above the pattern of a cone that narrows downstream, below that of one that widens.
    let up = if slope < 0.0 { 1.0 } else { -1.0 };
    let place = |station: f64, clock: f64| -> Point {
        let (s, c) = sin_cos((clock - PI) * turn);
        let radius = mid_radius(piece, station) / lean;
        [radius * s, up * radius * c]
    };
    let corners = corners(piece, End::Start);
    let edge = |pick: &dyn Fn(f64) -> f64| curve(|c| place(pick(c), c), &corners, (0.0, TAU), CHORD);
    let printed = edge(&|c| piece.printed(End::Start, c));
    let other = edge(&|c| piece.edge(End::Start, c, 0.0).max(piece.edge(End::Start, c, 1.0)));
    let end = curve(|c| place(piece.length(), c), &[], (0.0, TAU), CHORD);
    let sides = [0.0, TAU].map(|c| [place(piece.printed(End::Start, c), c), place(piece.length(), c)]);
    let mut page = Framed::around(&[&printed, &end]);
    page.line(&other, pens::OTHER);
    page.line(&printed, pens::CUT);
    page.line(&end, pens::DATUM);
    for side in &sides {
        page.line(side, pens::SCRIBE);
    }
    for quarter in 1..4 {
        let clock = f64::from(quarter) * 0.5 * PI;
        let line = [place(piece.printed(End::Start, clock), clock), place(piece.length(), clock)];
        page.line(&line, pens::LIGHT.grey(0.45));
        let [x, y] = page.at(line[1]);
        let text = format!("{}", quarter * 90);
        page.canvas.words([x + 0.6, y + 3.0], text, Style::plain(1.5));
    }
    let room = piece.length() - piece.extremes(End::Start, 1.0).shortest.1;
    words(&mut page, part, place(piece.length() - (0.5 * room).min(9.0), 0.75 * PI));
    page.canvas
}

/// The mark and the downstream arrow, between two quarter lines near the square end.
fn words(page: &mut Framed, part: &Part, middle: Point) {
    let [x, y] = page.at(middle);
    page.canvas.words([x - 3.0, y + 1.2], part.mark.clone(), Style::bold(2.4).align(Align::Centre));
    let from = [x + 11.0, y + 4.5];
    arrow(&mut page.canvas, from, [from[0], from[1] - 10.0]);
    let style = Style::plain(1.3).align(Align::Centre);
    page.canvas.turned_words([from[0] + 3.0, from[1] - 5.0], "downstream", style, 3);
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::angle::to_degrees;

    /// Published: 5 and 8 in diameters, 4 in apart, radii 7.12 and 11.39, 126.4 degrees (an open
    /// sheet-metal textbook, facts A7); and 50.8 to 76.2 over 100, computed.
    #[test]
    fn a_cone_unrolls_to_the_sector_of_the_textbook() {
        let sector = Sector::new(5.0, 8.0, 4.0);
        assert!((sector.inner - 7.12).abs() < 0.005 && (sector.outer - 11.39).abs() < 0.005);
        assert!((to_degrees(sector.angle) - 126.4).abs() < 0.05);
        let sector = Sector::new(50.8, 76.2, 100.0);
        assert!((sector.inner - 201.6064).abs() < 1e-4 && (sector.outer - 302.4097).abs() < 1e-4);
        assert!((to_degrees(sector.angle) - 45.3557).abs() < 1e-4);
        assert!((sector.chord() - 233.1877).abs() < 1e-4);
    }
}
