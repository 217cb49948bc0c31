//! The sheet of a header's fittings: a section through each kind, its places, and what heat does to it.

use layout::Layout;
use layout::fitting::{COLD, Fitting, Slide, Stages};
use spec::Design;
use spec::design::{CouplingKind, FittingPart};
use tube::Tolerance;
use tube::alloy::SHOP_TEMPERATURE;

use crate::canvas::Style;
use crate::figure::{angle, fine_length, length, plain_length, section};
use crate::fitting_section;
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::table::{Column, Table};

/// Draws the fittings' sheet, if there are any: kind by kind, in the order in which runs first have them.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut kinds: Vec<Vec<&Fitting>> = Vec::new();
    for fitting in &layout.fittings {
        match kinds.iter_mut().find(|kind| kind[0].part == fitting.part) {
            Some(kind) => kind.push(fitting),
            None => kinds.push(vec![fitting]),
        }
    }
    if kinds.is_empty() {
        return;
    }
    folio.sheet(plain_head(design, "Fittings", "Slip joints, bellows, V-bands, flanged joints"));
    for kind in &kinds {
        folio.need(90.0);
        folio.heading(&title(design, kind[0]));
        fitting_section::draw(folio, design, layout, kind[0]);
        match kind[0].part {
            FittingPart::Slip(_) => slips(folio, design, layout, kind),
            FittingPart::Bellows(bellows) => bellows_places(folio, design, layout, kind, bellows),
            FittingPart::Coupling(coupling) => couplings(folio, design, layout, kind, coupling),
        }
    }
    growth_words(folio, layout);
}

/// What a fitting is, with its name.
pub fn title(design: &Design, fitting: &Fitting) -> String {
    let what = match fitting.part {
        FittingPart::Slip(slip) if design.slips[slip].inner.is_some() => "Double slip joint",
        FittingPart::Slip(_) => "Slip joint",
        FittingPart::Bellows(_) => "Bellows",
        FittingPart::Coupling(coupling) => match design.couplings[coupling].kind {
            CouplingKind::VBand => "V-band joint",
            CouplingKind::Flanged { .. } => "Flanged joint",
        },
    };
    format!("{what} {}", fitting.name)
}

/// The first columns of a table of places, and their cells.
fn place_columns() -> Vec<Column> {
    vec![
        Column::words("RUN", 22.0).set(Style::bold(3.0)),
        Column::numbers("FROM STATION", 17.0),
        Column::words("PARTS", 30.0).set(Style::bold(2.6)),
    ]
}

fn place_cells(design: &Design, layout: &Layout, fitting: &Fitting) -> Vec<String> {
    let marks: Vec<&str> = fitting.pieces.iter().map(|&p| layout.pieces[p].mark.as_str()).collect();
    vec![layout.runs[fitting.run].name.clone(), length(design.units, fitting.from), marks.join(", ")]
}

fn slips(folio: &mut Folio, design: &Design, layout: &Layout, kind: &[&Fitting]) {
    let mut columns = place_columns();
    columns.extend([
        Column::numbers("HOT, °C", 11.0),
        Column::numbers("GROWTH ALONG", 16.0),
        Column::numbers("ACROSS", 14.0),
        Column::words("INSERTION: FROST, ASSEMBLY, HOT", 34.0).set(Style::bold(2.6)),
        Column::words("ROOM: FROST, ASSEMBLY, HOT", 34.0).set(Style::bold(2.6)),
    ]);
    let mut table = Table::new(columns);
    for fitting in kind {
        let (Some(movement), Some(slide)) = (&fitting.movement, &fitting.slide) else { continue };
        let mut cells = place_cells(design, layout, fitting);
        cells.extend([
            geom::unit::fixed(movement.hot, 0),
            length(design.units, movement.axial),
            length(design.units, movement.lateral),
            stages(design, &slide.insertion),
            stages(design, &slide.room),
        ]);
        table.row(cells);
    }
    table.draw(folio);
    if let (FittingPart::Slip(slip), Some(slide)) = (kind[0].part, &kind[0].slide) {
        fits(folio, design, slide);
        let slip = &design.slips[slip];
        let welded = if slip.inner.is_some() {
            "Weld both sleeves to the tube upstream only, the inner one first: its weld, around the end of that tube, lies \
             under the outer one. The tube downstream slides between them."
        } else {
            "Weld the sleeve to the tube downstream only; the tube upstream slides in it."
        };
        folio.paragraph(
            &format!(
                "{welded} Its sockets are {} deep. Scribe the sliding tube {} from its end and assemble it to that line; \
                 that leaves the room. Deburr it, and try it cold by hand before welding: heat draws a thin sleeve in. \
                 Pairs of tabs: {}; let their bolts or springs give as much as the joint grows. A slip joint is not \
                 gas-tight, and takes neither bending nor weight: hang the tube on both sides.",
                plain_length(design.units, slip.socket),
                plain_length(design.units, slip.insertion),
                slip.tabs
            ),
            BODY,
        );
    }
}

fn stages(design: &Design, stages: &Stages) -> String {
    [stages.cold, stages.assembly, stages.hot].map(|mm| length(design.units, mm)).join(" · ")
}

fn fits(folio: &mut Folio, design: &Design, slide: &Slide) {
    let mut table = Table::new(vec![
        Column::words("FIT, GAP ON THE DIAMETER", 56.0),
        Column::words("INNER, INTO OUTER", 66.0),
        Column::numbers("NOMINAL", 20.0).set(Style::bold(3.0)),
        Column::numbers("SMALLEST", 20.0),
        Column::numbers("LARGEST", 20.0),
    ]);
    let mut sources: Vec<&str> = Vec::new();
    for fit in &slide.fits {
        let way = if fit.slides { "slides" } else { "welded" };
        table.row(vec![
            format!("{} ({way})", fit.what),
            format!("{}, into {}", section(design.units, &fit.inner), section(design.units, &fit.outer)),
            fine_length(design.units, fit.nominal),
            fine_length(design.units, fit.smallest),
            fine_length(design.units, fit.largest),
        ]);
        for tube in [fit.inner, fit.outer] {
            let source = Tolerance::of(&tube).source;
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    table.draw(folio);
    folio.paragraph(
        &format!(
            "Smallest and largest at the limits of the tubes' tolerances: {}. Measure what you bought.",
            sources.join("; ")
        ),
        BODY,
    );
}

fn bellows_places(folio: &mut Folio, design: &Design, layout: &Layout, kind: &[&Fitting], index: usize) {
    let bellows = &design.bellows[index];
    let mut columns = place_columns();
    columns.extend([
        Column::numbers("HOT, °C", 12.0),
        Column::words("ALONG: ASKED, ALLOWED", 34.0).set(Style::bold(2.6)),
        Column::words("ACROSS: ASKED, ALLOWED", 34.0).set(Style::bold(2.6)),
        Column::numbers("ANGLE ALLOWED", 18.0),
    ]);
    let mut table = Table::new(columns);
    for fitting in kind {
        let Some(movement) = &fitting.movement else { continue };
        let pair = |asked: f64, allowed: f64| {
            format!("{} · {}", length(design.units, asked), length(design.units, allowed))
        };
        let mut cells = place_cells(design, layout, fitting);
        cells.extend([
            geom::unit::fixed(movement.hot, 0),
            pair(movement.axial, bellows.axial),
            pair(movement.lateral, bellows.lateral),
            angle(bellows.angular),
        ]);
        table.row(cells);
    }
    table.draw(folio);
    let liner = if bellows.lined {
        "It has a liner: its welded end goes upstream."
    } else {
        "It has no liner: hot fast gas wears it and whistles in it; prefer one with a liner near the ports."
    };
    folio.paragraph(
        &format!(
            "{} {liner} A bellows carries no weight and stands no twist: hang the tube on both sides of it, and do not pull \
             a gap shut with it. Keep spatter, arc strikes and the welding current off the convolutions; weld its cuffs \
             at its free length.",
            if bellows.socket > 0.0 {
                format!("Its tubes go {} into the cuffs.", plain_length(design.units, bellows.socket))
            } else {
                "Its cuffs are butt welded.".to_owned()
            }
        ),
        BODY,
    );
}

fn couplings(folio: &mut Folio, design: &Design, layout: &Layout, kind: &[&Fitting], index: usize) {
    let coupling = &design.couplings[index];
    let mut table = Table::new(place_columns());
    for fitting in kind {
        table.row(place_cells(design, layout, fitting));
    }
    table.draw(folio);
    let gasket = if coupling.gasket > 0.0 {
        format!("Gasket {}.", fine_length(design.units, coupling.gasket))
    } else {
        "No gasket.".to_owned()
    };
    let held = match &coupling.kind {
        CouplingKind::VBand => {
            "Tack and weld the halves with the clamp closed on them, so that they stay flat.".to_owned()
        }
        CouplingKind::Flanged { bolts, size } => format!(
            "{bolts} bolts {size}. Weld the flanges bolted to each other or to a plate, in short steps, and dress their faces."
        ),
    };
    folio.paragraph(
        &format!(
            "{} {gasket} {held} The joint needs {} across for its clamp or bolts and their tool.",
            if coupling.socket > 0.0 {
                format!("The tubes go {} into the halves.", plain_length(design.units, coupling.socket))
            } else {
                "The halves are butt welded.".to_owned()
            },
            plain_length(design.units, coupling.room_od)
        ),
        BODY,
    );
}

fn growth_words(folio: &mut Folio, layout: &Layout) {
    let moving: Vec<&Fitting> = layout.fittings.iter().filter(|f| f.movement.is_some()).collect();
    if moving.is_empty() {
        return;
    }
    let mut sources: Vec<&str> = Vec::new();
    for fitting in &moving {
        for stretch in &layout.runs[fitting.run].sections {
            let source = stretch.section.alloy.expansion.source;
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    let assumed = moving.iter().any(|f| f.movement.as_ref().is_some_and(|m| m.assumed));
    folio.heading("Growth");
    folio.paragraph(
        &format!(
            "Growth is the worse of two cases, between {SHOP_TEMPERATURE:.0} °C and hot; frost is {COLD:.0} °C: the \
             run's two sides grow freely from its two ends (at a merge its tip), which stay; or its ends are pushed by all \
             that hangs on them, from the ports to flanges that stay. What the engine or a turbine grows by itself is not \
             in it. Between ends that stay each fitting of a run is reckoned as if it took all of it. Mean expansion: {}.{}",
            sources.join("; "),
            if assumed {
                " Where the spec gives no temperature, one that the alloy's tube commonly gets is taken (rough, no source)."
            } else {
                ""
            }
        ),
        BODY,
    );
}
