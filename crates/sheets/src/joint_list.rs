//! The joint list: which pieces meet, how they are clocked, how long the weld is.

use geom::DVec3;
use geom::unit::{Units, fixed};
use layout::layout::{Joint, JointKind};
use layout::{FlangePlate, Layout};
use spec::Design;

use crate::canvas::Style;
use crate::csv::{a_end_name, end_name, joint_kind};
use crate::figure::{arc, clock, length};
use crate::folio::{BODY, Folio};
use crate::head::plain_head;
use crate::table::{Column, Table};

/// Draws the joint list.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    folio.sheet(plain_head(design, "Joints", "Joint list"));
    folio.paragraph(
        "Two clocks meet at each joint: the point at the clock of A stands at the clock of B (0 is B's scribe line). \
         The arc is on A's outside from A's scribe line, right or left looking downstream with the scribe line up; \
         clockwise is right. At seams and mouths the clocks are those of the middle of the seam, at \
         saddles those of the side toward A's downstream. \
         Two tubes meet face to face where no overlap stands; where one does, B starts that far upstream of the end \
         of A, and the weld runs around the outer tube's edge. An overlap below 0 is a gap between them: a gasket's.",
        BODY,
    );
    starts(folio, layout);
    let millimetres = design.units == Units::Millimetre;
    let mut table = Table::new(vec![
        Column::words("JOINT", 12.0).set(Style::bold(3.6)),
        Column::words("KIND", 13.0),
        Column::words("A, ITS END", 32.0).set(Style::bold(2.6)),
        Column::words("B, ITS END", 32.0).set(Style::bold(2.6)),
        Column::numbers(if millimetres { "OVERLAP, mm" } else { "OVERLAP, in" }, 17.0).set(Style::plain(2.6)),
        Column::numbers("CLOCK ON A", 20.0).set(Style::bold(4.6)),
        Column::words(if millimetres { "ARC ON A, mm" } else { "ARC ON A, in" }, 23.0).set(Style::bold(3.2)),
        Column::numbers("CLOCK ON B", 15.0).set(Style::plain(2.6)),
        Column::numbers(if millimetres { "WELD, mm" } else { "WELD, in" }, 14.0).set(Style::plain(2.6)),
    ]);
    for joint in &layout.joints {
        let (a, b) = (&layout.pieces[joint.a], &layout.pieces[joint.b]);
        table.row(vec![
            joint.mark.clone(),
            joint_kind(joint.kind).to_owned(),
            format!("{}, {}", a.mark, a_end_name(joint)),
            format!("{}, {}", b.mark, end_name(joint.b_end)),
            if joint.overlap == 0.0 { String::new() } else { length(design.units, joint.overlap) },
            clock(joint.clock_a),
            arc(design.units, joint.clock_a, 2.0 * a.piece.outer_radius(station_on_a(layout, joint))),
            clock(joint.clock_b),
            length(design.units, joint.weld_length),
        ]);
    }
    table.draw(folio);
}

/// The station on `a` at which a joint's clock is counted: its end there, or where what stands on its wall
/// pierces it.
fn station_on_a(layout: &Layout, joint: &Joint) -> f64 {
    let piece = &layout.pieces[joint.a].piece;
    let on_wall = joint.kind == JointKind::Saddle;
    let place = layout.places().find(|(_, foot)| on_wall && *foot == joint.b);
    place.map_or_else(|| piece.edge(joint.a_end, joint.clock_a, 1.0), |(place, _)| place.station(piece))
}

/// Where each run's first piece stands: how its scribe line looks at the port or the outlet, in the
/// spec's axes and on the drawing of the plate that it starts from.
fn starts(folio: &mut Folio, layout: &Layout) {
    for (index, run) in layout.runs.iter().enumerate() {
        let Some(&first) = run.pieces.first() else { continue };
        let part = &layout.pieces[first];
        let look = part.piece.frame_at(0.0).inside;
        folio.paragraph(
            &format!(
                "{} at {}: stand its start so that its scribe line (clock 0) looks towards \
                 x {}, y {}, z {} in the spec's axes{}.",
                part.mark,
                run.from,
                fixed(look.x, 3),
                fixed(look.y, 3),
                fixed(look.z, 3),
                on_plate(layout, index, look)
            ),
            BODY,
        );
    }
}

/// How a scribe line that looks along `look` stands on the drawing of the plate that a run starts from;
/// nothing where it starts from none.
fn on_plate(layout: &Layout, run: usize, look: DVec3) -> String {
    let from = &layout.runs[run].from;
    let starts = |plate: &&FlangePlate| plate.openings.iter().any(|o| o.run == Some(run) && o.name == *from);
    let Some(plate) = layout.plates.iter().find(starts) else { return String::new() };
    let (x, y) = (look.dot(plate.frame.inside), look.dot(plate.frame.side()));
    format!("; on the drawing of {}: {} clockwise from y (up)", plate.name, clock(geom::math::atan2(x, y)))
}
