//! Pages of ink into a PDF file: true vector paths, embedded letters, exact 1:1.

use krilla::color::luma;
use krilla::geom::{Path, PathBuilder, Point as PdfPoint, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

use crate::canvas::{Align, Canvas, Ink, Pen, Point, Style, Weight};
use crate::font;

/// Why a document could not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SheetError {
    /// A page has no area, or a number on it is not finite; holds what was being drawn.
    Drawing(String),
    /// The PDF library refused; holds its message.
    Pdf(String),
}

impl std::fmt::Display for SheetError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            SheetError::Drawing(what) => write!(f, "a sheet could not be drawn: {what}"),
            SheetError::Pdf(message) => write!(f, "a PDF could not be written: {message}"),
        }
    }
}

impl std::error::Error for SheetError {}

/// Points in a millimetre: a PDF's unit is 1/72 in.
const POINTS: f64 = 72.0 / 25.4;

struct Fonts {
    regular: Font,
    bold: Font,
}

/// The PDF of `pages`, called `title`. The same pages give the same bytes: no date, no random name.
pub fn write(pages: &[Canvas], title: &str) -> Result<Vec<u8>, SheetError> {
    let fonts = Fonts { regular: load(Weight::Regular)?, bold: load(Weight::Bold)? };
    let settings = SerializeSettings { enable_tagging: false, xmp_metadata: false, ..Default::default() };
    let mut document = Document::new_with(settings);
    document.set_metadata(Metadata::new().title(title.to_owned()).creator("hotside".to_owned()));
    for canvas in pages {
        let size = PageSettings::from_wh((canvas.width * POINTS) as f32, (canvas.height * POINTS) as f32)
            .ok_or_else(|| {
                SheetError::Drawing(format!("a page of {} x {} mm", canvas.width, canvas.height))
            })?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        draw(&mut surface, &canvas.inks, &fonts)?;
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|e| SheetError::Pdf(format!("{e}")))
}

fn load(weight: Weight) -> Result<Font, SheetError> {
    Font::new(font::bytes(weight).into(), 0).ok_or_else(|| SheetError::Pdf("the font is damaged".to_owned()))
}

fn draw(surface: &mut Surface, inks: &[Ink], fonts: &Fonts) -> Result<(), SheetError> {
    for ink in inks {
        match ink {
            Ink::Line { points, pen } => {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(pen)));
                surface.draw_path(&path(points, false)?);
            }
            Ink::Area { points, grey } => {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(*grey)));
                surface.draw_path(&path(points, true)?);
            }
            Ink::Words { text, at, style, quarter_turns } => {
                words(surface, text, *at, style, *quarter_turns, fonts);
            }
            Ink::Window { frame: [x, y, w, h], inks } => {
                let frame = [[*x, *y], [x + w, *y], [x + w, y + h], [*x, y + h]];
                surface.push_clip_path(&path(&frame, true)?, &FillRule::NonZero);
                draw(surface, inks, fonts)?;
                surface.pop();
            }
        }
    }
    Ok(())
}

fn path(points: &[Point], close: bool) -> Result<Path, SheetError> {
    if points.iter().flatten().any(|x| !x.is_finite()) {
        return Err(SheetError::Drawing("a point that is not a number".to_owned()));
    }
    let mut builder = PathBuilder::new();
    for (i, [x, y]) in points.iter().enumerate() {
        let (x, y) = ((x * POINTS) as f32, (y * POINTS) as f32);
        if i == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
    }
    if close {
        builder.close();
    }
    builder.finish().ok_or_else(|| SheetError::Drawing(format!("a path of {} points", points.len())))
}

fn words(surface: &mut Surface, text: &str, at: Point, style: &Style, quarter_turns: u8, fonts: &Fonts) {
    let shaped = font::shape(text, style.weight);
    let (em, width) = (font::em(style), font::width(text, style));
    let back = match style.align {
        Align::Left => 0.0,
        Align::Centre => 0.5 * width,
        Align::Right => width,
    };
    let glyphs: Vec<KrillaGlyph> = shaped
        .into_iter()
        .map(|g| {
            let [x, y] = g.offset;
            let (x, y, advance) = (x as f32, y as f32, g.advance as f32);
            KrillaGlyph::new(GlyphId::new(g.glyph), advance, x, y, 0.0, g.bytes, None)
        })
        .collect();
    let font = match style.weight {
        Weight::Regular => fonts.regular.clone(),
        Weight::Bold => fonts.bold.clone(),
    };
    let (c, s) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][usize::from(quarter_turns % 4)];
    let (x, y) = ((at[0] * POINTS) as f32, (at[1] * POINTS) as f32);
    surface.push_transform(&Transform::from_row(c, s, -s, c, x, y));
    surface.set_stroke(None);
    surface.set_fill(Some(fill(style.grey)));
    let start = PdfPoint::from_xy((-back * POINTS) as f32, 0.0);
    surface.draw_glyphs(start, &glyphs, font, text, (em * POINTS) as f32, false);
    surface.pop();
}

fn level(grey: f64) -> luma::Color {
    luma::Color::new((grey.clamp(0.0, 1.0) * 255.0).round() as u8)
}

fn fill(grey: f64) -> Fill {
    Fill { paint: level(grey).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero }
}

fn stroke(pen: &Pen) -> Stroke {
    let dash = pen.dash.map(|[on, off]| StrokeDash {
        array: vec![(on * POINTS) as f32, (off * POINTS) as f32],
        offset: 0.0,
    });
    Stroke {
        paint: level(pen.grey).into(),
        width: (pen.width * POINTS) as f32,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Miter,
        dash,
        ..Default::default()
    }
}
