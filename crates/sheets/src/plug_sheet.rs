//! The plug of a merge on the merge's sheet: its drawing, its measures, when and how it is welded in.

use geom::math::sin_cos;
use layout::flange_plate::{FlangePlate, PlatePart};
use layout::layout::Merge;
use layout::{Layout, Plug};
use plate::DVec2;
use spec::Design;

use crate::canvas::{Align, Point, Style};
use crate::figure::{cell_length, fine_length, full_length, mass, size};
use crate::flange_sheet::fine;
use crate::folio::{BODY, FIGURE, Folio, LABEL};
use crate::plate_picture::ink;

/// Side of the square that the plug is drawn in, mm.
const PICTURE: f64 = 44.0;

/// Draws a merge's plug, if it has one.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout, index: usize) {
    let merge = &layout.merges[index];
    let (Some(plug), Some(plate)) = (merge.plug, layout.plug_plate(index)) else { return };
    let Some(part) = plate.parts.first() else { return };
    folio.need(PICTURE + 40.0);
    folio.heading(&format!("The plug {}, {}", part.mark, plate.alloy.name));
    let (left, top) = (folio.left(), folio.y);
    picture(folio, (merge, plate, part), [left, top]);
    let column = 0.5 * (folio.width() - PICTURE - 8.0);
    for (k, (label, value)) in figures(design, merge, &plug, plate).into_iter().enumerate() {
        let at = [left + PICTURE + 8.0 + column * (k % 2) as f64, top + 4.0 + 11.5 * (k / 2) as f64];
        folio.canvas().words(at, label, LABEL);
        folio.canvas().words([at[0], at[1] + 6.4], value, FIGURE);
    }
    folio.y = top + PICTURE + 4.0;
    folio.paragraph(&words(design, &plug, part), BODY);
}

/// When the plug is welded in: before the legs are joined, where a torch does not reach it afterwards.
pub struct Step {
    /// Whether it is welded to the first pair of legs, before the pairs are joined.
    pub early: bool,
    /// What is to be done.
    pub words: String,
}

/// The step of the welding order that puts the plug in.
pub fn step(design: &Design, layout: &Layout, index: usize) -> Option<Step> {
    let (plug, plate) = (layout.merges[index].plug?, layout.plug_plate(index)?);
    let (units, mark) = (design.units, &plate.parts.first()?.mark);
    let (inside, reach) = (full_length(units, plug.inside), full_length(units, design.shop.torch_reach));
    if plug.inside > design.shop.torch_reach {
        let words = format!(
            "Weld the plug ({mark}) to the first pair before the pairs are joined, square to the axis, {inside} inside the \
             legs' inlets: the torch reaches {reach}, NOT to it once all legs stand around it. Its edge on the other legs \
             needs a longer torch, or stays open."
        );
        return Some(Step { early: true, words });
    }
    let words = format!(
        "Drop the plug ({mark}) in between the legs from upstream, {inside} inside their inlets, square to the axis; tack \
         it, and weld around its upstream face before any run is on the legs. The torch reaches {reach}: all of it. Nothing \
         reaches it once the runs are on, and nothing ever from the mouth: the legs close the void there."
    );
    Some(Step { early: false, words })
}

fn words(design: &Design, plug: &Plug, part: &PlatePart) -> String {
    let units = design.units;
    format!(
        "Flat, square-edged, either way up: cut by flanges/{}.dxf. The void narrows downstream, so its outline is that of \
         its downstream face, less the gap; pushed on it comes to rest up to {} further in. Its tips end {} short of where \
         the legs meet: fill the slots there. The pocket behind it is shut where the inner seams are welded through: close \
         the last of the weld slowly, the air in there swells (common practice, no source).",
        part.mark,
        fine_length(units, plug.play),
        full_length(units, plug.tips)
    )
}

fn figures(design: &Design, merge: &Merge, plug: &Plug, plate: &FlangePlate) -> Vec<(String, String)> {
    let (units, unit) = (design.units, design.units.symbol());
    let mut figures = if merge.cluster.legs.is_multiple_of(2) {
        vec![
            (format!("CORNER TO CORNER, {unit}"), cell_length(units, 2.0 * plug.corner)),
            (format!("HOLLOW TO HOLLOW, {unit}"), cell_length(units, 2.0 * plug.hollow)),
        ]
    } else {
        vec![
            (format!("CORNER TO HOLLOW, {unit}"), cell_length(units, plug.corner + plug.hollow)),
            (format!("AXIS TO HOLLOW, {unit}"), cell_length(units, plug.hollow)),
        ]
    };
    figures.extend([
        (format!("THICKNESS, {unit}"), size(units, plate.thickness())),
        (format!("EDGE TO WELD, {unit}"), cell_length(units, plate.weld_length())),
        (format!("UPSTREAM FACE, {unit} INSIDE THE MOUTH"), cell_length(units, merge.mouth - plug.from)),
        (format!("AND {unit} INSIDE THE LEGS' INLETS"), cell_length(units, plug.inside)),
        (
            format!("GAP, {unit}, DOWN- TO UPSTREAM FACE"),
            format!("{} to {}", fine(units, plug.gap[0]), fine(units, plug.gap[1])),
        ),
        ("MASS".to_owned(), mass(plate.mass())),
    ]);
    figures
}

/// The plug seen looking downstream, as the mouth is drawn: leg 1 is up, azimuths grow clockwise.
fn picture(folio: &mut Folio, (merge, plate, part): (&Merge, &FlangePlate, &PlatePart), [left, top]: Point) {
    let Some(plug) = merge.plug else { return };
    let scale = ((0.5 * PICTURE - 5.0) / plug.corner).min(1.0);
    let centre = [left + 0.5 * PICTURE, top + 0.5 * PICTURE];
    // Across and up in the drawing are toward leg 1 and a quarter turn on.
    let at = |p: DVec2| [centre[0] + scale * p.y, centre[1] - scale * p.x];
    ink(folio.canvas(), plate, part, &at, scale);
    for (k, leg) in merge.legs.iter().enumerate() {
        let (s, c) = sin_cos(leg.azimuth);
        let [x, y] = at(DVec2::new(c, s) * (plug.hollow + 4.0 / scale));
        folio.canvas().words([x, y + 1.0], (k + 1).to_string(), Style::bold(2.6).align(Align::Centre));
    }
    let scaled = format!("looking downstream, 1 : {}", geom::unit::fixed(1.0 / scale, 2));
    folio.canvas().words([left, top + PICTURE + 1.0], scaled, LABEL);
}
