//! Free growth of a run's metal with heat.

use geom::DVec3;
use spec::design;
use tube::Section;

use crate::layout::{Run, Stretch};

/// A run's mean temperature when hot, degrees C, where it has this section: as the spec gives it for the run, or
/// else as the alloy's tube commonly gets.
pub fn hot(run: &design::Run, section: Section) -> f64 {
    run.hot.unwrap_or(section.alloy.hot)
}

/// By how much a run grows from its start to `station` mm when it goes from the shop's temperature to `to`
/// degrees C (`None`: hot): the vector by which the point there moves away from the start, mm.
///
/// Free growth of a body at one temperature is a change of scale, so that each stretch of one section adds
/// the vector from its start to its end times its growth, whatever its bends.
pub fn grown(wanted: &design::Run, laid: &Run, station: f64, to: Option<f64>) -> DVec3 {
    let growth = |section: Section| section.alloy.growth(to.unwrap_or_else(|| hot(wanted, section)));
    let point = |station: f64| laid.centreline.frame_at(station).at;
    let ahead = laid.sections.iter().filter(|s| s.from < station);
    ahead.map(|s: &Stretch| (point(s.to.min(station)) - point(s.from)) * growth(s.section)).sum()
}
