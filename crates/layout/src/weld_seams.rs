//! Where the seam of welded tube should lie on each piece.
//!
//! The seam is to stay off the inside and the outside of every bend, near the neutral axis, 45 to 90 degrees
//! from the bend's plane (common practice, no source); off the throat and the back of mitres; off holes; and
//! on a merge's leg off the seams between the legs. The best clock is where the least angular distance from
//! all of these is largest.

use std::f64::consts::{FRAC_PI_4, PI, TAU};

use geom::angle::{to_degrees, wrap_signed, wrap_turn};
use spec::{Design, Finding, Level};

use crate::layout::{Layout, Make, Owner, Part, WeldSeam};

/// What a seam keeps away from: its middle and half its width, rad.
#[derive(Clone, Copy, Debug)]
struct Avoid {
    middle: f64,
    half: f64,
}

/// Two distances that differ by less are equal, rad.
const SAME: f64 = 1e-9;

/// The weld seam of each piece; `None` where the tube has none, where it can lie anywhere, and where it is as
/// bought.
pub(crate) fn of(design: &Design, layout: &Layout) -> Vec<Option<WeldSeam>> {
    let welded = |part: &Part| part.piece.section().is_some_and(|s| !design.seamless.contains(&s));
    let mut seams: Vec<Option<WeldSeam>> = layout
        .pieces
        .iter()
        .map(|part| if welded(part) { best(&avoided(part, 0.0)) } else { None })
        .collect();
    // Segments are sawn from one stick, every second one turned half a turn: one seam for all of them.
    for stick in layout.sticks() {
        let turned = |i: usize| PI * i as f64;
        let holes = stick.iter().enumerate().flat_map(|(i, &p)| avoided(&layout.pieces[p], turned(i)));
        let mut avoid: Vec<Avoid> = holes.collect();
        for (i, &piece) in stick[..stick.len() - 1].iter().enumerate() {
            let back = layout.pieces[piece].piece.end.roll + turned(i);
            avoid.extend([back, back + PI].map(|middle| Avoid { middle, half: 0.0 }));
        }
        let seam = best(&avoid);
        for (i, &piece) in stick.iter().enumerate() {
            let own = seam.map(|s| WeldSeam { clock: wrap_turn(s.clock - turned(i)), ..s });
            seams[piece] = own.filter(|_| welded(&layout.pieces[piece]));
        }
    }
    seams
}

/// What the seam of a piece keeps away from, at the piece's clocks and `turned` by so much.
fn avoided(part: &Part, turned: f64) -> Vec<Avoid> {
    let piece = &part.piece;
    let mut clocks = Vec::new();
    match part.make {
        Make::Drawn(_) => {
            let mut plane = 0.0;
            for row in piece.rows().rows {
                plane += row.rotate;
                clocks.extend([plane, plane + PI]);
            }
        }
        // On the axis' side of a leg lie the seams with its neighbours.
        Make::Straight if matches!(part.owner, Owner::Merge(_)) => clocks.push(piece.end.roll + PI),
        // A stick's mitres are looked at together.
        Make::Straight | Make::Segment | Make::Bought(_) | Make::Cone | Make::Whole(_) => {}
    }
    let mut avoid: Vec<Avoid> =
        clocks.into_iter().map(|middle| Avoid { middle: middle + turned, half: 0.0 }).collect();
    if !matches!(part.make, Make::Bought(_) | Make::Cone | Make::Whole(_)) {
        avoid.extend(piece.holes.iter().map(|hole| {
            let (_, (from, to)) = hole.extent(piece);
            Avoid { middle: 0.5 * (from + to) + turned, half: 0.5 * (to - from) }
        }));
    }
    avoid
}

/// The clock with the largest least distance: exact, for that distance is the least of functions that rise
/// and fall evenly with the clock, so it is largest midway between two edges, or opposite the only one. Of
/// equals the one of least clock. Nothing to avoid: `None`.
fn best(avoid: &[Avoid]) -> Option<WeldSeam> {
    let off = |clock: f64, a: &Avoid| wrap_signed(clock - a.middle).abs() - a.half;
    let clear = |clock: f64| avoid.iter().map(|a| off(clock, a)).fold(f64::INFINITY, f64::min);
    let mut candidates = Vec::new();
    for a in avoid {
        candidates.push(wrap_turn(a.middle + PI));
        for b in avoid {
            let (from, to) = (a.middle + a.half, b.middle - b.half);
            let gap = wrap_turn(to - from);
            candidates.extend([wrap_turn(from + 0.5 * gap), wrap_turn(from + 0.5 * gap + PI)]);
        }
    }
    candidates.sort_by(f64::total_cmp);
    let seam = |clock: f64| WeldSeam { clock, clear: clear(clock) };
    let better = |best: WeldSeam, next: WeldSeam| if next.clear > best.clear + SAME { next } else { best };
    candidates.into_iter().map(seam).reduce(better)
}

/// Notes, once for each run, of pieces whose seam cannot stay 45 degrees off the planes of its bends.
pub(crate) fn report(layout: &Layout, findings: &mut Vec<Finding>) {
    for run in &layout.runs {
        let near = run.pieces.iter().filter_map(|&p| Some((p, layout.weld_seams[p]?.clear)));
        let near: Vec<(usize, f64)> = near.filter(|(_, clear)| *clear < FRAC_PI_4 - SAME).collect();
        let least = near.iter().map(|n| n.1).fold(TAU, f64::min);
        if near.is_empty() {
            continue;
        }
        let marks: Vec<&str> = near.iter().map(|&(p, _)| layout.pieces[p].mark.as_str()).collect();
        findings.push(Finding {
            level: Level::Note,
            code: "seam-near-bend",
            place: run.name.clone(),
            message: format!(
                "nowhere does a weld seam stay 45 degrees off the inside and outside of every bend and off every hole \
                 of {}; the best clock keeps {:.1} degrees: seamless tube is safer there, or look at the seam after bending",
                marks.join(", "),
                to_degrees(least)
            ),
            value: Some(to_degrees(least)),
            limit: Some(45.0),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::angle::from_degrees;

    fn around(clocks: &[(f64, f64)]) -> Option<(f64, f64)> {
        let avoid = clocks.iter().map(|c| Avoid { middle: from_degrees(c.0), half: from_degrees(c.1) });
        let seam = best(&avoid.collect::<Vec<_>>())?;
        Some((to_degrees(seam.clock), to_degrees(seam.clear)))
    }

    fn is(clocks: &[(f64, f64)], clock: f64, clear: f64) {
        let found = around(clocks).unwrap();
        assert!((found.0 - clock).abs() < 1e-9 && (found.1 - clear).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn the_best_clock_is_midway_in_the_widest_gap() {
        is(&[(0.0, 0.0), (180.0, 0.0)], 90.0, 90.0);
        is(&[(0.0, 0.0), (180.0, 0.0), (60.0, 0.0), (240.0, 0.0)], 120.0, 60.0);
        is(&[(90.0, 20.0)], 270.0, 160.0);
        is(&[(350.0, 20.0), (100.0, 30.0)], 230.0, 100.0);
        assert!(around(&[]).is_none());
    }

    #[test]
    fn no_clock_of_a_fine_search_is_better() {
        let mut seed = 7_u32;
        let mut random = |to: f64| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed >> 8) / f64::from(1 << 24) * to
        };
        for _ in 0..300 {
            let count = 1 + random(7.0) as usize;
            let clocks: Vec<(f64, f64)> = (0..count).map(|_| (random(360.0), random(40.0))).collect();
            let (_, clear) = around(&clocks).unwrap();
            let least = |at: f64| {
                let off = |c: &(f64, f64)| ((at - c.0 + 540.0).rem_euclid(360.0) - 180.0).abs() - c.1;
                clocks.iter().map(off).fold(f64::INFINITY, f64::min)
            };
            let searched = (0..36_000).map(|i| least(0.01 * f64::from(i))).fold(f64::NEG_INFINITY, f64::max);
            assert!(clear >= searched - 1e-9 && clear <= searched + 0.011, "{clocks:?}: {clear}, {searched}");
        }
    }
}
