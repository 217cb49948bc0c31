//! Runs bent on a rotary-draw bender: where they are split, and where the bends lie on the raw tube.

use geom::angle::to_degrees;
use spec::shop::{Die, Reference};
use spec::{Design, Finding, Level};
use tube::{Centreline, End, Section};

use crate::layout::{BendMark, Drawing, Make};
use crate::runs::Share;

/// The pieces of a stretch of a run with one section, in the direction of travel.
///
/// A split is needed where the centreline radius changes and where the straight between two bends is
/// shorter than the die's grip; beyond that, only where a piece is longer than the bender takes: with
/// the fewest joints, and among those the longest straights. Each joint is in the middle of its
/// straight.
pub(crate) fn shares(
    design: &Design,
    run: &str,
    line: &Centreline,
    section: Section,
    findings: &mut Vec<Finding>,
) -> Vec<Share> {
    report_bends(design, run, line, section, findings);
    let places = candidates(design, line, section);
    let ends = split(&places, line.length(), |from, to| {
        let piece = line.between(from, to);
        match drawing(design, &piece, section) {
            Some(drawing) => match drawing.die {
                Some(die) => drawing.raw_length <= design.shop.dies[die].longest,
                None => true,
            },
            None => true,
        }
    });
    let mut shares = Vec::new();
    for pair in ends.windows(2) {
        let piece = line.between(pair[0], pair[1]);
        let make = drawing(design, &piece, section).map_or(Make::Straight, Make::Drawn);
        if let Make::Drawn(Drawing { die: Some(die), raw_length, .. }) = make {
            let longest = design.shop.dies[die].longest;
            if raw_length > longest {
                findings.push(Finding {
                    level: Level::Failure,
                    code: "tube-too-long",
                    place: run.to_owned(),
                    message: format!(
                        "a piece needs {} of raw tube, more than the bender takes; no straight is left to split it on",
                        design.units.written(raw_length)
                    ),
                    value: Some(raw_length),
                    limit: Some(longest),
                });
            }
        }
        shares.push(Share { from: pair[0], to: pair[1], make });
    }
    shares
}

impl Drawing {
    /// Adds weld shrinkage to the raw tube's ends, mm.
    pub(crate) fn lengthen(&mut self, ends: [f64; 2]) {
        self.raw_length += ends[0] + ends[1];
        for mark in &mut self.marks {
            mark.begin += ends[0];
            mark.end += ends[0];
            mark.tape += ends[0];
        }
    }
}

/// A straight that may carry a joint.
struct Place {
    station: f64,
    straight: f64,
    forced: bool,
}

/// The die for a tube and a centreline radius.
fn die(design: &Design, section: Section, radius: f64) -> Option<usize> {
    let fits = |d: &Die| (d.od - section.od).abs() < 0.01 && (d.clr - radius).abs() < 0.01;
    design.shop.dies.iter().position(fits)
}

/// Failures of the bends themselves: no die, or more than the die bends. Where the shop file lists no
/// dies at all nothing is known of the bender, and a missing die is a warning.
fn report_bends(
    design: &Design,
    run: &str,
    line: &Centreline,
    section: Section,
    findings: &mut Vec<Finding>,
) {
    let rows = line.rows().rows;
    if design.shop.dies.is_empty() && !rows.is_empty() {
        if findings.iter().any(|f| f.code == "no-die" && f.place == run) {
            return;
        }
        findings.push(Finding {
            level: Level::Warning,
            code: "no-die",
            place: run.to_owned(),
            message:
                "the shop names no bender's dies: its bend sheet holds net angles and stations, without \
                      springback, stretch, grip or trim"
                    .into(),
            value: None,
            limit: None,
        });
        return;
    }
    for (i, row) in rows.iter().enumerate() {
        let failure = |code, message, value, limit| Finding {
            level: Level::Failure,
            code,
            place: run.to_owned(),
            message,
            value: Some(value),
            limit,
        };
        match die(design, section, row.radius).map(|d| &design.shop.dies[d]) {
            None => findings.push(failure(
                "no-die",
                format!(
                    "bend {} has a centreline radius of {} on a tube of {}, and the shop file has no die for that",
                    i + 1,
                    design.units.written(row.radius),
                    design.units.written(section.od)
                ),
                row.radius,
                None,
            )),
            Some(die) if row.bend > die.largest + 1e-9 => {
                let (value, limit) = (to_degrees(row.bend), to_degrees(die.largest));
                findings.push(failure(
                    "bend-beyond-die",
                    format!(
                        "bend {} is {value:.1} degrees; die `{}` bends up to {limit:.1}: make it in two bends",
                        i + 1,
                        die.name
                    ),
                    value,
                    Some(limit),
                ));
            }
            Some(_) => {}
        }
    }
}

/// The middles of all straights of the line, and whether each has to be split.
fn candidates(design: &Design, line: &Centreline, section: Section) -> Vec<Place> {
    let rows = line.rows();
    let mut places = Vec::new();
    let mut station = 0.0;
    for (i, row) in rows.rows.iter().enumerate() {
        let forced = i > 0 && {
            let last = rows.rows[i - 1].radius;
            let grip = die(design, section, row.radius).map_or(0.0, |d| design.shop.dies[d].grip);
            (last - row.radius).abs() > 0.01 || row.feed < grip - 1e-9
        };
        places.push(Place { station: station + 0.5 * row.feed, straight: row.feed, forced });
        station += row.feed + row.radius * row.bend;
    }
    places.push(Place { station: station + 0.5 * rows.tail, straight: rows.tail, forced: false });
    places.retain(|p| p.forced || p.straight > 0.0);
    places
}

/// The stations of the piece ends: 0, the splits, the length. Fewest splits, then the longest straights.
fn split(places: &[Place], length: f64, fits: impl Fn(f64, f64) -> bool) -> Vec<f64> {
    // best[i]: cost of the best way to end a piece at place i - 1 (0: the start), and the place before.
    let station = |i: usize| if i == 0 { 0.0 } else { places.get(i - 1).map_or(length, |p| p.station) };
    let last = places.len() + 1;
    let mut best: Vec<Option<(Cost, usize)>> = vec![None; last + 1];
    best[0] = Some((Cost::default(), 0));
    for to in 1..=last {
        for from in (0..to).rev() {
            if let Some((cost, _)) = best[from] {
                let mut cost = cost;
                cost.too_long += usize::from(!fits(station(from), station(to)));
                cost.joints += usize::from(to < last);
                cost.straights -= places.get(to - 1).map_or(0.0, |p| p.straight);
                if best[to].is_none_or(|(other, _)| cost.less(&other)) {
                    best[to] = Some((cost, from));
                }
            }
            let passed = from.checked_sub(1).and_then(|p| places.get(p));
            if passed.is_some_and(|p| p.forced) {
                break;
            }
        }
    }
    let mut ends = vec![length];
    let mut at = last;
    while at > 0 {
        at = best[at].map_or(0, |b| b.1);
        ends.push(station(at));
    }
    ends.reverse();
    ends
}

#[derive(Clone, Copy, Default)]
struct Cost {
    too_long: usize,
    joints: usize,
    straights: f64,
}

impl Cost {
    fn less(&self, other: &Cost) -> bool {
        (self.too_long, self.joints)
            .cmp(&(other.too_long, other.joints))
            .then(self.straights.total_cmp(&other.straights))
            .is_lt()
    }
}

/// The raw tube for a piece; `None` for a piece without bends.
pub(crate) fn drawing(design: &Design, line: &Centreline, section: Section) -> Option<Drawing> {
    let rows = line.rows();
    let radius = rows.rows.first()?.radius;
    let die = die(design, section, radius);
    let Some(settings) = die.map(|d| &design.shop.dies[d]) else {
        return Some(plan(None, End::Start, [0.0; 2], line));
    };
    let (first, last) = (rows.rows[0].feed, rows.tail);
    let missing = |grip_end: f64, tail_end: f64| {
        ((settings.grip - grip_end).max(0.0), (settings.tail - tail_end).max(0.0))
    };
    let (start_first, end_first) = (missing(first, last), missing(last, first));
    let (first_in, extra) = if end_first.0 + end_first.1 < start_first.0 + start_first.1 - 1e-9 {
        (End::End, [end_first.1, end_first.0])
    } else {
        (End::Start, [start_first.0, start_first.1])
    };
    let trims = extra.map(|e| e + settings.trim);
    let mut drawing = plan(Some(settings), first_in, trims, line);
    drawing.die = die;
    Some(drawing)
}

/// Marks on the raw tube: net stations, less the stretch of the bends before, plus the trim.
fn plan(die: Option<&Die>, first_in: End, trims: [f64; 2], line: &Centreline) -> Drawing {
    let mut marks = Vec::new();
    let mut station = trims[0];
    let rows = line.rows();
    for row in &rows.rows {
        let begin = station + row.feed;
        let grown = die.map_or(0.0, |d| d.stretch * row.bend);
        let end = begin + row.radius * row.bend - grown;
        let opens = die.map_or(0.0, |d| d.springback * row.bend + d.springback_fixed);
        let tape = match (die.map_or(Reference::Start, |d| d.reference), first_in) {
            (Reference::Start, End::Start) => begin,
            (Reference::Start, End::End) => end,
            (Reference::ClampFace(ahead), End::Start) => begin - ahead,
            (Reference::ClampFace(ahead), End::End) => end + ahead,
            (Reference::Middle, _) => 0.5 * (begin + end),
        };
        marks.push(BendMark { set_angle: row.bend + opens, begin, end, tape });
        station = end;
    }
    Drawing { die: None, first_in, raw_length: station + rows.tail + trims[1], trims, marks }
}
