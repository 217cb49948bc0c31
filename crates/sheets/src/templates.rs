//! `templates.pdf`: 1:1 wrap templates, of cuts and of holes, and cone patterns.

use geom::unit::{INCH, Units, fixed};
use layout::Layout;
use spec::Design;
use tube::End;

use crate::canvas::{Canvas, Style};
use crate::folio::{BODY, Folio, reasons};
use crate::head::plain_head;
use crate::pdf::{SheetError, write};
use crate::tile::{Tiler, bars};
use crate::wrap::{Template, has_template};
use crate::{cone_pattern, flange_sheet, hole_template, table};

/// How to use the templates, in the order of doing it.
const STEPS: [&str; 7] = [
    "Print at 100 %: no \"fit to page\", no scaling.",
    "Measure both bars on every page with a steel rule. If one is not 100 mm (3 15/16 in), do not use the \
     page.",
    "Saw the tube square at its long-point length, see the saw list, and deburr it.",
    "Cut the paper along the datum ring, both scribe lines, the tab and the solid line.",
    "Wrap it around the tube, printed face out, the arrow pointing downstream, the scribe line at clock 0 on the scribe \
     line of the tube. Both ends meet on the line, the tab goes under.",
    "Set the datum ring at its distance from the raw square end, all the way round, and tape the paper down.",
    "Scribe along the solid line, cut, and file the bevel until both edges touch. Try it in place before welding.",
];

/// The templates as a PDF: one for every end that is cut other than square and for every
/// hole, and the pattern of every cone.
///
/// The same design and layout give the same bytes on any machine. Errors: a number that cannot be
/// drawn, or the PDF library's own.
pub fn templates(design: &Design, layout: &Layout) -> Result<Vec<u8>, SheetError> {
    write(&pages(design, layout), &format!("{}: templates", design.name))
}

/// The pages of the templates, before they are written as a PDF.
pub fn pages(design: &Design, layout: &Layout) -> Vec<Canvas> {
    let templates = all(design, layout);
    let reasons = reasons(layout);
    let mut tiler = Tiler {
        paper: design.paper,
        reasons: &reasons,
        spec: &design.name,
        pages: first(design, layout, &templates),
    };
    for template in &templates {
        tiler.add(template);
    }
    tiler.pages
}

/// Every template of a layout, in the order of its pieces.
pub fn all(design: &Design, layout: &Layout) -> Vec<Template> {
    let mut templates = Vec::new();
    for (index, part) in layout.pieces.iter().enumerate() {
        let pattern = cone_pattern::pattern(design, part);
        let ends = if pattern.is_none() { &[End::Start, End::End][..] } else { &[] };
        templates.extend(pattern);
        for &end in ends.iter().filter(|end| has_template(&part.piece, **end)) {
            match layout.mitres_like(index, end) {
                None => templates.push(Template::wrap(design, part, end)),
                Some(0) => {}
                Some(alike) => templates.push(Template::wrap(design, part, end).for_mitres(alike)),
            }
        }
        let holes = 0..part.piece.holes.len();
        templates.extend(holes.map(|number| hole_template::template(design, layout, index, number)));
    }
    templates.extend(flange_sheet::templates(design, layout));
    templates
}

/// The first page: how to use what follows, and what there is.
fn first(design: &Design, layout: &Layout, templates: &[Template]) -> Vec<Canvas> {
    let mut folio = Folio::new(design, layout, "templates");
    folio.sheet(plain_head(design, "Templates", "How to use them"));
    for (i, step) in STEPS.iter().enumerate() {
        folio.item(&format!("{}.", i + 1), step, Style::plain(2.8));
    }
    folio.paragraph(
        "Lengths are drawn for the outside of the tube and the thickness of the paper. Hot work, sharp edges and fumes: \
         see the cautions in packet.pdf; follow your local codes and let a licensed person decide where one is required.",
        BODY,
    );
    let inch = design.units == Units::Inch;
    let size = |width: f64, height: f64| {
        let (per, digits) = if inch { (INCH, 1) } else { (1.0, 0) };
        format!("{} × {}", fixed(width / per, digits), fixed(height / per, digits))
    };
    let columns = vec![
        table::Column::words("MARK", 40.0).set(Style::bold(3.0)),
        table::Column::words("TEMPLATE", 90.0).set(Style::plain(2.6)),
        table::Column::words(if inch { "SIZE, in" } else { "SIZE, mm" }, 40.0).set(Style::plain(2.6)),
    ];
    let mut rows: Vec<Vec<String>> = templates
        .iter()
        .map(|t| vec![t.mark.clone(), t.title.clone(), size(t.drawing.width, t.drawing.height)])
        .collect();
    folio.heading("What follows");
    if templates.is_empty() {
        folio.paragraph("Nothing: every end of this header is square.", BODY);
    }
    while !rows.is_empty() {
        let mut list = table::Table { columns: columns.clone(), rows };
        rows = list.rows.split_off(list.fitting(folio.width(), folio.room() - BARS));
        if !list.rows.is_empty() {
            list.draw(&mut folio);
        }
        if !rows.is_empty() {
            folio.need(f64::INFINITY);
        }
    }
    let mut pages = folio.finish_plain();
    pages.iter_mut().for_each(bars);
    pages
}

/// Room that both bars take at the foot of a page, mm.
const BARS: f64 = 100.0;
