//! The stock list: how much straight tube, and how many bought bends, the pieces take.

use layout::FlangePlate;
use layout::Layout;
use layout::layout::{Make, Part, Whole, WholeKind};
use spec::Design;
use spec::design::{CouplingKind, FittingPart, TransitionMake};
use tube::Section;

use crate::canvas::Style;
use crate::csv::{kind_said, raw_length};
use crate::figure::{
    fine_length, full_enough, full_length, full_size, listed_section, mass, piece_section, plain_length,
    section, size,
};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::stick;
use crate::table::{Column, Table};

/// Straight tube of one section.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeNeed {
    /// The section.
    pub section: Section,
    /// Pieces sawn from it.
    pub pieces: usize,
    /// Their raw lengths together, with a kerf for each, mm.
    pub length: f64,
}

/// Bought bends of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct BendNeed {
    /// Index of the stock bend in the shop's list; `None` for pieces that none fits.
    pub stock: Option<usize>,
    /// How many.
    pub count: usize,
    /// What is left over of them along their centrelines, mm.
    pub waste: f64,
}

/// Straight tube by section, in the order in which the pieces first need it.
pub fn tubes(design: &Design, layout: &Layout) -> Vec<TubeNeed> {
    let mut needs: Vec<TubeNeed> = Vec::new();
    let straight = |p: &&Part| matches!(p.make, Make::Straight | Make::Drawn(_));
    let mut take = |section: Section, pieces: usize, length: f64| {
        let length = length + design.shop.saw.kerf;
        match needs.iter_mut().find(|n| n.section == section) {
            Some(need) => {
                need.pieces += pieces;
                need.length += length;
            }
            None => needs.push(TubeNeed { section, pieces, length }),
        }
    };
    for part in layout.pieces.iter().filter(straight) {
        if let Some(section) = part.piece.section() {
            take(section, 1, raw_length(part));
        }
    }
    // Segments nest in their sticks.
    for stick in stick::sticks(design, layout) {
        take(stick.section, stick.pieces.len(), stick.length);
    }
    needs
}

/// Bought bends by kind, in the shop file's order.
pub fn bends(layout: &Layout) -> Vec<BendNeed> {
    let mut needs: Vec<BendNeed> = Vec::new();
    for part in &layout.pieces {
        let Make::Bought(cutting) = &part.make else { continue };
        match needs.iter_mut().find(|n| n.stock == cutting.stock) {
            Some(need) => {
                need.count += 1;
                need.waste += cutting.waste;
            }
            None => needs.push(BendNeed { stock: cutting.stock, count: 1, waste: cutting.waste }),
        }
    }
    needs.sort_by_key(|n| n.stock);
    needs
}

/// Draws the stock list; `finished` is the mass of all pieces, kg.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout, finished: f64) {
    folio.sheet(plain_head(design, "Stock", "Stock list"));
    straight_tube(folio, design, layout);
    bought_bends(folio, design, layout);
    cones(folio, design, layout);
    bought_parts(folio, design, layout);
    transitions(folio, design, layout);
    plates(folio, design, layout);
    folio.heading("Together");
    folio.figures(
        &[
            ("FINISHED MASS".to_owned(), mass(finished)),
            ("WELD, OUTSIDE".to_owned(), full_length(design.units, layout.weld_length())),
            ("JOINTS".to_owned(), layout.joints.len().to_string()),
        ],
        Style::bold(4.0),
    );
    folio.paragraph(
        "The weld is the length of the joint list's welds and of the tubes' welds on their flanges, along the outside. \
         Passes on the inside, tacks, and whatever else is welded on are not in it.",
        BODY,
    );
}

fn straight_tube(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("ALLOY", 30.0).set(Style::bold(3.0)),
        Column::words("OD × WALL", 46.0).set(Style::bold(3.0)),
        Column::numbers("PIECES", 18.0).set(Style::plain(3.0)),
        Column::numbers("LENGTH", 44.0).set(Style::bold(3.6)),
        Column::numbers("MASS", 30.0).set(Style::plain(3.0)),
    ]);
    for need in tubes(design, layout) {
        table.row(vec![
            need.section.alloy.name.to_owned(),
            section(design.units, &need.section),
            need.pieces.to_string(),
            full_length(design.units, need.length),
            mass(need.section.mass_per_metre() * 1e-3 * need.length),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Straight tube");
        table.draw(folio);
        folio.paragraph(
            &format!(
                "Raw lengths of all pieces and a saw kerf of {} for each; how they fit into bars, and what is left over, is \
                 not in it.",
                full_length(design.units, design.shop.saw.kerf)
            ),
            BODY,
        );
    }
}

fn bought_bends(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::numbers("QTY", 14.0).set(Style::bold(5.0)),
        Column::words("STOCK BEND", 50.0).set(Style::bold(3.0)),
        Column::words("ALLOY", 24.0),
        Column::words("OD × WALL, CLR, ANGLE, LEGS", 80.0),
        Column::numbers("LEFT OVER, IN ALL", 30.0),
    ]);
    for need in bends(layout) {
        let stock = need.stock.and_then(|i| design.shop.bends.get(i));
        let (name, alloy, what) = match stock {
            Some(s) => (s.name.as_str(), s.alloy.name, bend_words(design, s)),
            None => ("none in the shop file fits", "–", "see the findings".to_owned()),
        };
        table.row(vec![
            need.count.to_string(),
            name.to_owned(),
            alloy.to_owned(),
            what,
            full_length(design.units, need.waste),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Bends to buy");
        table.draw(folio);
    }
}

fn bend_words(design: &Design, stock: &spec::shop::StockBend) -> String {
    let units = design.units;
    let of = Section { od: stock.od, wall: stock.wall, alloy: stock.alloy };
    format!(
        "{}, CLR {}, {}, legs {} and {}",
        section(units, &of),
        crate::figure::size(units, stock.clr),
        crate::figure::angle(stock.angle),
        crate::figure::length(units, stock.legs[0]),
        crate::figure::length(units, stock.legs[1])
    )
}

fn plates(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 40.0).set(Style::bold(3.0)),
        Column::words("ALLOY", 30.0),
        Column::numbers("THICKNESS", 30.0).set(Style::bold(3.0)),
        Column::numbers("BLANK, AT LEAST", 60.0).set(Style::bold(3.0)),
        Column::numbers("MASS, FINISHED", 28.0),
    ]);
    for plate in &layout.plates {
        for part in &plate.parts {
            let blank = FlangePlate::blank(part);
            let volume = part.outline.area() * plate.thickness();
            table.row(vec![
                part.mark.clone(),
                plate.alloy.name.to_owned(),
                full_size(design.units, plate.thickness()),
                format!("{} × {}", full_enough(design.units, blank.x), full_enough(design.units, blank.y)),
                mass(volume * 1e-9 * plate.alloy.density),
            ]);
        }
    }
    if !table.rows.is_empty() {
        folio.heading("Plate");
        table.draw(folio);
        folio.paragraph(
            "The finished size of each part: the cutter adds the kerf and the rim of the sheet.",
            BODY,
        );
    }
}

fn transitions(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 40.0).set(Style::bold(3.0)),
        Column::words("ALLOY", 30.0),
        Column::words("MADE FROM", 60.0).set(Style::bold(3.0)),
        Column::numbers("LENGTH, FINISHED", 40.0),
    ]);
    for part in &layout.transitions {
        let from = match part.make {
            TransitionMake::Tube => section(design.units, &part.section),
            TransitionMake::Sheet => {
                format!("sheet {} {}", size(design.units, part.section.wall), design.units.symbol())
            }
        };
        table.row(vec![
            part.mark.clone(),
            part.section.alloy.name.to_owned(),
            from,
            full_length(design.units, part.length),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("For transitions");
        table.draw(folio);
        folio.paragraph(
            "Not in the straight tube above: a stub takes its finished length and the former's grip besides, and is \
             trimmed afterwards.",
            BODY,
        );
    }
}

fn cones(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("MARK", 40.0).set(Style::bold(3.0)),
        Column::words("ALLOY", 30.0),
        Column::words("OD × WALL", 60.0).set(Style::bold(3.0)),
        Column::numbers("LENGTH", 40.0),
    ]);
    for part in layout.pieces.iter().filter(|p| p.make == Make::Cone) {
        table.row(vec![
            part.mark.clone(),
            part.piece.alloy().name.to_owned(),
            piece_section(design.units, &part.piece),
            full_length(design.units, part.piece.length()),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Cones");
        table.draw(folio);
    }
}

/// A line of the list of bought parts.
#[derive(Clone, Debug, PartialEq)]
pub struct PartNeed {
    /// What it is, and the name of its table in the spec.
    pub what: String,
    /// What it is made of, or nothing where that is the seller's.
    pub alloy: &'static str,
    /// Its size in words.
    pub size: String,
    /// How many.
    pub count: usize,
    /// Mass of one, kg, where it is known.
    pub mass: Option<f64>,
}

/// Parts that are bought whole, in the order in which they first stand, and what holds fittings together.
pub fn parts(design: &Design, layout: &Layout) -> Vec<PartNeed> {
    let mut needs: Vec<PartNeed> = Vec::new();
    let same = |a: &PartNeed, b: &PartNeed| a.what == b.what && a.size == b.size && a.alloy == b.alloy;
    let mut add = |need: PartNeed| match needs.iter_mut().find(|n| same(n, &need)) {
        Some(known) => known.count += need.count,
        None => needs.push(need),
    };
    for part in &layout.pieces {
        let Make::Whole(whole) = &part.make else { continue };
        add(PartNeed {
            what: format!("{} {}{}", kind_said(part), whole.name, sensor(design, whole)),
            alloy: part.piece.alloy().name,
            size: format!(
                "{}, {} long",
                listed_section(design.units, part),
                plain_length(design.units, part.piece.length())
            ),
            count: 1,
            mass: Some(part.mass()),
        });
    }
    for fitting in &layout.fittings {
        for (what, size, count) in held_by(design, fitting.part) {
            add(PartNeed { what: format!("{what} {}", fitting.name), alloy: "", size, count, mass: None });
        }
    }
    needs
}

/// What a bung is for, and its thread; nothing for any other part.
fn sensor(design: &Design, whole: &Whole) -> String {
    let bung = design.bungs.iter().find(|b| whole.kind == WholeKind::Bung && b.name == whole.name);
    bung.map_or_else(String::new, |bung| format!(", {}, {}", bung.sensor.name(), bung.thread))
}

/// What holds a fitting together: what it is, its size, and how many.
fn held_by(design: &Design, part: FittingPart) -> Vec<(&'static str, String, usize)> {
    match part {
        FittingPart::Slip(slip) => match design.slips[slip].tabs {
            0 => Vec::new(),
            pairs => vec![("pairs of tabs for slip", "with bolts or springs".to_owned(), pairs)],
        },
        FittingPart::Bellows(_) => Vec::new(),
        FittingPart::Coupling(coupling) => {
            let coupling = &design.couplings[coupling];
            let mut held = match &coupling.kind {
                CouplingKind::VBand => {
                    let size = format!("for Ø {}", plain_length(design.units, coupling.od));
                    vec![("clamp for V-band", size, 1)]
                }
                CouplingKind::Flanged { bolts, size } => {
                    vec![("bolts and nuts for flanged joint", size.clone(), *bolts)]
                }
            };
            if coupling.gasket > 0.0 {
                held.push(("gasket for", fine_length(design.units, coupling.gasket), 1));
            }
            held
        }
    }
}

fn bought_parts(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::numbers("QTY", 14.0).set(Style::bold(5.0)),
        Column::words("PART", 60.0).set(Style::bold(3.0)),
        Column::words("ALLOY", 24.0),
        Column::words("SIZE", 60.0),
        Column::numbers("MASS EACH", 24.0),
    ]);
    for need in parts(design, layout) {
        table.row(vec![
            need.count.to_string(),
            need.what,
            need.alloy.to_owned(),
            need.size,
            need.mass.map_or_else(String::new, mass),
        ]);
    }
    if !table.rows.is_empty() {
        folio.heading("Parts to buy");
        table.draw(folio);
    }
}
