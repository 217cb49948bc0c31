//! The summary: what the header is, how long its runs are, what was noticed, which pieces it has.

use geom::angle::to_degrees;
use geom::unit::fixed;
use layout::Layout;
use layout::closing::SolvedValue;
use layout::layout::Run;
use spec::{Design, Level};

use crate::canvas::Style;
use crate::csv::{finished_length, kind_said, raw_length};
use crate::figure::{
    angle, cell_length, difference, fine_length, full_length, length, listed_section, mass, section,
};
use crate::folio::{BODY, Folio, Head};
use crate::table::{Column, Table};

/// Draws the summary; `masses` are those of the pieces, kg.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout, masses: &[f64]) {
    folio.sheet(head(design, layout, masses.iter().sum::<f64>() + layout.plate_mass()));
    for text in [&design.title, &design.note] {
        if !text.is_empty() {
            folio.paragraph(text, Style::plain(2.8));
        }
    }
    findings(folio, layout);
    lengths(folio, design, layout);
    groups(folio, design, layout);
    solved(folio, design, layout);
    ends(folio, design, layout);
    pieces(folio, design, layout, masses);
}

fn head(design: &Design, layout: &Layout, finished: f64) -> Head {
    let facts = [
        ("PIECES", layout.pieces.len().to_string()),
        ("JOINTS", layout.joints.len().to_string()),
        ("WELD, OUTSIDE", full_length(design.units, layout.weld_length())),
        ("MASS", mass(finished)),
        ("SHEETS IN", design.units.symbol().to_owned()),
    ];
    Head {
        mark: design.name.clone(),
        title: "Summary".to_owned(),
        facts: facts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect(),
        about: Vec::new(),
    }
}

fn findings(folio: &mut Folio, layout: &Layout) {
    folio.heading("Findings");
    if layout.findings.is_empty() {
        folio.paragraph("None: no failure, no warning.", BODY);
        return;
    }
    let mut table = Table::new(vec![
        Column::words("LEVEL", 16.0).set(Style::bold(2.3)),
        Column::words("CODE", 30.0),
        Column::words("WHERE", 28.0),
        Column::words("WHAT", 108.0),
    ]);
    for finding in &layout.findings {
        let level = match finding.level {
            Level::Failure => "FAILURE",
            Level::Warning | Level::Note => finding.level.name(),
        };
        let cells = [level, finding.code, finding.place.as_str(), finding.message.as_str()];
        table.row(cells.map(str::to_owned).to_vec());
    }
    table.draw(folio);
}

fn lengths(folio: &mut Folio, design: &Design, layout: &Layout) {
    folio.heading("Runs: lengths along the centreline");
    let units = design.units;
    let mut table = Table::new(vec![
        Column::words("RUN", 24.0).set(Style::bold(3.0)),
        Column::words("FROM, TO", 40.0),
        Column::words("SECTIONS", 42.0),
        Column::numbers("TO ITS END FACE", 26.0).set(Style::plain(2.6)),
        Column::numbers("TO THE MERGE TIP", 26.0).set(Style::bold(3.0)),
        Column::numbers("TARGET", 18.0).set(Style::plain(2.6)),
        Column::numbers("DIFFERENCE", 18.0).set(Style::plain(2.6)),
    ]);
    for run in &layout.runs {
        let sections: Vec<String> = run.sections.iter().map(|s| section(units, &s.section)).collect();
        let tip = run.length_to_tip();
        table.row(vec![
            run.name.clone(),
            format!("{} to {}", run.from, run.to),
            sections.join(", then "),
            cell_length(units, run.length()),
            tip.map_or_else(|| "–".to_owned(), |tip| cell_length(units, tip)),
            run.target.map_or_else(|| "–".to_owned(), |target| length(units, target)),
            run.target.map_or_else(|| "–".to_owned(), |t| difference(units, run.measured_length() - t)),
        ]);
    }
    table.draw(folio);
}

fn groups(folio: &mut Folio, design: &Design, layout: &Layout) {
    for group in &layout.groups {
        let units = design.units;
        let spread = group.longest - group.shortest;
        let verdict = if spread > group.allowed { "TOO FAR APART" } else { "within it" };
        let target = match group.target {
            Some(target) => format!(" Target {}.", full_length(units, target)),
            None => String::new(),
        };
        folio.paragraph(
            &format!(
                "Group {}: {} to {}, {} apart; {} allowed: {verdict}.{target}",
                group.name,
                full_length(units, group.shortest),
                full_length(units, group.longest),
                full_length(units, spread),
                full_length(units, group.allowed)
            ),
            Style::plain(2.6),
        );
    }
}

/// The values that the spec leaves open: the drawing does not say them, the sheets do.
fn solved(folio: &mut Folio, design: &Design, layout: &Layout) {
    if layout.solved.is_empty() {
        return;
    }
    folio.heading("Values that the spec leaves open, as solved");
    let mut table = Table::new(vec![
        Column::words("RUN OR GROUP", 36.0).set(Style::bold(2.6)),
        Column::words("VALUE", 50.0),
        Column::numbers("SOLVED", 48.0),
        Column::numbers("DRAWN", 48.0),
    ]);
    for value in &layout.solved {
        let length = |mm: f64| full_length(design.units, mm);
        let drawn = |said: fn(f64) -> String| value.drawn.map_or_else(|| "–".to_owned(), said);
        let (solved, drawn) = match value.value {
            SolvedValue::Length(mm) => (length(mm), value.drawn.map_or_else(|| "–".to_owned(), length)),
            SolvedValue::Angle(radians) => (angle(radians), drawn(angle)),
            SolvedValue::Direction(v) => (v.to_array().map(|part| fixed(part, 4)).join(", "), "–".to_owned()),
        };
        table.row(vec![value.owner().to_owned(), value.name(), solved, drawn]);
    }
    table.draw(folio);
}

fn ends(folio: &mut Folio, design: &Design, layout: &Layout) {
    folio.heading("Runs: how well their ends close");
    let mut table = Table::new(vec![
        Column::words("RUN", 24.0).set(Style::bold(3.0)),
        Column::words("ENDS ON", 30.0),
        Column::numbers("GAP AS LAID", 24.0),
        Column::numbers("ANGLE AS LAID", 24.0),
        Column::numbers("ROUNDING, AT WORST", 28.0),
        Column::numbers("SHOP, AT WORST", 28.0),
        Column::numbers("SHOP, LIKELY", 28.0).set(Style::bold(2.6)),
    ]);
    for run in &layout.runs {
        table.row(end_row(design, run));
    }
    table.draw(folio);
    let accuracy = &design.shop.accuracy;
    folio.paragraph(
        &format!(
            "Rounding: what rounding the bend rows to the printed figures does to the end of the run, at worst. Shop: what {} a \
             length, {} a bend and {} a turn do to it. The raw tube holds no \
             allowance for it beyond the trims printed: add it at the end that closes.",
            fine_length(design.units, accuracy.length),
            angle(accuracy.bend),
            angle(accuracy.turn)
        ),
        BODY,
    );
}

fn end_row(design: &Design, run: &Run) -> Vec<String> {
    let units = design.units;
    vec![
        run.name.clone(),
        run.to.clone(),
        fine_length(units, run.closure.gap),
        format!("{}°", fixed(to_degrees(run.closure.angle), 3)),
        fine_length(units, run.end_error.print),
        full_length(units, run.end_error.shop),
        full_length(units, run.end_error.shop_likely),
    ]
}

fn pieces(folio: &mut Folio, design: &Design, layout: &Layout, masses: &[f64]) {
    folio.heading("Pieces");
    let mut table = Table::new(vec![
        Column::words("MARK", 32.0).set(Style::bold(2.6)),
        Column::words("MADE", 18.0),
        Column::words("OF", 28.0),
        Column::words("ALLOY", 20.0),
        Column::words("OD × WALL", 36.0),
        Column::numbers("RAW", 26.0),
        Column::numbers("LONG-POINT LENGTH", 26.0),
        Column::numbers("MASS", 18.0),
    ]);
    for (part, of_part) in layout.pieces.iter().zip(masses) {
        table.row(vec![
            part.mark.clone(),
            kind_said(part),
            layout.owner_name(part).to_owned(),
            part.piece.alloy().name.to_owned(),
            listed_section(design.units, part),
            cell_length(design.units, raw_length(part)),
            cell_length(design.units, finished_length(part)),
            mass(*of_part),
        ]);
    }
    table.draw(folio);
    if let Some(words) = with_plates(layout) {
        folio.paragraph(&words, BODY);
    }
}

/// What else is in the mass: plates and transitions.
fn with_plates(layout: &Layout) -> Option<String> {
    let plates = layout.plates.iter().flat_map(|plate| {
        let per = 1e-9 * plate.alloy.density * plate.thickness();
        plate.parts.iter().map(move |part| format!("{} {}", part.mark, mass(part.outline.area() * per)))
    });
    let transitions = layout.transitions.iter().map(|t| format!("{} {}", t.mark, mass(t.mass())));
    let said: Vec<String> = plates.chain(transitions).collect();
    (!said.is_empty())
        .then(|| format!("The mass at the top has these in it too, see their sheets: {}.", said.join(", ")))
}
