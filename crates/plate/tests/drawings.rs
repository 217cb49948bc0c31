//! Drawing files written and read.

use plate::dxf::{Reading, read};
use plate::{Corner, DVec2, Drawing, Ink, Loop, dxf, hull, svg};

const READING: Reading = Reading { tolerance: 0.01, unit: None, layer: Some("cut") };

fn at(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

fn drawing() -> Drawing {
    let outer = hull(&[(at(0.0, 0.0), 30.0), (at(100.0, 10.0), 20.0), (at(60.0, 50.0), 15.0)]).unwrap();
    let d = Loop::d(20.0, 18.0, 3.0).unwrap().moved(0.3, at(60.0, 20.0)).reversed();
    let hole = Loop::circle(at(0.0, 0.0), 10.0).reversed();
    let etch = vec![Ink::Loop(Loop::circle(at(0.0, 0.0), 12.0))];
    Drawing { cut: vec![outer, hole, d], etch, centre: Ink::cross(at(0.0, 0.0), 15.0).to_vec() }
}

#[test]
fn what_is_written_is_read_back() {
    let drawing = drawing();
    let text = dxf::write(&drawing);
    assert_eq!(text, dxf::write(&drawing.clone()));
    let loops = read(&text, &READING).unwrap();
    assert_eq!(loops.len(), 3);
    for (read, written) in loops.iter().zip(&drawing.cut) {
        assert!((read.area() - written.area().abs()).abs() < 1e-9);
        assert!((read.length() - written.length()).abs() < 1e-9);
    }
}

#[test]
fn an_svg_has_its_size_in_mm() {
    let text = svg::write(&drawing());
    assert!(text.contains(r#"width="154mm""#) && text.contains(r#"height="99mm""#));
    assert!(text.contains(r#"viewBox="0 0 154 99""#));
    for layer in ["cut", "etch", "centre"] {
        assert!(text.contains(&format!(r#"id="{layer}""#)));
    }
    assert_eq!(text, svg::write(&drawing()));
}

/// A DXF of these entities, each a text of alternating codes and values.
fn file(units: &str, entities: &str) -> String {
    let pairs = format!("0 SECTION 2 HEADER {units} 0 ENDSEC 0 SECTION 2 ENTITIES {entities} 0 ENDSEC 0 EOF");
    pairs.split_whitespace().map(|word| format!("{word}\n")).collect()
}

const INCH: &str = "9 $INSUNITS 70 1";
const MM: &str = "9 $INSUNITS 70 4";
const ALL: Reading = Reading { tolerance: 0.01, unit: None, layer: None };

/// A D of lines and an arc, in any order and either direction.
const LOOSE: &str = "0 LINE 8 0 10 0 20 0 11 2 21 0 0 ARC 8 0 10 1 20 1 40 1 50 0 51 180 \
    0 LINE 8 0 10 0 20 1 11 0 21 0 0 LINE 8 0 10 2 20 1 11 2 21 0";

#[test]
fn loose_lines_and_arcs_are_chained_in_their_unit() {
    let loops = read(&file(INCH, LOOSE), &ALL).unwrap();
    assert_eq!(loops.len(), 1);
    let area = (2.0 + 0.5 * std::f64::consts::PI) * 25.4 * 25.4;
    assert!((loops[0].area() - area).abs() < 1e-9, "{}", loops[0].area());
}

#[test]
fn ends_within_the_tolerance_meet() {
    let gap = LOOSE.replace("11 2 21 0 0 ARC", "11 2.0002 21 0 0 ARC");
    let loops = read(&file(INCH, &gap), &ALL).unwrap();
    assert!((loops[0].area() - (2.0 + 0.5 * std::f64::consts::PI) * 645.16).abs() < 0.2);
    let tight = Reading { tolerance: 0.001, ..ALL };
    let faults = read(&file(INCH, &gap), &tight).unwrap_err();
    assert_eq!(faults.iter().map(|f| f.code).collect::<Vec<_>>(), ["dxf-open"]);
    assert!(faults[0].message.contains("0.0051 mm away"), "{}", faults[0].message);
}

#[test]
fn old_polylines_and_mirrored_ones_are_read() {
    // A unit square whose right side bulges into a half circle.
    let old = "0 POLYLINE 8 a 66 1 70 1 0 VERTEX 10 0 20 0 0 VERTEX 10 1 20 0 42 1 0 VERTEX 10 1 20 1 \
        0 VERTEX 10 0 20 1 0 SEQEND";
    let loops = read(&file(MM, old), &ALL).unwrap();
    assert!((loops[0].area() - (1.0 + std::f64::consts::PI / 8.0)).abs() < 1e-12);
    assert!((loops[0].bounds().1.x - 1.5).abs() < 1e-12);
    let light = "0 LWPOLYLINE 8 a 90 4 70 1 10 0 20 0 10 1 20 0 42 1 10 1 20 1 10 0 20 1 230 -1";
    let loops = read(&file(MM, light), &ALL).unwrap();
    assert!((loops[0].area() - (1.0 + std::f64::consts::PI / 8.0)).abs() < 1e-12);
    assert!((loops[0].bounds().0.x + 1.5).abs() < 1e-12);
}

#[test]
fn what_cannot_be_an_outline_is_refused() {
    let circle = "0 CIRCLE 8 0 10 0 20 0 40 5";
    let cases = [
        (file("", circle), "dxf-no-unit"),
        (file("9 $INSUNITS 70 0", circle), "dxf-no-unit"),
        (file("9 $INSUNITS 70 13", circle), "dxf-unit"),
        (file(MM, "0 SPLINE 8 0"), "dxf-entity"),
        (file(MM, "0 INSERT 8 0"), "dxf-entity"),
        (file(MM, "0 LINE 10 0 20 0 30 0 11 1 21 0 31 5"), "dxf-entity"),
        (file(MM, "0 CIRCLE 10 0 20 0 40 -2"), "dxf-entity"),
        (file(MM, "0 CIRCLE 10 0 40 2"), "dxf-incomplete"),
        (file(MM, "0 CIRCLE 10 x 20 0 40 2"), "dxf-number"),
        (file(MM, "0 TEXT 8 0 10 0 20 0"), "dxf-empty"),
        (file(MM, "0 LINE 10 0 20 0 11 1 21 0"), "dxf-open"),
        (file(MM, &format!("{LOOSE} {LOOSE}")), "dxf-branch"),
        (file(MM, "0 LWPOLYLINE 70 1 10 0 20 0 10 9 20 9 10 9 20 0 10 0 20 9"), "outline-crosses"),
        (file(MM, circle).replace("EOF", ""), "dxf-cut-short"),
        ("a plain text\nof two lines\n".to_owned(), "dxf-pairs"),
        ("AutoCAD Binary DXF\r\n".to_owned(), "dxf-binary"),
        (String::new(), "dxf-cut-short"),
    ];
    for (text, code) in cases {
        let faults = read(&text, &ALL).unwrap_err();
        assert_eq!(faults[0].code, code, "{text}");
        assert!(!faults[0].help.is_empty());
    }
    let told = Reading { unit: Some(25.4), ..ALL };
    assert!(
        (read(&file("", circle), &told).unwrap()[0].length() - 10.0 * 25.4 * std::f64::consts::PI).abs()
            < 1e-9
    );
}

/// A file with a byte changed or cut short is read or refused, never a panic.
#[test]
fn damaged_files_never_panic() {
    let text = dxf::write(&drawing());
    let mut state = 99_u64;
    for _ in 0..3000 {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        let place = (state >> 33) as usize % text.len();
        let mut bytes = text.clone().into_bytes();
        bytes[place] = b"0123456789.-e \nA"[(state >> 20) as usize % 16];
        let end = if state.is_multiple_of(7) { place } else { bytes.len() };
        let damaged = String::from_utf8_lossy(&bytes[..end]).into_owned();
        let _ = read(&damaged, &ALL);
    }
}

#[test]
fn a_polygon_of_many_corners_survives_the_trip() {
    let corners: Vec<Corner> = (0..7)
        .map(|k| Corner { at: DVec2::from_angle(f64::from(k) * 0.8976) * 40.0, radius: f64::from(k) })
        .collect();
    let polygon = Loop::polygon(&corners).unwrap();
    let text = dxf::write(&Drawing { cut: vec![polygon.clone()], ..Drawing::default() });
    let back = read(&text, &READING).unwrap();
    assert!((back[0].area() - polygon.area()).abs() < 1e-9);
    assert_eq!(back[0].edges.len(), polygon.edges.len());
}
