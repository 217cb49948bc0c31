//! The printer's plates from above.

use fitment::{Fitment, Placement, PrintPlate};
use geom::DVec3;
use geom::unit::fixed;
use layout::Layout;
use spec::shop::Printer;

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::fitment_picture::middle;
use crate::fitment_sheet::head;
use crate::folio::{Folio, LABEL};
use crate::labels::{self, Label};
use crate::part_view;
use crate::projection::{View, paint};
use crate::table::{Column, Table};

/// Distance of the bed's grid lines, mm.
const STEP: f64 = 50.0;
const GRID: Pen = Pen::solid(0.08).grey(0.72);
const BED: Pen = Pen::solid(0.4);
const MARK: Style = Style::bold(2.4);

/// Draws a page for each plate.
pub fn draw(
    folio: &mut Folio,
    layout: &Layout,
    model: &Fitment,
    (printer, facts): (&Printer, &[(String, String)]),
) {
    for (index, plate) in model.plates.iter().enumerate() {
        let title = format!("{} of {}, from above", index + 1, model.plates.len());
        folio.sheet(head(&format!("Plate {}", index + 1), &title, facts));
        bed(folio, layout, model, plate, printer);
        parts(folio, model, plate, printer);
    }
}

/// The bed with the parts on it as they are printed, the printer's scale applied; x to the right and y up.
fn bed(folio: &mut Folio, layout: &Layout, model: &Fitment, plate: &PrintPlate, printer: &Printer) {
    let [x, y] = printer.bed;
    let scale = (x / (folio.width() - 16.0)).max(y / (folio.room() - TABLE)).max(1.0);
    let (left, top) = (folio.left() + 0.5 * (folio.width() - x / scale), folio.y + 4.0);
    let at = |[px, py]: Point| [left + px / scale, top + (y - py) / scale];
    let canvas = folio.canvas();
    grid(canvas, printer.bed, at);
    let mut labels = Vec::new();
    for &index in &plate.holds {
        let placement = &model.parts[index].placement;
        let view = above(placement);
        let [wide, deep, _] = printer.scale;
        let on_bed = |[px, py]: Point| at([wide * (px + placement.by.x), deep * (py + placement.by.y)]);
        paint(canvas, part_view::part(&view, layout, model, index), on_bed);
        if let Some(place) = middle(layout, model, index) {
            let point = on_bed(view.flat(place));
            labels.push(Label { text: model.parts[index].mark.clone(), point, style: MARK });
        }
    }
    labels::draw(canvas, labels, Vec::new());
    canvas.rect([left, top], x / scale, y / scale, BED);
    let says = format!(
        "BED {} × {} mm, FROM ABOVE, 1 : {}; x TO THE RIGHT, y TO THE BACK; PARTS BY THEIR OUTSIDES",
        fixed(x, 1),
        fixed(y, 1),
        fixed(scale, 2)
    );
    canvas.words([left, top + y / scale + 6.0], says, LABEL);
    folio.y = top + y / scale + 8.0;
}

/// Lines at every 50 mm of a bed, with their values; `at` puts a point of the bed on the page.
fn grid(canvas: &mut Canvas, [x, y]: [f64; 2], at: impl Fn(Point) -> Point) {
    let small = Style::plain(1.5).grey(0.35);
    let lines = |length: f64| (1..=(length / STEP) as u32).map(|k| f64::from(k) * STEP);
    for line in lines(x) {
        canvas.line(&[at([line, 0.0]), at([line, y])], GRID);
        let [px, py] = at([line, 0.0]);
        canvas.words([px, py + 2.6], fixed(line, 0), small.align(Align::Centre));
    }
    for line in lines(y) {
        canvas.line(&[at([0.0, line]), at([x, line])], GRID);
        let [px, py] = at([0.0, line]);
        canvas.words([px - 1.0, py + 0.7], fixed(line, 0), small.align(Align::Right));
    }
}

/// Room for the table below, mm.
const TABLE: f64 = 62.0;

/// The printer's view from above, in the header's axes.
fn above(placement: &Placement) -> View {
    let back = |axis: DVec3| placement.turn.transpose() * axis;
    View { right: back(DVec3::X), up: back(DVec3::Y), toward: back(DVec3::Z) }
}

fn parts(folio: &mut Folio, model: &Fitment, plate: &PrintPlate, printer: &Printer) {
    let mut table = Table::new(vec![
        Column::words("PART", 12.0).set(Style::bold(3.4)),
        Column::numbers("SIZE IN X, mm", 16.0),
        Column::numbers("SIZE IN Y, mm", 16.0),
        Column::numbers("HEIGHT, mm", 14.0),
        Column::numbers("NEEDS SUPPORT, cm²", 20.0).set(Style::bold(2.6)),
        Column::numbers("PLASTIC IF FULL, g", 18.0),
    ]);
    for part in plate.holds.iter().map(|held| &model.parts[*held]) {
        let DVec3 { x, y, z } = part.size * DVec3::from_array(printer.scale);
        let support = if part.overhang > 0.5 { fixed(0.01 * part.overhang, 1) } else { "none".to_owned() };
        table.row(vec![
            part.mark.clone(),
            fixed(x, 1),
            fixed(y, 1),
            fixed(z, 1),
            support,
            fixed(1e3 * printer.mass(part.mesh.volume()), 0),
        ]);
    }
    table.draw(folio);
}
