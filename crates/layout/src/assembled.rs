//! Runs cut from bought bends and straight tube.

use geom::unit::Units;
use spec::shop::StockBend;
use spec::{Design, Finding, Level};
use tube::{Centreline, End, Section, Segment};

use crate::layout::{Cutting, Make};
use crate::runs::Share;

/// The pieces of a stretch of a run with one section, in the direction of travel.
///
/// Each bend is cut from one stock bend, or, larger than any, from equal shares of several, joined
/// inside the arc. What each bend keeps of its legs is chosen over the whole stretch together: fewest
/// pieces first, then least stock left over.
pub(crate) fn shares(
    design: &Design,
    run: &str,
    line: &Centreline,
    section: Section,
    findings: &mut Vec<Finding>,
) -> Vec<Share> {
    let bends = bends(design, run, line, section, findings);
    let tail = line.rows().tail;
    if bends.is_empty() {
        return vec![Share { from: 0.0, to: line.length(), make: Make::Straight }];
    }
    let least = design.shop.least_piece;
    let chosen = choose(&bends, tail, least);
    let mut shares = Vec::new();
    let (mut station, mut kept_after) = (0.0, 0.0);
    for (i, bend) in bends.iter().enumerate() {
        let option = &bend.options[chosen[i]];
        let before = if i == 0 { 0.0 } else { bends[i - 1].options[chosen[i - 1]].legs[1] };
        let after_limit = if i == 0 { 0.0 } else { before };
        let gap = divide(bend.feed, after_limit, option.legs[0], i == 0, false, least);
        if let Some(last) = shares.last_mut().filter(|_| i > 0) {
            keep(last, gap.upstream, kept_after);
            station += gap.upstream;
        }
        if gap.straight > 0.0 {
            shares.push(Share { from: station, to: station + gap.straight, make: Make::Straight });
            station += gap.straight;
        }
        let arc = bend.radius * bend.angle;
        let cutting = Cutting {
            stock: option.stock,
            legs: [gap.downstream, 0.0],
            angle: bend.angle,
            kept: option.kept,
            cut_in_arc: option.cut_in_arc,
            waste: option.developed - gap.downstream - arc,
        };
        let to = station + gap.downstream + arc;
        shares.push(Share { from: station, to, make: Make::Bought(cutting) });
        kept_after = 0.0;
        station = to;
    }
    let last = &bends[bends.len() - 1].options[chosen[bends.len() - 1]];
    let gap = divide(tail, last.legs[1], 0.0, false, true, least);
    if let Some(share) = shares.last_mut() {
        keep(share, gap.upstream, kept_after);
        station += gap.upstream;
    }
    if gap.straight > 0.0 {
        shares.push(Share { from: station, to: line.length(), make: Make::Straight });
    }
    report_short(design.units, run, &shares, least, findings);
    shares
}

/// A bend to be cut, and the ways to cut it.
struct Bend {
    feed: f64,
    angle: f64,
    radius: f64,
    options: Vec<Choice>,
}

/// One way to cut a bend from stock.
struct Choice {
    stock: Option<usize>,
    /// Straight that can be kept before and after the arc, mm.
    legs: [f64; 2],
    kept: End,
    cut_in_arc: bool,
    /// Length of the stock bend along its centreline, mm.
    developed: f64,
}

/// How a straight between two bends is made up: of the bend upstream, a piece of its own, the bend
/// downstream, mm.
struct Gap {
    upstream: f64,
    straight: f64,
    downstream: f64,
}

/// Lets the last bend keep `leg` mm after its arc.
fn keep(share: &mut Share, leg: f64, already: f64) {
    share.to += leg - already;
    if let Make::Bought(cutting) = &mut share.make {
        cutting.legs[1] = leg;
        cutting.waste -= leg;
    }
}

/// Makes up a straight from the legs on both sides; what they lack is a piece of its own, never
/// shorter than `least` where the straight holds that much.
fn divide(length: f64, before: f64, after: f64, first: bool, last: bool, least: f64) -> Gap {
    let (before, after) = (if first { 0.0 } else { before }, if last { 0.0 } else { after });
    if before + after >= length - 1e-9 {
        let upstream = before.min((0.5 * length).max(length - after));
        return Gap { upstream, straight: 0.0, downstream: length - upstream };
    }
    let straight = (length - before - after).max(least.min(length));
    let over = before + after + straight - length;
    let upstream = (before - over).max(0.0);
    Gap { upstream, straight, downstream: length - straight - upstream }
}

/// The bends of a line with their choices; one without stock is a failure, once for each bend.
fn bends(
    design: &Design,
    run: &str,
    line: &Centreline,
    section: Section,
    findings: &mut Vec<Finding>,
) -> Vec<Bend> {
    let mut bends = Vec::new();
    let mut feed = 0.0;
    for segment in &line.segments {
        let (radius, angle) = match *segment {
            Segment::Straight { length } => {
                feed += length;
                continue;
            }
            Segment::Arc { radius, angle, .. } => (radius, angle),
        };
        let fits = |b: &StockBend| {
            (b.od - section.od).abs() < 0.01
                && (b.wall - section.wall).abs() < 0.005
                && b.alloy == section.alloy
                && (b.clr - radius).abs() < 0.01
        };
        let stock: Vec<usize> =
            (0..design.shop.bends.len()).filter(|&i| fits(&design.shop.bends[i])).collect();
        let largest = stock.iter().map(|&i| design.shop.bends[i].angle).fold(0.0, f64::max);
        if stock.is_empty() {
            findings.push(no_stock(design.units, run, radius, section));
        }
        let parts = if largest > 0.0 { ((angle - SAME_ANGLE) / largest).ceil().max(1.0) } else { 1.0 };
        for _ in 0..parts as usize {
            let options = choices(design, &stock, angle / parts);
            bends.push(Bend { feed, angle: angle / parts, radius, options });
            feed = 0.0;
        }
    }
    bends
}

/// Bends within this of a stock bend's angle use it whole, rad: 0.01 degree.
const SAME_ANGLE: f64 = 1.75e-4;

fn no_stock(units: Units, run: &str, radius: f64, section: Section) -> Finding {
    Finding {
        level: Level::Failure,
        code: "no-stock-bend",
        place: run.to_owned(),
        message: format!(
            "the shop file has no bend of {} OD, {:.3} mm wall, {} with a centreline radius of {}",
            units.written(section.od),
            section.wall,
            section.alloy.name,
            units.written(radius)
        ),
        value: Some(radius),
        limit: None,
    }
}

/// Every way to cut `angle` from the stock bends that fit.
fn choices(design: &Design, stock: &[usize], angle: f64) -> Vec<Choice> {
    let mut options = Vec::new();
    for &index in stock {
        let bend = &design.shop.bends[index];
        let developed = bend.legs[0] + bend.legs[1] + bend.clr * bend.angle;
        let mut offer = |legs: [f64; 2], kept, cut_in_arc| {
            options.push(Choice { stock: Some(index), legs, kept, cut_in_arc, developed });
        };
        let [a, b] = bend.legs;
        if (bend.angle - angle).abs() <= SAME_ANGLE {
            offer([a, b], End::Start, false);
            offer([b, a], End::Start, false);
        } else if bend.angle > angle {
            for leg in [a, b] {
                offer([leg, 0.0], End::Start, true);
                offer([0.0, leg], End::End, true);
            }
        }
    }
    if options.is_empty() {
        let none =
            Choice { stock: None, legs: [0.0; 2], kept: End::Start, cut_in_arc: false, developed: 0.0 };
        options.push(none);
    }
    options
}

/// The choice for each bend: fewest pieces, then least waste (dynamic programme along the line).
fn choose(bends: &[Bend], tail: f64, least: f64) -> Vec<usize> {
    // A straight too short to hold counts as a further piece.
    let cost = |gap: &Gap| {
        let pieces =
            usize::from(gap.straight > 0.0) + usize::from(gap.straight > 0.0 && gap.straight < least);
        (pieces, -(gap.upstream + gap.downstream))
    };
    let mut table: Vec<Vec<((usize, f64), usize)>> = Vec::with_capacity(bends.len());
    for (i, bend) in bends.iter().enumerate() {
        let column = bend.options.iter().map(|option| {
            let ways = if i == 0 { 1 } else { bends[i - 1].options.len() };
            let best = (0..ways).map(|before| {
                let (so_far, leg) = match i.checked_sub(1) {
                    Some(p) => (table[p][before].0, bends[p].options[before].legs[1]),
                    None => ((0, 0.0), 0.0),
                };
                let add = cost(&divide(bend.feed, leg, option.legs[0], i == 0, false, least));
                ((so_far.0 + add.0, so_far.1 + add.1 + option.developed), before)
            });
            best.min_by(|a, b| order(a.0, b.0)).unwrap_or(((0, 0.0), 0))
        });
        let column = column.collect();
        table.push(column);
    }
    let last = bends.len() - 1;
    let ends = table[last].iter().enumerate().map(|(i, (so_far, _))| {
        let add = cost(&divide(tail, bends[last].options[i].legs[1], 0.0, false, true, least));
        ((so_far.0 + add.0, so_far.1 + add.1), i)
    });
    let mut at = ends.min_by(|a, b| order(a.0, b.0)).map_or(0, |e| e.1);
    let mut chosen = vec![at];
    for column in table.iter().skip(1).rev() {
        at = column[at].1;
        chosen.push(at);
    }
    chosen.reverse();
    chosen
}

fn order(a: (usize, f64), b: (usize, f64)) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

fn report_short(units: Units, run: &str, shares: &[Share], least: f64, findings: &mut Vec<Finding>) {
    for share in shares.iter().filter(|s| s.make == Make::Straight && s.to - s.from < least - 1e-9) {
        findings.push(Finding {
            level: Level::Warning,
            code: "short-piece",
            place: run.to_owned(),
            message: format!(
                "a straight piece is only {} long: hard to hold and weld",
                units.written(share.to - share.from)
            ),
            value: Some(share.to - share.from),
            limit: Some(least),
        });
    }
}
