//! What a header's fittings show: findings.

use geom::unit::{INCH, Units, fixed};
use spec::design::{Bellows, FittingPart, To};
use spec::{Design, Finding, Level};
use tube::merge::Cluster;

use crate::fitting::{Fit, Fitting, Movement, Slide};
use crate::layout::{Layout, Merge};

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

/// A fitting over a merge's leg or at its end.
struct AtLeg {
    /// Its outside radius, mm.
    radius: f64,
    /// How far beyond the leg's inlet face it reaches, mm.
    reach: f64,
}

/// The last fitting of a run, where that ends as a leg of this merge.
fn at_leg(design: &Design, layout: &Layout, merge: usize, run: usize) -> Option<AtLeg> {
    let here =
        |f: &&Fitting| f.run == run && matches!(design.runs[run].to, To::Leg { merge: m, .. } if m == merge);
    let last = layout.fittings.iter().filter(here).max_by(|a, b| a.to.total_cmp(&b.to))?;
    let radius = match last.part {
        FittingPart::Slip(slip) => design.slips[slip].outer.outer(),
        FittingPart::Bellows(bellows) => 0.5 * design.bellows[bellows].od,
        FittingPart::Coupling(coupling) => {
            let coupling = &design.couplings[coupling];
            0.5 * coupling.od.max(coupling.room_od)
        }
    };
    Some(AtLeg { radius, reach: last.to - layout.runs[run].length() })
}

/// Fittings on neighbouring legs of a merge that stand in each other's way.
fn neighbours(design: &Design, layout: &Layout, found: &mut Vec<Finding>) {
    for (index, merge) in layout.merges.iter().enumerate() {
        let legs = merge.legs.len();
        // Of two legs each is the other's only neighbour.
        let pairs = if legs == 2 { 1 } else { legs };
        let beside = (0..pairs).map(|leg| [leg, (leg + 1) % legs].map(|leg| merge.legs[leg].run));
        for runs in beside {
            let last = runs.map(|run| at_leg(design, layout, index, run));
            let names = runs.map(|run| layout.runs[run].name.as_str());
            found.extend(touching(merge, &last).map(|t| t.finding(design.units, names, &merge.name)));
        }
    }
}

/// How far the last fittings of two neighbouring legs, or a fitting and a leg, run into each other, if they do.
///
/// The legs converge, so that they are nearest at their downstream ends.
fn touching(merge: &Merge, last: &[Option<AtLeg>; 2]) -> Option<Touching> {
    let inlet = merge.cluster.tip() - merge.legs.first().map_or(0.0, |leg| leg.to_tip);
    let reach = last.iter().flatten().map(|fitting| fitting.reach).reduce(f64::max)?;
    let radius = |side: &Option<AtLeg>| match side {
        Some(fitting) if fitting.reach >= reach - fitting.radius => fitting.radius,
        _ => merge.cluster.outer,
    };
    let radii = [radius(&last[0]), radius(&last[1])];
    // Half the gap to the plane midway to a neighbour, of a rim of this radius.
    let half = |radius: f64, at: f64| 0.5 * Cluster { outer: radius, ..merge.cluster }.gap_at(at);
    let gap_at = |at: f64| half(radii[0], at) + half(radii[1], at);
    let gap = gap_at(inlet + reach);
    // Each mm upstream widens the gap by twice the sine of the legs' lean toward each other.
    let wider = gap_at(inlet + reach - 1.0) - gap;
    (gap < 0.0).then(|| Touching { gap, needed: merge.cluster.gap_at(inlet + gap / wider) })
}

/// Fittings of two neighbouring legs that run into each other.
struct Touching {
    /// The gap between them, below 0, mm.
    gap: f64,
    /// The least gap between the legs' inlets that keeps them apart, mm.
    needed: f64,
}

impl Touching {
    fn finding(&self, units: Units, runs: [&str; 2], merge: &str) -> Finding {
        let message = format!(
            "fittings of `{}` and `{}` run {} into each other at their legs: make inlet_gap at least {}",
            runs[0],
            runs[1],
            units.written(-self.gap),
            units.written(self.needed)
        );
        Finding {
            level: Level::Failure,
            code: "fittings-touch",
            place: merge.to_owned(),
            message,
            value: Some(self.gap),
            limit: Some(0.0),
        }
    }
}
