//! The sheet of holes, branches and bungs: where each hole is cut, and what stands in it.

use layout::Layout;
use layout::layout::{Part, Place};
use spec::Design;
use tube::End;

use crate::canvas::Style;
use crate::csv::end_name;
use crate::figure::{angle, arc, cell_length, clock, full_length, size};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::hole_template::{from_end, pierced_clock, tape};
use crate::table::{Column, Table};

/// How to read the sheet.
const READ: &str = "The centre of a hole is where its own axis pierces the outside: its distance along the host's axis \
     from the long point of the end named, as sawn; on a drawn piece also the tape mark on the raw tube, to \
     centre-punch before bending: the hole itself is cut after it. The arc is on the outside from the scribe line, right or left looking downstream with the scribe \
     line up. The angle is between the hole's axis and the gas in the host: below 90 it leaves forward. What is set on stands on the \
     outside, and the hole is its bore; what is set in stands flush with the bore, and the hole is its outside. Each hole has a \
     template in templates.pdf, and so has the foot of what stands in it.";

/// What to mind when cutting holes and welding into walls.
const MIND: [&str; 4] = [
    "Cut and deburr every hole from inside and outside before anything is welded on, and clean the chips out: what stays \
     in the tube goes through the turbine or into a valve.",
    "No weld spatter, bead or filler may stand in the bore: purge, and look inside after the root. What is set on has its \
     root at the edge of the hole; what is set in is ground flush with the bore (common practice, no source).",
    "Screw an old sensor or a plug into a bung while it is welded, let it cool, and run a tap through it afterwards \
     (common practice, no source). Welding shrinks threads.",
    "Fit sensors last, with the torque and the paste that their makers name, cable away from hot tubes. An oxygen \
     sensor's bung stands at least 10 degrees above the horizontal, as the header sits in the car.",
];

/// Draws the sheet, where there is a hole.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    if layout.places().next().is_none() {
        return;
    }
    folio.sheet(plain_head(design, "Holes", "Holes, branches, bungs"));
    folio.paragraph(READ, BODY);
    holes(folio, design, layout);
    branches(folio, design, layout);
    bungs(folio, design, layout);
    folio.heading("Mind");
    for text in MIND {
        folio.item("·", text, BODY);
    }
}

/// Every hole, host by host.
fn holes(folio: &mut Folio, design: &Design, layout: &Layout) {
    let mut table = Table::new(vec![
        Column::words("IN", 25.0).set(Style::bold(3.0)),
        Column::numbers("HOLE", 9.0).set(Style::bold(3.0)),
        Column::words("FOR", 23.0).set(Style::bold(2.6)),
        Column::words("CENTRE", 42.0).set(Style::bold(2.8)),
        Column::words("ON THE RAW TUBE", 26.0).set(Style::plain(2.4)),
        Column::numbers("CLOCK", 17.0).set(Style::bold(3.0)),
        Column::words("ARC", 22.0).set(Style::bold(3.0)),
        Column::numbers("ANGLE", 16.0).set(Style::bold(3.0)),
        Column::numbers("Ø", 11.0).set(Style::bold(2.6)),
        Column::words("SET", 6.0),
    ]);
    for (index, host) in layout.pieces.iter().enumerate() {
        for (place, foot) in layout.places().filter(|(place, _)| place.host == index) {
            table.row(hole(design, host, place, &layout.pieces[foot]));
        }
    }
    folio.heading("Holes");
    table.draw(folio);
}

/// The row of one hole.
fn hole(design: &Design, host: &Part, place: &Place, foot: &Part) -> Vec<String> {
    let (units, hole) = (design.units, host.piece.holes[place.hole]);
    let station = place.station(&host.piece);
    let pierced = pierced_clock(&host.piece, &hole);
    let from = |mark: Option<(End, f64)>| match mark {
        Some((end, mm)) => format!("{} from {}", cell_length(units, mm), end_name(end).to_uppercase()),
        None => "–".to_owned(),
    };
    vec![
        host.mark.clone(),
        (place.hole + 1).to_string(),
        foot.mark.clone(),
        from(from_end(host, &hole, station)),
        from(tape(host, station)),
        clock(pierced),
        arc(units, pierced, 2.0 * host.piece.outer_radius(station)),
        angle(hole.angle),
        size(units, 2.0 * hole.radius),
        place.set.name().to_owned(),
    ]
}

fn branches(folio: &mut Folio, design: &Design, layout: &Layout) {
    if layout.branches.is_empty() {
        return;
    }
    folio.heading("Branches");
    let mut table = Table::new(vec![
        Column::words("BRANCH", 26.0).set(Style::bold(3.2)),
        Column::words("LEAVES", 30.0).set(Style::plain(2.6)),
        Column::numbers("FROM ITS START", 30.0).set(Style::plain(2.6)),
        Column::numbers("OFFSET", 20.0).set(Style::plain(2.6)),
        Column::numbers("ANGLE TO THE FLOW", 30.0).set(Style::bold(3.2)),
        Column::numbers("BORE AGAINST ITS HOST'S", 40.0).set(Style::bold(3.2)),
    ]);
    for branch in &layout.branches {
        table.row(vec![
            branch.name.clone(),
            branch.on.clone(),
            cell_length(design.units, branch.place.at),
            cell_length(design.units, branch.place.offset),
            angle(branch.place.angle),
            format!("{} %", geom::unit::fixed(100.0 * branch.bore_ratio(), 0)),
        ]);
    }
    table.draw(folio);
    folio.paragraph(
        "Bores are compared by area. A wastegate's branch leaves the flow at 45 degrees at most (common practice, no \
         source); how much area it needs is its maker's to say.",
        BODY,
    );
}

fn bungs(folio: &mut Folio, design: &Design, layout: &Layout) {
    if layout.bungs.is_empty() {
        return;
    }
    folio.heading("Bungs");
    let mut table = Table::new(vec![
        Column::words("MARK", 24.0).set(Style::bold(3.2)),
        Column::words("FOR", 30.0),
        Column::words("THREAD", 24.0).set(Style::plain(2.6)),
        Column::numbers("FROM THE RUN'S START", 32.0).set(Style::bold(3.2)),
        Column::numbers("ABOVE HORIZONTAL", 28.0).set(Style::bold(3.2)),
        Column::words("ROOM FOR ITS TOOL", 40.0),
    ]);
    for bung in &layout.bungs {
        let wanted = &design.bungs[bung.bung];
        let tool = wanted.tool.map(|tool| {
            format!("Ø {} by {}", size(design.units, tool.od), full_length(design.units, tool.length))
        });
        table.row(vec![
            layout.pieces[bung.piece].mark.clone(),
            wanted.sensor.name().to_owned(),
            wanted.thread.clone(),
            cell_length(design.units, bung.place.at),
            angle(bung.place.above_horizontal()),
            tool.unwrap_or_else(|| "not stated".to_owned()),
        ]);
    }
    table.draw(folio);
}
