//! What a header's fittings show: findings.

use geom::unit::{INCH, Units, fixed};
use spec::design::{Bellows, FittingPart, To};
use spec::{Design, Finding, Level};

use crate::fitting::{Fit, Fitting, Movement, Slide};
use crate::layout::Layout;

/// Adds what slip joints, bellows and couplings show.
pub(crate) fn findings(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    let mut fits: Vec<(&str, Fit)> = Vec::new();
    for fitting in &layout.fittings {
        let seen = Seen { design, layout, fitting };
        if let Some(movement) = &fitting.movement {
            seen.temperature(movement, found);
        }
        match (fitting.part, &fitting.movement, &fitting.slide) {
            (FittingPart::Slip(slip), Some(movement), Some(slide)) => {
                seen.sliding(movement, slide, found);
                if design.slips[slip].tabs == 0 {
                    seen.tabs(found);
                }
                for fit in &slide.fits {
                    // Its sliding fits come first; a socket of the same two tubes tells nothing new.
                    let same = |(name, other): &(&str, Fit)| {
                        *name == fitting.name && (other.inner, other.outer) == (fit.inner, fit.outer)
                    };
                    if !fits.iter().any(same) {
                        fits.push((&fitting.name, *fit));
                    }
                }
            }
            (FittingPart::Bellows(bellows), Some(movement), _) => {
                seen.allowance(&design.bellows[bellows], movement, found);
                seen.straights(&design.bellows[bellows], found);
            }
            _ => {}
        }
    }
    for (name, fit) in fits {
        self::fit(design, name, &fit, found);
    }
    neighbours(design, layout, found);
}

/// A fitting with all that is known of it.
struct Seen<'a> {
    design: &'a Design,
    layout: &'a Layout,
    fitting: &'a Fitting,
}

impl Seen<'_> {
    fn finding(
        &self,
        level: Level,
        code: &'static str,
        message: String,
        (value, limit): (f64, Option<f64>),
    ) -> Finding {
        let place = self.layout.runs[self.fitting.run].name.clone();
        let message = format!("{} `{}`: {message}", self.noun(), self.fitting.name);
        Finding { level, code, place, message, value: Some(value), limit }
    }

    fn noun(&self) -> &'static str {
        crate::fittings::noun(self.design, self.fitting.part)
    }

    fn written(&self, mm: f64) -> String {
        self.design.units.written(mm)
    }

    fn temperature(&self, movement: &Movement, found: &mut Vec<Finding>) {
        if movement.assumed {
            let message = format!(
                "growth is reckoned at {:.0} degrees C, as this alloy's tube commonly gets (rough): give the run \
                 its `hot`",
                movement.hot
            );
            found.push(self.finding(Level::Note, "hot-assumed", message, (movement.hot, None)));
        }
    }

    fn sliding(&self, movement: &Movement, slide: &Slide, found: &mut Vec<Finding>) {
        if slide.room.hot <= 0.0 {
            let grown = slide.room.assembly - slide.room.hot;
            let message = format!(
                "the run grows {} along it, more than its room of {}: the tubes would push on each other; make \
                 `room` more than {}",
                self.written(grown),
                self.written(slide.room.assembly),
                self.written(grown)
            );
            found.push(self.finding(Level::Failure, "slip-no-room", message, (slide.room.hot, Some(0.0))));
        }
        let least = slide.insertion.cold.min(slide.insertion.assembly - slide.drawn);
        let numbers = (least, Some(slide.least));
        if least <= 0.0 {
            let message = format!(
                "the run draws it apart by more than its insertion of {}: it comes out of its sleeve",
                self.written(slide.insertion.assembly)
            );
            found.push(self.finding(Level::Failure, "slip-comes-out", message, numbers));
        } else if least < slide.least {
            let message = format!(
                "its insertion falls to {}, less than {}: it leaks and rocks; make `insertion` {}",
                self.written(least),
                self.written(slide.least),
                self.written(slide.insertion.assembly + slide.least - least)
            );
            found.push(self.finding(Level::Warning, "slip-short", message, numbers));
        }
        if movement.lateral > ACROSS {
            let message = format!(
                "it slides along its axis only: the run's growth of {} across it is left for the tubes to bend; see \
                 that no rigid bracket stands in the way",
                self.written(movement.lateral)
            );
            found.push(self.finding(Level::Note, "slip-across", message, (movement.lateral, Some(ACROSS))));
        }
    }

    fn tabs(&self, found: &mut Vec<Finding>) {
        let message = "it has no tabs: nothing but its neighbours keeps the tubes in each other".into();
        found.push(self.finding(Level::Note, "slip-without-tabs", message, (0.0, None)));
    }

    fn allowance(&self, bellows: &Bellows, movement: &Movement, found: &mut Vec<Finding>) {
        let demanded =
            [(movement.axial.abs(), bellows.axial, "along"), (movement.lateral, bellows.lateral, "across")];
        let mut used = 0.0;
        for (asked, allowed, way) in demanded {
            used += if asked > 0.0 { asked / allowed } else { 0.0 };
            if asked > allowed {
                let message = format!(
                    "growth asks {} {way} its axis, and {} is allowed: use a larger one, or two, or let \
                     the run give elsewhere",
                    self.written(asked),
                    self.written(allowed)
                );
                found.push(self.finding(
                    Level::Failure,
                    "bellows-overworked",
                    message,
                    (asked, Some(allowed)),
                ));
            }
        }
        let within = demanded.iter().all(|(asked, allowed, _)| asked <= allowed);
        if within && used > 1.0 {
            let message = format!(
                "it is asked {} along and {} across at once, together {:.0} % of what is allowed",
                self.written(demanded[0].0),
                self.written(demanded[1].0),
                100.0 * used
            );
            found.push(self.finding(Level::Warning, "bellows-both-ways", message, (used, Some(1.0))));
        }
    }

    /// The straights beside a bellows: to the nearest bend, the nearest fitting, or the run's end.
    fn straights(&self, bellows: &Bellows, found: &mut Vec<Finding>) {
        let run = &self.layout.runs[self.fitting.run];
        let (from, to) = (self.fitting.from, self.fitting.to);
        let least = bellows.straight.unwrap_or(bellows.tube.od);
        let bends = run.centreline.spans().into_iter().filter(tube::Span::is_arc).map(|s| (s.from, s.to));
        let others = self.layout.fittings.iter().filter(|f| f.run == self.fitting.run && f.from != from);
        let taken: Vec<(f64, f64)> = bends.chain(others.map(|f| (f.from, f.to))).collect();
        let before = taken.iter().filter(|t| t.1 <= from).map(|t| from - t.1).fold(f64::INFINITY, f64::min);
        let behind = taken.iter().filter(|t| t.0 >= to).map(|t| t.0 - to).fold(f64::INFINITY, f64::min);
        for (straight, side) in [(before, "ahead of"), (behind, "behind")] {
            if straight < least {
                let message = format!(
                    "only {} straight {side} it; it wants {} for even flow and a straight pull",
                    self.written(straight),
                    self.written(least)
                );
                found.push(self.finding(
                    Level::Warning,
                    "bellows-near-bend",
                    message,
                    (straight, Some(least)),
                ));
            }
        }
    }
}

/// Growth across a slip joint above which a note is due, mm (common practice, no source).
const ACROSS: f64 = 1.0;

/// A fit at the limits of the tubes' tolerances: too tight, or too loose to slide, or both.
fn fit(design: &Design, name: &str, fit: &Fit, found: &mut Vec<Finding>) {
    // Gaps are finer than what a rule shows.
    let written = |mm: f64| match design.units {
        Units::Millimetre => format!("{} mm", fixed(mm, 2)),
        Units::Inch => format!("{} in", fixed(mm / INCH, 3)),
    };
    let (tight, loose) = (fit.smallest <= 0.0, fit.slides && fit.largest > design.shop.slip_gap);
    let mut mends = Vec::new();
    if tight {
        mends.push(
            "where it binds, select tubes that go together, or ream or expand the outer one".to_owned(),
        );
    }
    if loose {
        mends.push(format!(
            "above the shop's {} it leaks and rattles: select, or swage the outer one",
            written(design.shop.slip_gap)
        ));
    }
    if mends.is_empty() {
        return;
    }
    found.push(Finding {
        level: Level::Warning,
        code: if tight { "slip-tight" } else { "slip-loose" },
        place: name.to_owned(),
        message: format!(
            "{}: the gap of {} on the diameter is {} to {} at the limits of the tubes' tolerances: measure the stock; \
             {}",
            fit.what,
            written(fit.nominal),
            written(fit.smallest),
            written(fit.largest),
            mends.join("; ")
        ),
        value: Some(if tight { fit.smallest } else { fit.largest }),
        limit: Some(if tight { 0.0 } else { design.shop.slip_gap }),
    });
}

/// The outside radius of a run's fitting over its leg or at its end, and how far beyond the leg's inlet face
/// it reaches, mm.
fn at_leg(design: &Design, fitting: &Fitting, length: f64) -> (f64, f64) {
    let radius = match fitting.part {
        FittingPart::Slip(slip) => design.slips[slip].outer.outer(),
        FittingPart::Bellows(bellows) => 0.5 * design.bellows[bellows].od,
        FittingPart::Coupling(coupling) => {
            let coupling = &design.couplings[coupling];
            0.5 * coupling.od.max(coupling.room_od)
        }
    };
    (radius, fitting.to - length)
}

/// Fittings on neighbouring legs of a merge that stand in each other's way: the legs converge, so that they
/// are nearest at their downstream ends.
fn neighbours(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for (index, merge) in layout.merges.iter().enumerate() {
        let n = merge.legs.len();
        let inlet = merge.cluster.tip() - merge.legs.first().map_or(0.0, |leg| leg.to_tip);
        // Half the gap to the plane midway to a neighbour, of a rim of this radius at this station.
        let half = |radius: f64, s: f64| {
            let rim = tube::merge::Cluster { outer: radius, ..merge.cluster };
            0.5 * rim.gap_at(s)
        };
        for k in 0..n {
            let pair = [k, (k + 1) % n].map(|leg| merge.legs[leg].run);
            if n == 2 && k == 1 {
                continue;
            }
            let last = pair.map(|run| {
                let length = layout.runs[run].length();
                let here = |f: &&Fitting| {
                    f.run == run && matches!(design.runs[run].to, To::Leg { merge, .. } if merge == index)
                };
                let near = layout.fittings.iter().filter(here).max_by(|a, b| a.to.total_cmp(&b.to));
                near.map(|f| (at_leg(design, f, length), f.name.clone()))
            });
            let reach = last.iter().flatten().map(|l| l.0.1).fold(f64::NEG_INFINITY, f64::max);
            if reach == f64::NEG_INFINITY {
                continue;
            }
            let radius = |side: &Option<((f64, f64), String)>| match side {
                Some(((radius, to), _)) if *to >= reach - radius => *radius,
                _ => merge.cluster.outer,
            };
            let radii = [radius(&last[0]), radius(&last[1])];
            let gap = half(radii[0], inlet + reach) + half(radii[1], inlet + reach);
            if gap >= 0.0 {
                continue;
            }
            // Each mm upstream widens the gap by twice the sine of the legs' lean toward each other.
            let wider = half(radii[0], inlet + reach - 1.0) + half(radii[1], inlet + reach - 1.0) - gap;
            let needed = merge.cluster.gap_at(inlet + gap / wider);
            let names = pair.map(|run| layout.runs[run].name.as_str());
            let message = format!(
                "fittings of `{}` and `{}` run {} into each other at their legs: make inlet_gap at least {}",
                names[0],
                names[1],
                design.units.written(-gap),
                design.units.written(needed)
            );
            found.push(Finding {
                level: Level::Failure,
                code: "fittings-touch",
                place: merge.name.clone(),
                message,
                value: Some(gap),
                limit: Some(0.0),
            });
        }
    }
}
