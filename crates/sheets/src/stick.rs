//! Segments from one stick of tube: where each saw cut lies, and how the stick is turned for it.
//!
//! One saw cut makes the end of a segment and the start of the next. Turned half a turn, the next segment
//! closes the bend, so segments nest long side to short side, and the stick is as long as their centrelines
//! together and the kerfs, each `blade / cos t` along the axis (common practice in sheet metal and pipe work;
//! the length is held against that formula in `tests/handbook.rs`).

use std::f64::consts::PI;

use geom::angle::{from_degrees, wrap_signed};
use geom::math::{cos, tan};
use geom::unit::fixed;
use layout::Layout;
use layout::layout::{Part, WeldSeam};
use spec::Design;
use tube::{End, Section, Shape};

use crate::canvas::Style;
use crate::figure::{arc, cell_length, cell_mark, degrees, full_length, seam_words, section};
use crate::folio::{BODY, FIGURE, Folio};
use crate::table::{Column, Table};

/// Segments that follow each other, mitre to mitre, and are sawn from one stick. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Stick {
    /// Indices of its pieces, in the direction of travel.
    pub pieces: Vec<usize>,
    /// The section of the tube.
    pub section: Section,
    /// Length of the stick, both ends sawn square.
    pub length: f64,
    /// The saw cuts, one between each two pieces.
    pub cuts: Vec<StickCut>,
    /// Where the weld seam should lie, by its clock from the stick's line; `None` where the tube has none.
    pub seam: Option<WeldSeam>,
}

/// A saw cut across a stick. Tapes are from the stick's start to the face of the piece upstream.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StickCut {
    /// Tilt from square, rad.
    pub tilt: f64,
    /// Clock on the stick of the long point of the piece upstream, rad: from the stick's line, which is the
    /// first piece's scribe line.
    pub clock: f64,
    /// Tape along the axis.
    pub axis: f64,
    /// Tape along the line of the long point.
    pub long: f64,
    /// Tape along the line opposite.
    pub short: f64,
}

/// The sticks of a layout, in the order of its pieces.
pub fn sticks(design: &Design, layout: &Layout) -> Vec<Stick> {
    layout.sticks().into_iter().filter_map(|pieces| stick(design, layout, pieces)).collect()
}

fn stick(design: &Design, layout: &Layout, pieces: Vec<usize>) -> Option<Stick> {
    let section = layout.pieces[*pieces.first()?].piece.section()?;
    let (mut axis, mut cuts) = (0.0, Vec::new());
    for (turns, pair) in pieces.windows(2).enumerate() {
        let part = &layout.pieces[pair[0]];
        let Shape::Plane { tilt } = part.piece.end.shape else { continue };
        // The stick begins at the first piece's long point; from mitre to mitre it counts the axis.
        let begin = if turns == 0 { 0.0 } else { part.piece.start.station };
        axis += part.piece.end.station - begin + added(part);
        let reach = section.outer() * tan(tilt);
        let clock = wrap_signed(part.piece.end.roll + PI * turns as f64);
        cuts.push(StickCut { tilt, clock, axis, long: axis + reach, short: axis - reach });
        axis += design.shop.saw.kerf / cos(tilt);
    }
    let last = &layout.pieces[*pieces.last()?];
    let rest = last.piece.length() - last.piece.start.station + added(last);
    let seam = layout.weld_seams[pieces[0]];
    Some(Stick { section, length: axis + rest, cuts, seam, pieces })
}

/// Length added for weld shrinkage, mm.
fn added(part: &Part) -> f64 {
    part.shrinkage[0] + part.shrinkage[1]
}

/// Draws the sticks on the saw list.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    let sticks = sticks(design, layout);
    if sticks.is_empty() {
        return;
    }
    folio.heading("Segments, from sticks");
    folio.paragraph(
        "Saw each stick square to its length. Draw one line along all of it, and a second line opposite the first. Mark \
         each piece, its downstream arrow and its lines before it is cut off. Within a bend the saw stays at its angle; for each cut \
         turn the tube until the long point of the piece before the cut stands where the table says, seen along the \
         stick from its start with the first line up. One cut makes two faces. Then turn every second piece half a \
         turn: its scribe line is the second line, and all scribe lines run on through the joints. Tapes are to the \
         face of the piece before the cut; the kerf is beyond it. A stick longer than a bar is parted at any cut.",
        BODY,
    );
    for stick in &sticks {
        table(folio, design, layout, stick);
    }
}

fn table(folio: &mut Folio, design: &Design, layout: &Layout, stick: &Stick) {
    let units = design.units;
    let mark = |i: usize| layout.pieces[stick.pieces[i]].mark.clone();
    let figures = [
        ("STICK".to_owned(), format!("{} to {}", mark(0), mark(stick.pieces.len() - 1))),
        ("OD × WALL".to_owned(), section(units, &stick.section)),
        ("ALLOY".to_owned(), stick.section.alloy.name.to_owned()),
        ("LENGTH".to_owned(), full_length(units, stick.length)),
    ];
    folio.need(40.0);
    folio.figures(&figures, Style::bold(4.0));
    if let Some(seam) = stick.seam {
        let words = format!(
            "Welded tube: draw the first line so that the weld seam lies {}, looking downstream with the line up; it then \
             stays {} off the throats and backs of the mitres.",
            seam_words(units, seam.clock, stick.section.od),
            degrees(seam.clear)
        );
        folio.paragraph(&words, BODY);
    }
    let mut table = Table::new(vec![
        Column::words("PIECE, ORDER OF SAWING", 30.0).set(Style::bold(3.6)),
        Column::numbers("LONG SIDE", 26.0),
        Column::numbers("SHORT SIDE", 26.0),
        Column::words("CUT AFTER IT", 22.0).set(Style::bold(3.6)),
        Column::words("LONG POINT ON THE STICK", 30.0).set(Style::bold(2.8)),
        Column::numbers("TAPE, LONG SIDE", 30.0).set(FIGURE),
        Column::numbers("TAPE, SHORT SIDE", 30.0).set(Style::plain(2.8)),
    ]);
    for (i, &index) in stick.pieces.iter().enumerate() {
        let part = &layout.pieces[index];
        let (long, short) = sides(part);
        let mut row = vec![part.mark.clone(), cell_length(units, long), cell_length(units, short)];
        match stick.cuts.get(i) {
            Some(cut) => row.extend([
                saw_angle(design, cut.tilt),
                format!("{} ({})", crate::figure::clock(cut.clock), arc(units, cut.clock, stick.section.od)),
                cell_mark(units, cut.long),
                cell_mark(units, cut.short),
            ]),
            None => row.extend(["–", "–", "–", "–"].map(str::to_owned)),
        }
        table.row(row);
    }
    table.draw(folio);
}

/// The longest and shortest sides of a segment on its outside, with weld shrinkage, mm.
fn sides(part: &Part) -> (f64, f64) {
    let side = |clock: f64| part.piece.edge(End::End, clock, 1.0) - part.piece.edge(End::Start, clock, 1.0);
    let all = (0..720).map(|i| side(from_degrees(0.5 * f64::from(i))));
    let (least, most) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| (a.min(s), b.max(s)));
    (most + added(part), least + added(part))
}

/// A mitre's angle to 0.01 degree; where the saw does not swing so far, its template.
fn saw_angle(design: &Design, tilt: f64) -> String {
    let angle = format!("{}°", fixed(geom::angle::to_degrees(tilt), 2));
    if tilt <= design.shop.saw.swing + 1e-9 { angle } else { format!("template ({angle})") }
}
