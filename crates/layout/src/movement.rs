//! What heat does to a run's fittings.
//!
//! Two cases are held against a fitting, because nothing is known of hangers, nor of how hard a joint moves, and it
//! has to stand the worse: what its run's two ends stand on stays, so that it takes all the growth between them;
//! and the net of springs ([`Net::firm`]), in which merges are pushed by what hangs on them, and a bellows behind a
//! merge takes what the primaries grow as well. Clearance has to show parts where they go, not at their worst, and so
//! takes the net alone.

use geom::DVec3;
use spec::Design;
use spec::design::{FittingPart, Slip, To};
use tube::Section;

use crate::fitting::{COLD, Fit, Fitting, Movement, Slide, Stages};
use crate::growth::{grown, hot};
use crate::layout::Layout;
use crate::net::Net;

/// Gives each fitting that moves its movement, and each slip joint its sliding.
pub(crate) fn settle(design: &Design, layout: &mut Layout) {
    let net = Net::firm(design, layout);
    let settled: Vec<(Option<Movement>, Option<Slide>)> =
        layout.fittings.iter().map(|fitting| of(design, layout, &net, fitting)).collect();
    for (fitting, (movement, slide)) in layout.fittings.iter_mut().zip(settled) {
        (fitting.movement, fitting.slide) = (movement, slide);
    }
}

fn of(design: &Design, layout: &Layout, net: &Net, fitting: &Fitting) -> (Option<Movement>, Option<Slide>) {
    if let FittingPart::Coupling(_) = fitting.part {
        return (None, None);
    }
    let wanted = &design.runs[fitting.run];
    let run = &layout.runs[fitting.run];
    let length = run.length();
    let (from, to) = (fitting.from.max(0.0), fitting.to.min(length));
    let axis = run.centreline.frame_at(0.5 * (from + to)).along;
    let held = closing(design, layout, fitting.run, None);
    let pushed = net.misfit(fitting.run).map_or(held, |misfit| -misfit / net.moving(fitting.run) as f64);
    let [along, pushed_along] = [held, pushed].map(|closing| closing.dot(axis));
    let axial = if pushed_along.abs() > along.abs() { pushed_along } else { along };
    let across = [held - axis * along, pushed - axis * pushed_along].map(DVec3::length);
    let movement = Movement {
        hot: run.sections.iter().map(|s| hot(wanted, s.section)).fold(f64::NEG_INFINITY, f64::max),
        assumed: wanted.hot.is_none(),
        axial,
        lateral: across[0].max(across[1]),
    };
    let FittingPart::Slip(slip) = fitting.part else { return (Some(movement), None) };
    let shrunk = closing(design, layout, fitting.run, Some(COLD)).dot(axis);
    let stages =
        |assembly: f64, cold: f64, hot: f64| Stages { cold: assembly + cold, assembly, hot: assembly + hot };
    let slip = &design.slips[slip];
    let section = |station: f64| {
        let found = run.sections.iter().rev().find(|s| s.from <= station);
        found.unwrap_or(&run.sections[0]).section
    };
    let tube = section(from);
    let slide = Slide {
        insertion: stages(slip.insertion, shrunk, axial),
        room: stages(slip.room, -shrunk, -along.max(pushed_along)),
        drawn: -along.min(pushed_along).min(0.0),
        least: slip.least.unwrap_or(tube.od.clamp(LEAST_INSERTION.0, LEAST_INSERTION.1)),
        fits: fits(slip, tube),
    };
    (Some(movement), Some(slide))
}

/// The least insertion is the sliding tube's diameter within these, mm (common practice, no source).
const LEAST_INSERTION: (f64, f64) = (25.0, 50.0);

/// The fits of a slip joint on a tube.
fn fits(slip: &Slip, tube: Section) -> Vec<Fit> {
    match slip.inner {
        None => vec![
            Fit::of("tube upstream in the sleeve", true, tube, slip.outer),
            Fit::of("tube downstream in the sleeve", false, tube, slip.outer),
        ],
        Some(inner) => vec![
            Fit::of("tube downstream in the outer sleeve", true, tube, slip.outer),
            Fit::of("inner sleeve in the tube downstream", true, inner, tube),
            Fit::of("tube upstream in the outer sleeve", false, tube, slip.outer),
            Fit::of("inner sleeve in the tube upstream", false, inner, tube),
        ],
    }
}

/// By how much the two sides of a break in a run come together when it goes from the shop's temperature to
/// `to` degrees C (`None`: hot), mm: each side grows freely from its own end of the run.
///
/// Each side grows freely, so that it is the growth of the whole run wherever the break is (see
/// [`grown`](crate::growth::grown)). The leg that the run ends on counts up to the merge tip. A free end asks
/// nothing.
fn closing(design: &Design, layout: &Layout, run: usize, to: Option<f64>) -> DVec3 {
    let (wanted, laid) = (&design.runs[run], &layout.runs[run]);
    let own = grown(wanted, laid, laid.length(), to);
    match wanted.to {
        To::Open => DVec3::ZERO,
        To::Leg { merge, .. } => {
            let section = design.merges[merge].section;
            let growth = section.alloy.growth(to.unwrap_or_else(|| hot(wanted, section)));
            own + laid.demanded.along * laid.beyond.unwrap_or(0.0) * growth
        }
        To::Flange(_) | To::Host(_) => own,
    }
}
