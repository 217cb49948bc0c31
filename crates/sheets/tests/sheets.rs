//! The sheets of an invented header: their CSVs, their pages, and what must stand on every one.

mod bench;

use ::clearance::Clearance;
use bench::{SHOP, SPEC, bench, laid};
use geom::unit::Units;
use layout::Layout;
use sheets::canvas::{Align, Canvas, Ink};
use sheets::{csv, font, packet, templates};
use spec::Design;
use spec::design::Paper;

/// Rows of a CSV whose cells hold no commas.
fn table(text: &str) -> Vec<Vec<&str>> {
    assert!(text.ends_with('\n') && !text.contains('\r'));
    text.lines().map(|line| line.split(',').collect()).collect()
}

#[test]
fn every_csv_is_a_full_table() {
    let (design, layout) = bench();
    let sheets = [csv::runs, csv::pieces, csv::bends, csv::cuts, csv::joints];
    let columns = [24, 33, 13, 6, 13];
    for (sheet, columns) in sheets.into_iter().zip(columns) {
        let text: String = sheet(&design, &layout);
        let rows = table(&text);
        assert!(rows.len() > 1);
        assert!(rows.iter().all(|row| row.len() == columns), "{}", rows[0].join(","));
    }
    assert_eq!(table(&csv::pieces(&design, &layout)).len(), layout.pieces.len() + 1);
    assert_eq!(table(&csv::joints(&design, &layout)).len(), layout.joints.len() + 1);
}

#[test]
fn bends_are_the_pieces_own_and_end_with_a_tail() {
    let (design, layout) = bench();
    let text = csv::bends(&design, &layout);
    let rows = table(&text);
    for part in &layout.pieces {
        let own: Vec<_> = rows.iter().filter(|r| r[0] == part.mark).collect();
        assert_eq!(own.len(), part.piece.rows().rows.len() + 1);
        let tail = own[own.len() - 1];
        assert!(tail[3..].iter().all(|cell| cell.is_empty()), "{tail:?}");
        if own.len() > 1 {
            assert_eq!(own[0][3], "0.0000000", "the first rotate is 0");
        }
        let arcs = own.iter().filter(|r| !r[4].is_empty()).map(|r| {
            let number = |i: usize| r[i].parse::<f64>().unwrap();
            number(4).to_radians() * number(5)
        });
        let feeds = own.iter().map(|r| r[2].parse::<f64>().unwrap());
        let length: f64 = arcs.chain(feeds).sum();
        assert!((length - part.piece.length()).abs() < 1e-4, "{}: {length}", part.mark);
    }
}

#[test]
fn a_fitted_cut_is_listed_with_its_corners_and_extremes() {
    let (design, layout) = bench();
    let text = csv::cuts(&design, &layout);
    let rows = table(&text);
    for part in layout.pieces.iter().filter(|p| p.piece.end.kind() == "leg") {
        let own: Vec<f64> = rows
            .iter()
            .filter(|r| r[0] == part.mark && r[1] == "end")
            .map(|r| r[2].parse::<f64>().unwrap())
            .collect();
        assert!(own.windows(2).all(|w| w[0] < w[1]) && own.len() >= 72);
        for clock in part.piece.kinks(tube::End::End, 1.0) {
            let degrees = clock.to_degrees();
            assert!(own.iter().any(|c| (c - degrees).abs() < 1e-6), "{degrees} is missing");
        }
    }
}

/// The box of some words: left, top, right, bottom.
fn bounds(ink: &Ink) -> Option<[f64; 4]> {
    let Ink::Words { text, at: [x, y], style, quarter_turns } = ink else { return None };
    let room = font::width(text, style);
    let from = match style.align {
        Align::Left => 0.0,
        Align::Centre => -0.5 * room,
        Align::Right => -room,
    };
    Some(match quarter_turns {
        0 => [x + from, y - style.cap, x + from + room, *y],
        1 => [*x, y + from, x + style.cap, y + from + room],
        3 => [x - style.cap, y - from - room, *x, y - from],
        _ => panic!("upside down: {text}"),
    })
}

fn within(page: &Canvas, margin: f64) {
    for ink in &page.inks {
        if let (Some([left, top, right, bottom]), Ink::Words { text, .. }) = (bounds(ink), ink) {
            let inside = left >= margin - 0.01
                && top >= margin - 0.01
                && right <= page.width - margin + 0.01
                && bottom <= page.height - margin + 2.01;
            assert!(inside, "`{text}` leaves the page: {left} {top} {right} {bottom}");
        }
    }
}

/// The header in mm on letter paper, and in inches on A4.
fn headers() -> Vec<(Design, Layout)> {
    let (mut design, layout) = bench();
    let metric = (design.clone(), layout.clone());
    (design.units, design.paper) = (Units::Inch, Paper::A4);
    vec![metric, (design, layout)]
}

#[test]
fn no_words_leave_their_page() {
    for (design, layout) in headers() {
        for page in packet::pages(&design, &layout, &Clearance::default()) {
            within(&page, 12.0);
        }
        for page in templates::pages(&design, &layout) {
            within(&page, 6.0);
        }
    }
}

#[test]
fn an_unreleased_header_says_so_and_why_on_every_page() {
    let (design, layout) = laid(&SPEC.replace("spread = 12", "spread = 0.01"), SHOP);
    assert!(!layout.released());
    let reason = &layout.findings[0].message;
    for page in packet::pages(&design, &layout, &Clearance::default())
        .iter()
        .chain(&templates::pages(&design, &layout))
    {
        let texts = page.texts();
        assert!(texts.contains(&"NOT RELEASED"));
        let head = texts[..8.min(texts.len())].join(" ");
        assert!(head.contains(&reason[..30]), "{head}");
        within(page, 6.0);
    }
    let (design, layout) = bench();
    assert!(layout.released());
    for page in packet::pages(&design, &layout, &Clearance::default()) {
        assert!(!page.texts().contains(&"NOT RELEASED"));
    }
}

#[test]
fn the_same_header_gives_the_same_bytes() {
    let (design, layout) = bench();
    let first = (
        sheets::packet(&design, &layout, &Clearance::default()).unwrap(),
        sheets::templates(&design, &layout).unwrap(),
    );
    let (design, layout) = bench();
    let again = (
        sheets::packet(&design, &layout, &Clearance::default()).unwrap(),
        sheets::templates(&design, &layout).unwrap(),
    );
    assert!(first.0.starts_with(b"%PDF-") && first == again);
}

#[test]
fn a_packet_holds_every_piece_merge_and_joint() {
    let (design, layout) = bench();
    let pages = packet::pages(&design, &layout, &Clearance::default());
    let texts: Vec<&str> = pages.iter().flat_map(Canvas::texts).collect();
    for part in &layout.pieces {
        assert!(texts.contains(&part.mark.as_str()), "{}", part.mark);
    }
    for joint in &layout.joints {
        assert!(texts.contains(&joint.mark.as_str()), "{}", joint.mark);
    }
    for word in ["Merge sheet", "Bend sheet", "Stock list", "Read first"] {
        assert!(texts.contains(&word), "{word}");
    }
    let all = texts.join(" ");
    assert!(all.contains("1910.1026"), "321 and 304 hold chromium");
}

/// The picture's dimensions against a search over the pieces' outsides.
#[test]
fn the_picture_shows_every_run_and_merge_and_how_large_the_header_is() {
    let (design, layout) = bench();
    let pages = packet::pages(&design, &layout, &Clearance::default());
    let texts: Vec<&str> =
        pages.iter().filter(|p| p.texts().contains(&"Whole header")).flat_map(Canvas::texts).collect();
    for name in layout.runs.iter().map(|r| &r.name).chain(layout.merges.iter().map(|m| &m.name)) {
        assert!(texts.iter().filter(|t| *t == name).count() >= 4, "{name}");
    }
    let (mut least, mut most) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
    for part in &layout.pieces {
        for i in 0..=60 {
            let station = part.piece.length() * f64::from(i) / 60.0;
            for k in 0..36 {
                let point =
                    part.piece.point(station, f64::from(k) * std::f64::consts::PI / 18.0, 1.0).to_array();
                for axis in 0..3 {
                    least[axis] = least[axis].min(point[axis]);
                    most[axis] = most[axis].max(point[axis]);
                }
            }
        }
    }
    for axis in 0..3 {
        let size = most[axis] - least[axis];
        let printed =
            texts.iter().filter_map(|t| t.strip_suffix("\u{a0}mm").and_then(|n| n.parse::<f64>().ok()));
        let near = printed.map(|n| (n - size).abs()).fold(f64::INFINITY, f64::min);
        assert!(near < 0.5, "no dimension of {size:.2} mm along axis {axis}: {texts:?}");
    }
}

#[test]
fn the_chromium_caution_is_for_alloys_that_hold_it() {
    let plain = SPEC.replace("\"321\"", "\"mild steel\"").replace("\"304\"", "\"mild steel\"");
    let (design, layout) = laid(&plain, &SHOP.replace("\"321\"", "\"mild steel\""));
    let pages = packet::pages(&design, &layout, &Clearance::default());
    let all: Vec<&str> = pages.iter().flat_map(Canvas::texts).collect();
    assert!(!all.iter().any(|t| t.starts_with("CHROMIUM:") || t.contains("1910.1026")));
    assert!(all.iter().any(|t| t.starts_with("HOT WORK:")));
}

/// The fixtures of fittings, which name no shop file.
const SLIPS: &str = include_str!("../../../tests/fixtures/slips.toml");
const FORMED: &str = include_str!("../../../tests/fixtures/formed-steps.toml");
const BOUGHT: &str = include_str!("../../../tests/fixtures/bought-fittings.toml");

#[test]
fn fittings_have_a_section_a_table_and_their_lines_on_the_buying_list() {
    let (design, layout) = laid(SLIPS, SHOP);
    let pages = packet::pages(&design, &layout, &Clearance::default());
    let texts: Vec<&str> = pages.iter().flat_map(Canvas::texts).collect();
    for word in ["Slip joint cup", "Double slip joint between", "insertion", "room", "socket", "Growth"] {
        assert!(texts.contains(&word), "{word}");
    }
    let needs = sheets::stock_list::parts(&design, &layout);
    let counts: Vec<(&str, usize)> = needs.iter().map(|n| (n.what.as_str(), n.count)).collect();
    assert_eq!(counts, [("pairs of tabs for slip cup", 2), ("pairs of tabs for slip between", 4)]);
    let (design, layout) = laid(FORMED, SHOP);
    let pages = packet::pages(&design, &layout, &Clearance::default());
    assert!(pages.iter().flat_map(Canvas::texts).any(|text| text == "Formed ends"));
    let (design, layout) = laid(BOUGHT, SHOP);
    for page in packet::pages(&design, &layout, &Clearance::default()) {
        within(&page, 6.0);
    }
    let needs = sheets::stock_list::parts(&design, &layout);
    let count = |what: &str| needs.iter().find(|n| n.what == what).map_or(0, |n| n.count);
    assert_eq!([count("bellows flex"), count("V-band half quick"), count("flange half pair")], [1, 4, 2]);
    assert_eq!([count("clamp for V-band quick"), count("gasket for quick")], [2, 2]);
    assert_eq!(count("bolts and nuts for flanged joint pair"), 3);
}
