//! `packet.pdf`: every sheet that is printed for the bench.

use clearance::Clearance;
use layout::Layout;
use spec::Design;

use crate::canvas::Canvas;
use crate::folio::Folio;
use crate::pdf::{SheetError, write};
use crate::{
    bought_sheet, cautions, clearance_sheet, drawn_sheet, fitting_sheet, flange_sheet, hole_sheet,
    joint_list, merge_sheet, picture, saw_sheet, stock_list, summary,
};

/// The packet as a PDF: summary, clearance, rules and cautions, bend sheets, cut sheets, holes, merges, flanges, fittings,
/// joints, stock.
///
/// The same design and layout give the same bytes on any machine. Errors: a number that cannot be
/// drawn, or the PDF library's own.
pub fn packet(design: &Design, layout: &Layout, clearance: &Clearance) -> Result<Vec<u8>, SheetError> {
    write(&pages(design, layout, clearance), &format!("{}: packet", design.name))
}

/// The packet's pages, before they are written as a PDF.
pub fn pages(design: &Design, layout: &Layout, clearance: &Clearance) -> Vec<Canvas> {
    let mut folio = Folio::new(design, layout, "packet");
    // Masses are integrals: once is enough.
    let masses: Vec<f64> = layout.pieces.iter().map(|p| p.mass()).collect();
    summary::draw(&mut folio, design, layout, &masses);
    picture::draw(&mut folio, design, layout);
    clearance_sheet::draw(&mut folio, design, clearance);
    cautions::draw(&mut folio, design, layout);
    drawn_sheet::draw(&mut folio, design, layout);
    bought_sheet::draw(&mut folio, design, layout);
    saw_sheet::draw(&mut folio, design, layout);
    hole_sheet::draw(&mut folio, design, layout);
    merge_sheet::draw(&mut folio, design, layout);
    flange_sheet::draw(&mut folio, design, layout);
    fitting_sheet::draw(&mut folio, design, layout);
    joint_list::draw(&mut folio, design, layout);
    stock_list::draw(&mut folio, design, layout, masses.iter().sum::<f64>() + layout.plate_mass());
    folio.finish()
}
