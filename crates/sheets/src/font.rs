//! The sheets' letters: DejaVu Sans Condensed, embedded in the program.
//!
//! It has the diameter sign, the degree and the multiplication sign, and figures of equal width.

use std::sync::LazyLock;

use rustybuzz::{Direction, Face, ShapePlan, UnicodeBuffer, script, shape_with_plan};

use crate::canvas::{Style, Weight};

/// One glyph of a shaped text; distances in ems.
#[derive(Clone, Debug, PartialEq)]
pub struct Shaped {
    /// Its number in the font.
    pub glyph: u32,
    /// The bytes of the text that it stands for.
    pub bytes: std::ops::Range<usize>,
    /// How far the pen moves on.
    pub advance: f64,
    /// Where it is drawn, from the pen: right and up.
    pub offset: [f64; 2],
}

/// Height of a capital, ems (both weights have the same).
const CAP: f64 = 1493.0 / 2048.0;

static REGULAR: LazyLock<Font> = LazyLock::new(|| Font::new(Weight::Regular));
static BOLD: LazyLock<Font> = LazyLock::new(|| Font::new(Weight::Bold));

/// A font with its plans for text in Latin letters and for figures and signs alone. To make a plan costs more
/// than to shape a line by it.
struct Font {
    face: Face<'static>,
    latin: ShapePlan,
    figures: ShapePlan,
}

impl Font {
    fn new(weight: Weight) -> Font {
        let face = face(weight);
        let plan = |script| ShapePlan::new(&face, Direction::LeftToRight, script, None, &[]);
        let (latin, figures) = (plan(Some(script::LATIN)), plan(None));
        Font { face, latin, figures }
    }

    /// The plan for a buffer whose script is known; `None` for scripts that the sheets themselves do not use.
    fn plan(&self, buffer: &UnicodeBuffer) -> Option<&ShapePlan> {
        match (buffer.direction(), buffer.script()) {
            (Direction::LeftToRight, script::LATIN) => Some(&self.latin),
            (Direction::LeftToRight, script::UNKNOWN) => Some(&self.figures),
            _ => None,
        }
    }
}

/// The font file of a weight.
pub fn bytes(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => dejavu::sans_condensed::regular(),
        Weight::Bold => dejavu::sans_condensed::bold(),
    }
}

/// The em, mm, at which a style's capitals have their height.
pub fn em(style: &Style) -> f64 {
    style.cap / CAP
}

/// The glyphs of `text`.
pub fn shape(text: &str, weight: Weight) -> Vec<Shaped> {
    let font: &Font = match weight {
        Weight::Regular => &REGULAR,
        Weight::Bold => &BOLD,
    };
    let units = f64::from(font.face.units_per_em());
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    let shaped = match font.plan(&buffer) {
        Some(plan) => shape_with_plan(&font.face, plan, buffer),
        None => rustybuzz::shape(&font.face, &[], buffer),
    };
    let infos = shaped.glyph_infos();
    let next =
        |i: usize| infos[i + 1..].iter().map(|g| g.cluster as usize).find(|c| *c > infos[i].cluster as usize);
    shaped
        .glyph_positions()
        .iter()
        .enumerate()
        .map(|(i, p)| Shaped {
            glyph: infos[i].glyph_id,
            bytes: infos[i].cluster as usize..next(i).unwrap_or(text.len()),
            advance: f64::from(p.x_advance) / units,
            offset: [f64::from(p.x_offset) / units, f64::from(p.y_offset) / units],
        })
        .collect()
}

/// Width of `text`, mm.
pub fn width(text: &str, style: &Style) -> f64 {
    ems(text, style.weight) * em(style)
}

/// Width of `text`, ems: a whole number of the font's units, so that sums are exact.
fn ems(text: &str, weight: Weight) -> f64 {
    shape(text, weight).iter().map(|g| g.advance).sum()
}

/// `text` broken at blanks into lines no wider than `limit` mm. A word that is wider stands alone; a
/// no-break space keeps words together.
///
/// The font moves nothing nearer to a blank, so that a line is as wide as its words and blanks.
pub fn wrap(text: &str, style: &Style, limit: f64) -> Vec<String> {
    let (blank, em) = (ems(" ", style.weight), em(style));
    let mut lines = Vec::new();
    let (mut line, mut wide) = (String::new(), 0.0);
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let own = ems(word, style.weight);
        let longer = wide + blank + own;
        if line.is_empty() {
            (line, wide) = (word.to_owned(), own);
        } else if longer * em <= limit {
            line.extend([" ", word]);
            wide = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
            wide = own;
        }
    }
    lines.push(line);
    lines
}

fn face(weight: Weight) -> Face<'static> {
    Face::from_slice(bytes(weight), 0).expect("the embedded font is a font")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_have_the_height_that_is_asked_for() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight);
            let h = face.glyph_index('H').and_then(|glyph| face.glyph_bounding_box(glyph));
            assert_eq!(h.map(|box_of_h| (box_of_h.y_min, box_of_h.y_max)), Some((0, 1493)));
            assert_eq!(face.units_per_em(), 2048);
        }
    }

    #[test]
    fn every_sign_on_the_sheets_has_a_glyph() {
        for sign in "Ø°×½/±≤→↑↻↺–−²³µ".chars() {
            assert!(shape(&sign.to_string(), Weight::Regular)[0].glyph != 0, "{sign}");
        }
    }

    #[test]
    fn a_kept_plan_shapes_like_a_plan_of_its_own() {
        for text in ["Weld AV-1 first", "12.7 × 1.2", "", "Ω 4", "שלום"] {
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(text);
            let own = rustybuzz::shape(&REGULAR.face, &[], buffer);
            let shaped = shape(text, Weight::Regular);
            assert_eq!(shaped.len(), own.len(), "{text}");
            for ((kept, info), place) in shaped.iter().zip(own.glyph_infos()).zip(own.glyph_positions()) {
                assert_eq!(kept.glyph, info.glyph_id, "{text}");
                assert_eq!(kept.advance * 2048.0, f64::from(place.x_advance), "{text}");
            }
        }
    }

    /// Printable ASCII and the sheets' signs, before and after a blank, alone and in a line of Latin letters.
    #[test]
    fn a_line_is_as_wide_as_its_words_and_blanks() {
        let signs: Vec<char> = (33..127_u8).map(char::from).chain("Ø°×½/±≤→↑↻↺–−²³µ\u{a0}".chars()).collect();
        for weight in [Weight::Regular, Weight::Bold] {
            let wide = |text: &str| ems(text, weight);
            for a in &signs {
                for b in &signs {
                    let words = [format!("{a}{b}"), format!("{b}{a}"), "Tube".to_owned()];
                    let apart = words.iter().map(|word| wide(word)).sum::<f64>() + 2.0 * wide(" ");
                    assert_eq!(wide(&words.join(" ")), apart, "{words:?}");
                }
            }
        }
    }

    #[test]
    fn wrapped_lines_fit_and_keep_every_word() {
        let style = Style::plain(2.5);
        let text = "Turn the tube clockwise, seen from the collet towards the bend head";
        let lines = wrap(text, &style, 40.0);
        assert!(lines.len() > 1 && lines.iter().all(|l| width(l, &style) <= 40.0));
        assert_eq!(lines.join(" "), text);
    }
}
