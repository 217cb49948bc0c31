//! The strokes of figures and letters, drawn for a nozzle: few, and far apart.

/// A line through points, in units of the grid: x to the right, y up from the foot.
pub type Stroke = Vec<[f64; 2]>;

/// Height of a figure on the grid.
pub const HEIGHT: f64 = 6.0;

/// What is known; `>` is an arrow along the text, `^` one up.
pub const KNOWN: &str = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-_./+>^";

/// Length of a text on the grid.
pub fn width(text: &str) -> f64 {
    let widths = text.chars().map(|c| glyph(c).1);
    widths.map(|w| w + GAP).sum::<f64>() - if text.is_empty() { 0.0 } else { GAP }
}

/// The strokes of a text, from 0 to the right.
pub fn strokes(text: &str) -> Vec<Stroke> {
    let mut at = 0.0;
    let mut all = Vec::new();
    for character in text.chars() {
        let (strokes, width) = glyph(character);
        for stroke in strokes.split_whitespace() {
            let digits: Vec<f64> = stroke.chars().filter_map(|c| c.to_digit(10)).map(f64::from).collect();
            all.push(digits.chunks_exact(2).map(|p| [p[0] + at, p[1]]).collect());
        }
        at += width + GAP;
    }
    all
}

/// Strokes of a character, pairs of digits x and y, and its width.
fn glyph(character: char) -> (&'static str, f64) {
    let strokes = match character.to_ascii_uppercase() {
        '0' => "103041453616050110",
        '1' => "042620 0040",
        '2' => "05163645440040",
        '3' => "0516364544334241301001 1333",
        '4' => "30360242",
        '5' => "460603334241301001",
        '6' => "4536160501103041423303",
        '7' => "064610",
        '8' => "13040516364544331302011030414233",
        '9' => "0110304145361605041343",
        'A' => "002640 1333",
        'B' => "00063645443303 3342413000",
        'C' => "4536160501103041",
        'D' => "00062644422000",
        'E' => "46060040 0333",
        'F' => "460600 0333",
        'G' => "45361605011030414323",
        'H' => "0006 4046 0343",
        'I' => "1030 1636 2026",
        'J' => "4641301001",
        'K' => "0006 460340",
        'L' => "060040",
        'M' => "0006234640",
        'N' => "00064046",
        'O' => "103041453616050110",
        'P' => "00063645443303",
        'Q' => "103041453616050110 2240",
        'R' => "00063645443303 2340",
        'S' => "453616050413334241301001",
        'T' => "0646 2620",
        'U' => "060110304146",
        'V' => "062046",
        'W' => "0600234046",
        'X' => "0046 0640",
        'Y' => "062346 2320",
        'Z' => "06460040",
        '-' => "0333",
        '_' => "0040",
        '.' => "1011",
        '/' => "0046",
        '+' => "0343 2125",
        '>' => "0373 517355",
        '^' => "2026 042644",
        ' ' => "",
        _ => "0006464000",
    };
    let width = match character {
        '>' => 7.0,
        '-' => 3.0,
        '.' | ' ' => 2.0,
        _ => 4.0,
    };
    (strokes, width)
}

/// Room between two characters.
const GAP: f64 = 2.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Every stroke has two points or more, on the grid and within the character's width; no character is another's.
    #[test]
    fn strokes_stand_on_the_grid() {
        let mut seen: Vec<Vec<Stroke>> = Vec::new();
        for character in KNOWN.chars() {
            let (one, text) = (character.to_string(), strokes(&character.to_string()));
            assert!(!text.is_empty() && text.iter().all(|stroke| stroke.len() > 1), "{one}");
            let inside = |p: &[f64; 2]| p[0] <= width(&one) && p[1] <= HEIGHT;
            assert!(text.iter().flatten().all(inside), "{one}");
            let zero = "0O".contains(character);
            assert!(zero || !seen.contains(&text), "{one}");
            seen.push(text);
        }
        assert_eq!(width("P1"), 4.0 + GAP + 4.0);
    }
}
