//! The saw list: lengths and angles of every piece that a saw cuts, and which ends need a template.

use layout::Layout;
use layout::layout::{Make, Part};
use spec::Design;
use tube::{End, Shape};

use crate::canvas::Style;
use crate::csv::{end_name, finished_length};
use crate::figure::{angle, arc, cell_length, clock, piece_section, section};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::stick;
use crate::table::{Column, Table};

/// Draws the saw list.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    folio.sheet(plain_head(design, "Saw list", "Cut sheet"));
    folio.paragraph(
        &format!(
            "Lengths are from long point to long point, as sawn{}. An angle is tilted from square (0 is a square \
             cut): a saw's scale may count otherwise. Roll is the clock of the long point from the scribe line, and \
             the same on the outside, right or left looking downstream with the scribe line up. Beyond the saw's swing \
             of {} from square, and for every fitted end, use the wrap template of templates.pdf.",
            if design.shop.weld_shrinkage > 0.0 { ", with what is added for weld shrinkage" } else { "" },
            angle(design.shop.saw.swing)
        ),
        BODY,
    );
    straights(folio, design, layout);
    seams(folio, design, layout);
    stick::draw(folio, design, layout);
    formed(folio, design, layout);
    formed_ends(folio, design, layout);
}

/// What the saw is to do at an end: `square`, an angle and a roll, or `template`.
pub fn cut_words(design: &Design, part: &Part, end: End) -> String {
    let piece = &part.piece;
    match piece.cut(end).shape {
        Shape::Square => "square".to_owned(),
        Shape::Plane { tilt } if tilt <= design.shop.saw.swing + 1e-9 => {
            let roll = piece.cut_roll(end);
            let arc = arc(design.units, roll, piece.od());
            format!("{} · roll {} ({arc})", angle(tilt), clock(roll))
        }
        Shape::Plane { tilt } => format!("template ({})", angle(tilt)),
        Shape::Saddle(_) | Shape::Leg(_) | Shape::Scallop(_) => "template".to_owned(),
    }
}

fn straights(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 24.0).set(Style::bold(3.6)),
        Column::numbers("QTY", 6.0).set(Style::plain(3.0)),
        Column::words("ALLOY", 17.0).set(Style::plain(2.4)),
        Column::words("OD × WALL", 34.0).set(Style::plain(2.6)),
        Column::numbers(length_title(design), 34.0).set(Style::bold(5.0)),
        Column::words("START CUT", 28.0).set(Style::bold(2.8)),
        Column::words("END CUT", 28.0).set(Style::bold(2.8)),
    ]);
    for part in layout.pieces.iter().filter(|p| p.make == Make::Straight) {
        table.row(vec![
            part.mark.clone(),
            "1".to_owned(),
            part.piece.alloy().name.to_owned(),
            piece_section(design.units, &part.piece),
            cell_length(design.units, finished_length(part)),
            cut_words(design, part, End::Start),
            cut_words(design, part, End::End),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Straight pieces");
        table.draw(folio);
    }
}

/// Where the weld seam of straight pieces and legs should lie, where it matters.
fn seams(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 40.0).set(Style::bold(3.6)),
        Column::words(seam_title(design), 50.0).set(Style::bold(3.6)),
        Column::numbers("CLOCK", 20.0).set(Style::plain(3.0)),
        Column::numbers("OFF WHAT IT KEEPS AWAY FROM", 40.0).set(Style::plain(3.0)),
    ]);
    for (part, seam) in layout.pieces.iter().zip(&layout.weld_seams) {
        if let (Make::Straight, Some(seam)) = (&part.make, seam) {
            let at = arc(design.units, seam.clock, part.piece.od());
            table.row(vec![part.mark.clone(), at, clock(seam.clock), angle(seam.clear)]);
        }
    }
    if !table.rows.is_empty() {
        folio.heading("Where the seam of welded tube should lie");
        table.draw(folio);
        folio.paragraph(
            "Off holes, and on a leg off the seams with its neighbours: on the side away from the merge's axis. Pieces \
             that are not listed, and seamless tube, may lie anyhow; stagger the seams of neighbours (common practice, \
             no source).",
            BODY,
        );
    }
}

/// Ends of bent pieces that are cut other than square, after bending.
fn formed(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 40.0).set(Style::bold(3.6)),
        Column::words("END", 20.0).set(Style::plain(3.0)),
        Column::words("OD × WALL", 40.0).set(Style::plain(2.6)),
        Column::words("CUT", 70.0).set(Style::bold(3.6)),
    ]);
    for part in layout.pieces.iter().filter(|p| matches!(p.make, Make::Drawn(_) | Make::Bought(_))) {
        for end in [End::Start, End::End] {
            if part.piece.cut(end).shape != Shape::Square {
                table.row(vec![
                    part.mark.clone(),
                    end_name(end).to_owned(),
                    piece_section(design.units, &part.piece),
                    cut_words(design, part, end),
                ]);
            }
        }
    }
    if !table.rows.is_empty() {
        folio.heading("Ends of bent pieces, cut after bending");
        table.draw(folio);
    }
}

/// Ends that are expanded or swaged, with what that takes of the tube.
fn formed_ends(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 24.0).set(Style::bold(3.6)),
        Column::words("END", 14.0).set(Style::plain(3.0)),
        Column::words("FROM, OD × WALL", 32.0),
        Column::words("TO, OD × WALL LEFT", 36.0).set(Style::bold(2.8)),
        Column::numbers("TAPER", 15.0).set(Style::bold(3.0)),
        Column::numbers("LAND", 15.0).set(Style::bold(3.0)),
        Column::numbers("TAKES OF THE TUBE", 24.0).set(Style::bold(3.0)),
        Column::numbers("STRETCH AROUND", 22.0),
        Column::numbers("PIECE WHEN FORMED", 24.0).set(Style::bold(3.0)),
    ]);
    for part in &layout.pieces {
        let Some(own) = part.piece.section() else { continue };
        for (end, form) in [End::Start, End::End].into_iter().zip(part.piece.forms) {
            let Some(form) = form else { continue };
            let formed = tube::Section { od: form.od, wall: form.wall, alloy: own.alloy };
            table.row(vec![
                part.mark.clone(),
                end_name(end).to_owned(),
                section(design.units, &own),
                section(design.units, &formed),
                cell_length(design.units, form.taper),
                cell_length(design.units, form.land),
                cell_length(design.units, form.consumed(&own)),
                format!("{} %", geom::unit::fixed(100.0 * form.stretch(&own), 1)),
                cell_length(design.units, finished_length(part) - part.forming().iter().sum::<f64>()),
            ]);
        }
    }
    if !table.rows.is_empty() {
        folio.heading("Formed ends");
        table.draw(folio);
        folio.paragraph(
            "Form a scrap first and measure it. The wall left and the tube taken are reckoned from constant volume under \
             stretch around the tube alone (plasticity theory, from memory): a machine that pushes or pulls along the \
             tube leaves other figures. Cut lengths have the difference in them; trim the formed end \
             square, until the piece with all its ends formed is as long as the last column says, along its centreline.",
            BODY,
        );
    }
}

fn seam_title(design: &Design) -> &'static str {
    match design.units {
        geom::unit::Units::Millimetre => "WELD SEAM FROM THE SCRIBE LINE, mm",
        geom::unit::Units::Inch => "WELD SEAM FROM THE SCRIBE LINE, in",
    }
}

fn length_title(design: &Design) -> &'static str {
    match design.units {
        geom::unit::Units::Millimetre => "LENGTH, mm",
        geom::unit::Units::Inch => "LENGTH, in",
    }
}
