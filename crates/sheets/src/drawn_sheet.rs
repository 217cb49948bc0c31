//! The printed bend sheet of a drawn tube.

use geom::unit::fixed;
use layout::Layout;
use layout::layout::{Drawing, Make, Part, WeldSeam};
use spec::Design;

use crate::bend_sheet::{BendSheet, BendStep, Trim};
use crate::canvas::{Align, Pen, Style};
use crate::csv::end_name;
use crate::figure::{angle, arc, clock, degrees, fraction, full_length, full_mark, length, mark, seam_words};
use crate::folio::{BODY, FIGURE, Folio, LABEL};
use crate::font::wrap;
use crate::head::piece_head;
use crate::hole_template::{pierced_clock, tape};
use crate::strip;

/// Left edges of the columns, mm from the margin: bend, tape mark, turn, dial, set, wanted.
const COLUMNS: [f64; 6] = [0.0, 12.0, 66.0, 107.0, 142.0, 169.0];
/// Height of a bend's row, mm: a bench figure and two lines of words.
const ROW: f64 = 18.6;

/// What a sheet without a die leaves to the bender.
const NO_DIE: &str = "NET FIGURES: no die of the shop file bends this tube to this radius. Springback, stretch, the grip \
     and the trims of your bender are in none of the figures below: add them yourself, or name the die in the shop file.";

/// Draws the bend sheet of every drawn piece, each on a page of its own.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    for (index, (part, seam)) in layout.pieces.iter().zip(&layout.weld_seams).enumerate() {
        if let (Make::Drawn(drawing), Some(sheet)) = (&part.make, BendSheet::of(design, part)) {
            folio.sheet(piece_head(design, layout, part, "Bend sheet"));
            loading(folio, &sheet);
            if let Some(seam) = seam {
                folio.paragraph(&weld_seam(design, part, *seam), BODY);
            }
            if let Some(words) = punches(design, layout, index) {
                folio.paragraph(&words, BODY);
            }
            steps(folio, &sheet);
            after(folio, &sheet, part);
            folio.heading("The raw tube, to scale");
            strip::draw(folio, &sheet, part, drawing);
            notes(folio, design, part, drawing);
        }
    }
}

/// Where to draw the scribe line on welded tube.
fn weld_seam(design: &Design, part: &Part, seam: WeldSeam) -> String {
    format!(
        "Welded tube: draw the scribe line so that the weld seam lies {}, looking downstream with the line up (clock \
         {}). It then stays {} off the inside and outside of every bend.",
        seam_words(design.units, seam.clock, part.piece.od()),
        degrees(seam.clock),
        degrees(seam.clear)
    )
}

/// The centres of a piece's holes on the raw tube; nothing where it has none.
fn punches(design: &Design, layout: &Layout, piece: usize) -> Option<String> {
    let part = &layout.pieces[piece];
    let own = layout.places().filter(|(place, _)| place.host == piece);
    let said: Vec<String> = own
        .filter_map(|(place, foot)| {
            let station = place.station(&part.piece);
            let (end, mm) = tape(part, station)?;
            let at = pierced_clock(&part.piece, &part.piece.holes[place.hole]);
            Some(format!(
                "hole {} for {} at {} from the raw {}, clock {} ({})",
                place.hole + 1,
                layout.pieces[foot].mark,
                full_mark(design.units, mm),
                end_name(end).to_uppercase(),
                clock(at),
                arc(design.units, at, part.piece.od())
            ))
        })
        .collect();
    (!said.is_empty())
        .then(|| format!("Centre-punch before bending, cut after it by the template: {}.", said.join("; ")))
}

fn loading(folio: &mut Folio, sheet: &BendSheet) {
    let mut raw = length(sheet.units, sheet.raw_length);
    if let Some(fraction) = fraction(sheet.units, sheet.raw_length) {
        raw = format!("{raw} ({fraction})");
    }
    let unit = sheet.units.symbol();
    let figures = [
        (format!("RAW TUBE, {unit}"), raw),
        ("GOES IN FIRST".to_owned(), end_name(sheet.first_in).to_uppercase()),
        ("DIE".to_owned(), sheet.die.clone().unwrap_or_else(|| "none fits".to_owned())),
        (format!("CLR, {unit}"), length(sheet.units, sheet.clr)),
    ];
    folio.figures(&figures, FIGURE);
    folio.paragraph(&sheet.loading_words(), BODY);
    if sheet.die.is_none() {
        folio.paragraph(NO_DIE, Style::bold(2.3));
    }
}

fn steps(folio: &mut Folio, sheet: &BendSheet) {
    columns(folio, sheet);
    for step in &sheet.steps {
        if folio.need(ROW) {
            columns(folio, sheet);
        }
        step_row(folio, sheet, step);
    }
    folio.y += 2.0;
}

fn columns(folio: &mut Folio, sheet: &BendSheet) {
    let (left, right, y) = (folio.left(), folio.right(), folio.y + 4.0);
    let tape = format!("TAPE MARK, {}", sheet.units.symbol());
    let [set, wanted] = if sheet.die.is_some() { ["SET", "WANTED"] } else { ["BEND TO, NET", ""] };
    let titles = ["BEND", tape.as_str(), "TURN THE TUBE", "DIAL", set, wanted];
    let canvas = folio.canvas();
    for (x, title) in COLUMNS.iter().zip(titles) {
        canvas.words([left + x, y], title, LABEL);
    }
    canvas.line(&[[left, y + 1.2], [right, y + 1.2]], Pen::solid(0.35));
    folio.y = y + 1.2;
}

fn step_row(folio: &mut Folio, sheet: &BendSheet, step: &BendStep) {
    let (left, right, top) = (folio.left(), folio.right(), folio.y);
    let base = top + 8.0;
    let canvas = folio.canvas();
    let at = |column: usize| [left + COLUMNS[column], base];
    canvas.words(at(0), step.bend.to_string(), FIGURE);
    let tape = mark(sheet.units, step.tape_mark);
    canvas.words(at(1), tape.clone(), FIGURE);
    if let Some(fraction) = fraction(sheet.units, step.tape_mark) {
        let x = left + COLUMNS[1] + crate::font::width(&tape, &FIGURE) + 2.5;
        canvas.words([x, base], fraction, Style::bold(3.4));
    }
    let turn = match step.turn {
        Some(turn) if !turn.is_nothing() => {
            format!("{} {}", if turn.clockwise { "↻" } else { "↺" }, angle(turn.angle))
        }
        _ => "none".to_owned(),
    };
    canvas.words(at(2), turn, FIGURE);
    strip::dial(canvas, [left + COLUMNS[3] + 3.4, base - 2.5], 3.0, step.dial);
    canvas.words([left + COLUMNS[3] + 9.0, base], angle(step.dial), FIGURE);
    if sheet.die.is_some() {
        canvas.words(at(4), angle(step.set_angle), FIGURE);
        canvas.words(at(5), angle(step.wanted_angle), Style::plain(3.6));
    } else {
        canvas.words(at(4), angle(step.wanted_angle), FIGURE);
    }
    let words = Style::plain(2.1);
    let lines = wrap(&sheet.step_words(step), &words, right - left);
    let bottom = top + ROW - if lines.len() > 1 { 0.0 } else { 3.6 };
    for (i, line) in lines.into_iter().enumerate() {
        canvas.words([left, top + 12.8 + 3.6 * i as f64], line, words);
    }
    canvas.line(&[[left, bottom], [right, bottom]], Pen::solid(0.12).grey(0.6));
    folio.y = bottom;
}

/// What to trim after bending, and the distance to check.
fn after(folio: &mut Folio, sheet: &BendSheet, part: &Part) {
    folio.heading("After bending");
    let units = sheet.units;
    let unit = units.symbol();
    let trim = |trim: &Trim| {
        (format!("TRIM AT THE {}, {unit}", end_name(trim.end).to_uppercase()), length(units, trim.length))
    };
    let figures = [
        trim(&sheet.trims[0]),
        trim(&sheet.trims[1]),
        (format!("CHECK: END TO END, {unit}"), length(units, sheet.ends_apart)),
        (format!("RAW END TO RAW END, {unit}"), length(units, sheet.raw_ends_apart)),
    ];
    folio.figures(&figures, FIGURE);
    let mut words = format!(
        "Trim square. Check the straight distance from centre to centre of the ends: {} after trimming, {} before.",
        full_length(units, sheet.ends_apart),
        full_length(units, sheet.raw_ends_apart)
    );
    for trim in sheet.trims.iter().filter(|t| t.cut_follows) {
        let kind = part.piece.cut(trim.end).kind();
        let end = end_name(trim.end).to_uppercase();
        words.push_str(&format!(
            " Then cut the {end} ({kind}), its long point at the trimmed end: see the saw list."
        ));
    }
    folio.paragraph(&words, BODY);
}

fn notes(folio: &mut Folio, design: &Design, part: &Part, drawing: &Drawing) {
    let formed: f64 = part.forming().iter().sum();
    let added = part.shrinkage[0] + part.shrinkage[1] - formed;
    let mut notes = vec![
        "A positive turn is clockwise, seen from the collet towards the bend head. The dial sums the turns \
         clockwise from the first bend; a dial that counts the other way shows 360 less that."
            .to_owned(),
    ];
    if let Some(die) = drawing.die.and_then(|i| design.shop.dies.get(i)) {
        notes.push(format!(
            "Springback of this die: {} degree for each degree bent and {} a bend; the set angle has it in it. \
             Stretch: {} for each 90 degrees; the tape marks have it in them.",
            fixed(die.springback, 3),
            degrees(die.springback_fixed),
            full_length(design.units, die.stretch * std::f64::consts::FRAC_PI_2),
        ));
    }
    if formed != 0.0 {
        notes.push(format!(
            "The lengths have {} in them for formed ends: see the saw list.",
            full_length(design.units, formed)
        ));
    }
    if added > 1e-9 {
        notes.push(format!(
            "The lengths have {} in them for weld shrinkage.",
            full_length(design.units, added)
        ));
    }
    for note in notes {
        folio.paragraph(&note, Style::plain(2.0).grey(0.2).align(Align::Left));
    }
}
