//! Fittings in space, with what heat does to them.

use spec::design::FittingPart;
use tube::Section;

/// A fitting on a run.
#[derive(Clone, Debug)]
pub struct Fitting {
    /// The name of its table in the spec.
    pub name: String,
    /// Which of the design's fittings it is.
    pub part: FittingPart,
    /// Index of its run.
    pub run: usize,
    /// Stations on the run that its parts take, mm; at the run's ends they may reach beyond.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Indices of its parts, in the direction of travel.
    pub pieces: Vec<usize>,
    /// What the run's growth asks of it: slip joints and bellows.
    pub movement: Option<Movement>,
    /// How its tubes slide: slip joints.
    pub slide: Option<Slide>,
}

/// What growth asks of a fitting that moves, the worse of two cases: the two sides of its run grow freely from its
/// two ends, which are taken as fixed, toward the fitting; or the ends are pushed as
/// [`Net::firm`](crate::net::Net::firm) has it. A free end asks nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Movement {
    /// Mean temperature of the run's metal when hot, degrees C: the highest of its stretches.
    pub hot: f64,
    /// Whether that temperature is the alloy's, for want of one in the spec.
    pub assumed: bool,
    /// How far its two ends come together along its axis when hot, mm; below 0: they draw apart.
    pub axial: f64,
    /// How far they move across its axis, mm.
    pub lateral: f64,
}

/// The sliding of a slip joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Slide {
    /// How far the sliding tube stands in its sleeve, mm.
    pub insertion: Stages,
    /// Distance between the two tubes' ends, mm.
    pub room: Stages,
    /// How far it is drawn apart when hot, at most, mm; 0 where it only closes.
    pub drawn: f64,
    /// The least insertion that is wanted at any temperature, mm.
    pub least: f64,
    /// Its sliding fits and those of its sockets.
    pub fits: Vec<Fit>,
}

/// A distance at three temperatures, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stages {
    /// In frost, at [`COLD`].
    pub cold: f64,
    /// As assembled, at [`tube::alloy::SHOP_TEMPERATURE`].
    pub assembly: f64,
    /// When hot.
    pub hot: f64,
}

/// The lowest temperature that a parked header sees, degrees C (common practice, no source).
pub const COLD: f64 = -20.0;

/// A tube in a tube: the gap between them on the diameter, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// What goes into what, in words.
    pub what: &'static str,
    /// Whether it slides; else it is welded.
    pub slides: bool,
    /// The tube inside.
    pub inner: Section,
    /// The tube around it.
    pub outer: Section,
    /// Bore less outside diameter.
    pub nominal: f64,
    /// At the limits of both tubes' tolerances.
    pub smallest: f64,
    /// See `smallest`.
    pub largest: f64,
}

impl Fit {
    /// The fit of `inner` in `outer`, at their own tolerances.
    pub fn of(what: &'static str, slides: bool, inner: Section, outer: Section) -> Fit {
        let tolerances = [inner, outer].map(|section| tube::Tolerance::of(&section));
        let (outside, bore) = (tolerances[0].outside(&inner), tolerances[1].bore(&outer));
        Fit {
            what,
            slides,
            inner,
            outer,
            nominal: outer.bore() - inner.od,
            smallest: bore[0] - outside[1],
            largest: bore[1] - outside[0],
        }
    }
}
