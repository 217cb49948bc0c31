//! No words of a wrap template stand across its cut line or over each other, on any shipped spec or fixture.

use hotside_tests::{demo_specs, lay, root};
use sheets::canvas::{Align, Ink, Point, Style};
use sheets::wrap::pens;
use sheets::{font, templates};

/// Left, top, right and bottom of words.
fn frame(text: &str, at: Point, style: &Style, quarter_turns: u8) -> [f64; 4] {
    let width = font::width(text, style);
    let left = match style.align {
        Align::Left => 0.0,
        Align::Centre => -0.5 * width,
        Align::Right => -width,
    };
    // Along the words, and up from their baseline.
    let turned = |along: f64, up: f64| match quarter_turns % 4 {
        0 => [at[0] + along, at[1] - up],
        1 => [at[0] + up, at[1] + along],
        2 => [at[0] - along, at[1] + up],
        _ => [at[0] - up, at[1] - along],
    };
    let (a, b) = (turned(left, 0.0), turned(left + width, style.cap));
    [a[0].min(b[0]), a[1].min(b[1]), a[0].max(b[0]), a[1].max(b[1])]
}

#[test]
fn words_keep_off_the_cut_line_and_each_other() {
    let folder = root().join("tests/fixtures");
    let fixtures = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
    let mut files: Vec<_> = fixtures.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.extend(demo_specs());
    let mut looked = 0;
    for path in files {
        let (design, layout) = lay(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for template in templates::all(&design, &layout) {
            // A hole's pattern and a cone's are laid out otherwise.
            if !template.title.contains(" cut, ") {
                continue;
            }
            let cut: Vec<Point> = template
                .drawing
                .inks
                .iter()
                .filter_map(|ink| match ink {
                    Ink::Line { points, pen } if *pen == pens::CUT => Some(points.clone()),
                    _ => None,
                })
                .flatten()
                .collect();
            let mut before: Vec<(&str, [f64; 4])> = Vec::new();
            for ink in &template.drawing.inks {
                let Ink::Words { text, at, style, quarter_turns } = ink else { continue };
                let [left, top, right, bottom] = frame(text, *at, style, *quarter_turns);
                let over = before
                    .iter()
                    .find(|(_, [l, t, r, b])| left < *r && *l < right && top < *b && *t < bottom);
                assert!(
                    over.is_none(),
                    "{}: {} {}: \"{text}\" stands over {over:?}",
                    path.display(),
                    template.mark,
                    template.title
                );
                before.push((text, [left, top, right, bottom]));
                let crossed = cut.windows(2).any(|w| {
                    (0..=4).any(|i| {
                        let t = f64::from(i) / 4.0;
                        let p = [0, 1].map(|k| w[0][k] + t * (w[1][k] - w[0][k]));
                        p[0] > left && p[0] < right && p[1] > top && p[1] < bottom
                    })
                });
                assert!(
                    !crossed,
                    "{}: {} {}: \"{text}\" stands across the line",
                    path.display(),
                    template.mark,
                    template.title
                );
                looked += 1;
            }
        }
    }
    assert!(looked > 1000, "only {looked} words");
}
