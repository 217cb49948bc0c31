//! A virtual bender that obeys the words of a bend sheet, not the signs of its rows.
//!
//! The machine: the tube travels along +x from the collet to the bend head, whose die bends towards
//! +y. Seen from the collet towards the head, clockwise is right-handed about +x.

mod bench;

use bench::{SHOP, SPEC, laid};
use geom::angle::from_degrees;
use geom::math::sin_cos;
use geom::{DVec3, Frame};
use layout::layout::{Make, Part};
use sheets::BendSheet;
use spec::shop::Die;
use tube::End;

/// The first number after `words` in `text`.
fn number_after(text: &str, words: &str) -> f64 {
    let rest = &text[text.find(words).unwrap_or_else(|| panic!("no `{words}` in: {text}")) + words.len()..];
    let number: String = rest.trim_start().chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    number.trim_end_matches('.').parse().unwrap()
}

/// What a tube looks like on the machine: the part that is past the bend head, as points.
struct Machine {
    /// The first raw end, a point of the scribe line beside it, then each bend's start.
    points: Vec<DVec3>,
    /// Raw station at the head, from the end that went in first, mm.
    at: f64,
}

impl Machine {
    fn every(&mut self, change: impl Fn(DVec3) -> DVec3) {
        for point in &mut self.points {
            *point = change(*point);
        }
    }

    fn turn(&mut self, clockwise: f64) {
        let (s, c) = sin_cos(clockwise);
        self.every(|p| DVec3::new(p.x, c * p.y - s * p.z, s * p.y + c * p.z));
    }

    fn slide(&mut self, to: f64) {
        let by = DVec3::X * (to - self.at);
        self.every(|p| p + by);
        self.at = to;
    }

    fn bend(&mut self, radius: f64, angle: f64, raw_arc: f64) {
        let (s, c) = sin_cos(angle);
        let end = DVec3::new(radius * s, radius * (1.0 - c), 0.0);
        self.points.push(DVec3::ZERO);
        self.every(|p| end + DVec3::new(c * p.x - s * p.y, s * p.x + c * p.y, p.z));
        self.at += raw_arc;
    }
}

/// Signed clockwise turn that the words ask for, rad.
fn turn_of(words: &str) -> f64 {
    if words.contains("do not turn") {
        return 0.0;
    }
    let by = from_degrees(number_after(words, "by"));
    if words.contains("counter-clockwise") { -by } else { by }
}

/// Obeys the sheet: the points of the bent tube, seen from the last bend that was made.
fn obey(sheet: &BendSheet, die: &Die) -> Vec<DVec3> {
    let loading = sheet.loading_words();
    let scribe = if loading.contains("faces the inside") {
        0.0
    } else {
        let away = from_degrees(number_after(&loading, "stands"));
        if loading.contains("counter-clockwise") { -away } else { away }
    };
    let (s, c) = sin_cos(scribe);
    let mut machine = Machine { points: vec![DVec3::ZERO, DVec3::new(0.0, 30.0 * c, 30.0 * s)], at: 0.0 };
    for step in &sheet.steps {
        let words = sheet.step_words(step);
        let set = from_degrees(number_after(&words, "Set"));
        let angle = (set - die.springback_fixed) / (1.0 + die.springback);
        let raw_arc = die.clr * angle - die.stretch * angle;
        let tape = number_after(&words, "tape mark at");
        let start = if loading.contains("the middle of the bend") {
            tape - 0.5 * raw_arc
        } else if loading.contains("the outer face of the clamp") {
            tape + number_after(&loading, "the outer face of the clamp,")
        } else {
            tape
        };
        machine.slide(start);
        machine.turn(turn_of(&words));
        machine.bend(die.clr, angle, raw_arc);
    }
    let along = if sheet.first_in == End::Start { DVec3::NEG_X } else { DVec3::X };
    let frame = Frame { at: DVec3::ZERO, along, inside: DVec3::Y };
    machine.points.iter().map(|p| frame.local_point(*p)).collect()
}

/// The same points of the piece that the sheet is for.
fn wanted(part: &Part, sheet: &BendSheet, mirror: f64) -> Vec<DVec3> {
    let piece = &part.piece;
    let mut bends = Vec::new();
    let (mut station, mut plane) = (0.0, 0.0);
    for row in piece.rows().rows {
        station += row.feed;
        plane += row.rotate;
        bends.push((station, station + row.radius * row.bend, plane));
        station += row.radius * row.bend;
    }
    let Make::Drawn(drawing) = &part.make else { panic!("not drawn") };
    let raw = [-drawing.trims[0] - part.shrinkage[0], piece.length() + drawing.trims[1] + part.shrinkage[1]];
    let first = if sheet.first_in == End::Start { raw[0] } else { raw[1] };
    let end = piece.frame_at(first);
    let mut points = vec![end.at, end.point(0.0, 0.0, 30.0)];
    let last = if sheet.first_in == End::Start {
        points.extend(bends.iter().map(|b| piece.frame_at(b.0).at));
        bends[bends.len() - 1]
    } else {
        points.extend(bends.iter().rev().map(|b| piece.frame_at(b.1).at));
        bends[0]
    };
    let seen_from = piece.frame_at(if sheet.first_in == End::Start { last.1 } else { last.0 }).turned(last.2);
    points.iter().map(|p| seen_from.local_point(*p)).map(|p| DVec3::new(p.x, mirror * p.y, p.z)).collect()
}

fn furthest(a: &[DVec3], b: &[DVec3]) -> f64 {
    a.iter().zip(b).map(|(p, q)| p.distance(*q)).fold(0.0, f64::max)
}

/// Rounding of 0.1 mm and 0.1 degree at up to three bends, over about half a metre.
const ROUNDED: f64 = 2.5;

#[test]
fn obeying_the_words_makes_the_part_and_not_its_mirror() {
    let twisted = SPEC.replace(
        "path = [{ out = 165.6 }, { back = 80 }]\ngroup = \"primaries\"\n\n[run.two]",
        "path = [{ out = 120 }, { at = [90, 260, -250], radius = 57 }, { back = 100 }]\n\n[run.two]",
    );
    assert_ne!(twisted, SPEC);
    let mut seen = Vec::new();
    for reference in ["\"start\"", "\"middle\"", "\"clamp face\"\nclamp_length = 44"] {
        for straights in ["grip = 40\ntail = 90", "grip = 90\ntail = 20"] {
            let shop = SHOP.replace("\"middle\"", reference).replace("grip = 40\ntail = 90", straights);
            let (design, layout) = laid(&twisted, &shop);
            for part in &layout.pieces {
                let (Some(sheet), Make::Drawn(drawing)) = (BendSheet::of(&design, part), &part.make) else {
                    continue;
                };
                let die = &design.shop.dies[drawing.die.unwrap()];
                let made = obey(&sheet, die);
                let off = furthest(&made, &wanted(part, &sheet, 1.0));
                assert!(off < ROUNDED, "{}: {off} mm off", sheet.mark);
                let turned: f64 = sheet.steps.iter().filter_map(|s| s.turn).map(|t| t.angle).sum();
                if sheet.steps.len() > 2 {
                    assert!(turned > 0.3, "{}: nearly flat", sheet.mark);
                    let mirror = furthest(&made, &wanted(part, &sheet, -1.0));
                    assert!(mirror > 10.0 * ROUNDED, "{}: its mirror is only {mirror} mm off", sheet.mark);
                    seen.push((sheet.first_in, sheet.steps.len()));
                }
            }
        }
    }
    for end in [End::Start, End::End] {
        assert!(seen.iter().any(|s| s.0 == end), "no tube with its {end:?} first: {seen:?}");
    }
}
