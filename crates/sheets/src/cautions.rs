//! What to read first: how the sheets count, the cautions, and the sources of the numbers.

use layout::Layout;
use spec::Design;
use tube::Alloy;

use crate::canvas::Style;
use crate::figure::{angle, full_length};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;

/// How the sheets count: scribe line, clocks, turns, lengths.
const RULES: [(&str, &str); 7] = [
    (
        "Scribe line",
        "Draw one straight line along each raw tube before bending and mark the start end with an arrow pointing \
         downstream. It is clock 0. It runs on through the bends without twisting: the line on the straight tube stays \
         the line on the bent one. On a piece with bends it lies on the inside of the first bend after the start; on \
         segments it runs on through all of their run, from the inside of its first bend.",
    ),
    (
        "Clock",
        "An angle around the tube from the scribe line, clockwise seen looking downstream. With the line up and looking \
         downstream, clockwise is to the right; the sheets give the same as an arc on the outside, right or left.",
    ),
    (
        "Start and end",
        "Gas enters a piece at its start and leaves at its end, whichever goes into the bender first.",
    ),
    (
        "Turn of the tube",
        "The words on a bend sheet say which way the tube turns, seen from the collet towards the bend head. Obey the \
         words. The CSV files hold the turn of the bend plane instead, right-handed about the direction of travel: a \
         positive one is a clockwise turn of the tube, whichever end goes in first.",
    ),
    (
        "Lengths",
        "Lengths are along the centreline unless a sheet says otherwise; piece lengths are from long point to long point. \
         Tape marks are on the raw tube.",
    ),
    (
        "Angles of cuts",
        "Counted from square: 0 is a square cut. A saw's own scale may count from the tube instead.",
    ),
    (
        "Marks",
        "Write its mark on each piece as it is cut. Every mark is used once: the quantity of each is 1.",
    ),
];

/// The usual cautions, whatever the alloy.
const CAUTIONS: [(&str, &str); 8] = [
    (
        "Hot work",
        "Welding, grinding and cutting start fires. Move or shield what burns within 35 ft (11 m) and keep a fire watch at \
         least half an hour after the work ends (29 CFR 1910.252(a)(2)); some sites ask for longer.",
    ),
    (
        "Arc, current, exhaust gas",
        "The arc burns eyes and skin, the set can shock: shield, gloves, dry footing. Never weld over chlorinated solvents: \
         they turn to phosgene. A leaking header lets carbon monoxide into the car.",
    ),
    (
        "Argon and other shielding gas",
        "They displace air without warning. Below 19.5 % oxygen air counts as oxygen deficient (OSHA), and 19.5 % is not a \
         safe level as such. Never purge or weld in a pit, a cabin or a tank without ventilation and an oxygen meter, and \
         never breathe near a purge outlet.",
    ),
    (
        "Coatings",
        "Strip zinc, paint and chlorinated cleaners before welding and ventilate: their fumes are poisonous.",
    ),
    (
        "Pressure",
        "Do not test for leaks with compressed air above a very low pressure without a relief valve and a shield.",
    ),
    (
        "Hot parts",
        "A header in use sets fire to fuel, oil, wiring, hoses, brake fluid and bodywork. Keep it clear of fuel lines, \
         brake lines, brakes and steering, or shield them; a part that fouls the steering kills.",
    ),
    (
        "Sharp edges and machines",
        "Deburr every cut. Keep hands out of the bender's clamp and sweep: the free end of the tube swings.",
    ),
    (
        "The law",
        "Exhaust parts may be regulated: emissions, noise, roadworthiness, class rules. Check before you build.",
    ),
];

const CHROMIUM: (&str, &str) = (
    "Chromium",
    "Welding, cutting and grinding this header's alloys gives off hexavalent chromium, which causes cancer. 29 CFR \
     1910.1026 sets a limit of 5 micrograms per cubic metre of air over 8 hours and an action level of 2.5. Extract at \
     the source, wear a fitted respirator, clean up wet.",
);

const DEFERENCE: &str = "These are reminders, not a procedure. Follow your local codes and laws, the shop's qualified \
     welding procedure, the makers' instructions and the safety data sheets, and let a licensed or certified person \
     decide where one is required. Numbers on these sheets are geometry: nobody has checked the strength, the fatigue \
     life or the fitness of this part for any use.";

/// Draws the page of rules, cautions and sources.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    folio.sheet(plain_head(design, "Read first", "Rules, cautions, sources"));
    folio.heading("How these sheets count");
    paragraphs(folio, &RULES);
    folio.heading("Cautions");
    if chromium(layout) {
        paragraphs(folio, &[CHROMIUM]);
    }
    paragraphs(folio, &CAUTIONS);
    folio.paragraph(DEFERENCE, Style::bold(2.3));
    folio.heading("Sources of the numbers used");
    for source in sources(design, layout) {
        folio.item("·", &source, Style::plain(1.7));
    }
}

/// Whether any piece's alloy holds chromium.
pub fn chromium(layout: &Layout) -> bool {
    let plates = layout.plates.iter().map(|plate| plate.alloy);
    layout.pieces.iter().map(|p| p.piece.alloy()).chain(plates).any(|alloy| alloy.chromium)
}

/// Where the numbers on the sheets come from: only those that this header uses.
pub fn sources(design: &Design, layout: &Layout) -> Vec<String> {
    let units = design.units;
    let shop = &design.shop;
    let mut sources = vec![
        densities(layout),
        format!(
            "Reach of the torch into a tube ({}), accuracy ({} a length, {} a bend, {} a turn) and saw ({} kerf, {} swing): \
             the shop file, or else common practice, no source. Weld shrinkage ({} a joint, half of it added to the cut \
             length of each piece): the shop file, or none until it is measured. Dies (radius as bent, springback, \
             stretch, grip) and bought bends: the shop file.",
            full_length(units, shop.torch_reach),
            full_length(units, shop.accuracy.length),
            angle(shop.accuracy.bend),
            angle(shop.accuracy.turn),
            full_length(units, shop.saw.kerf),
            angle(shop.saw.swing),
            full_length(units, shop.weld_shrinkage)
        ),
        "Trimmed mouths, and the template printed to the longer of both edges: common practice, no source."
            .to_owned(),
        "Fire watch: 29 CFR 1910.252(a)(2). Oxygen deficiency: OSHA's eTool on \
         confined spaces. Coatings, leak tests: from memory."
            .to_owned(),
    ];
    if chromium(layout) {
        sources.push("Hexavalent chromium: 29 CFR 1910.1026.".to_owned());
    }
    if layout.weld_seams.iter().any(Option::is_some) {
        sources.push(
            "Weld seams of tube, 45° to 90° off the planes of its bends, and staggered: common practice, no source."
                .to_owned(),
        );
    }
    if layout.runs.iter().any(|run| !run.mitred.is_empty()) {
        sources.push(
            "Mitres beyond 22.5° are warned of: ASME B31.3's rules for mitre bends, as a worksheet per ASME B31.3-2002, \
             appendix D, has them; written for pressure piping, guidance here. Sticks: common practice, no source."
                .to_owned(),
        );
    }
    sources
}

/// The density of every alloy of the pieces and plates, and its source.
fn densities(layout: &Layout) -> String {
    let mut alloys: Vec<&'static Alloy> = Vec::new();
    let plates = layout.plates.iter().map(|plate| plate.alloy);
    for alloy in layout.pieces.iter().map(|part| part.piece.alloy()).chain(plates) {
        if !alloys.contains(&alloy) {
            alloys.push(alloy);
        }
    }
    let said = alloys.iter().map(|a| format!("of {}: {:.0} kg/m³, {}", a.name, a.density, a.source));
    format!("Density {}.", said.collect::<Vec<_>>().join("; "))
}

fn paragraphs(folio: &mut Folio, texts: &[(&str, &str)]) {
    for (title, text) in texts {
        folio.paragraph(&format!("{}: {text}", title.to_uppercase()), BODY);
    }
}
