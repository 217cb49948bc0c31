//! Whether a part gets past the others while its spigots leave their sockets.
//!
//! Tubes are taken as balls along their lines, which lie within them: what is found to touch does touch. Plates and
//! other blocks are left out.

use geom::DVec3;

use crate::profile::Side;
use crate::sections::Course;
use crate::strand::Strand;

/// The balls of one atom, and one ball around them.
#[derive(Clone, Debug)]
pub(crate) struct Balls {
    balls: Vec<(DVec3, f64)>,
    middle: DVec3,
    around: f64,
}

impl Balls {
    /// Along lengths of strands: index, from, to.
    pub(crate) fn along(strands: &[Strand], courses: &[Course], lengths: &[(usize, f64, f64)]) -> Balls {
        let mut balls = Vec::new();
        for &(strand, from, to) in lengths {
            let steps = ((to - from) / STEP).ceil().max(1.0);
            let stations = (0..=steps as usize).map(|k| from + (to - from) * k as f64 / steps);
            balls.extend(stations.map(|station| {
                let at = courses[strand].frame_at(station).at;
                (at, strands[strand].outside.radius_at(station, Side::Downstream))
            }));
        }
        let count = balls.len().max(1) as f64;
        let middle = balls.iter().map(|b| b.0).sum::<DVec3>() / count;
        let around = balls.iter().map(|b| b.0.distance(middle) + b.1).fold(0.0, f64::max);
        Balls { balls, middle, around }
    }

    /// Whether these, moved along `way` step by step as far as `out`, come nearer to `other` than they may: than
    /// touching, or than they are at rest.
    pub(crate) fn touch(&self, other: &Balls, way: DVec3, out: f64) -> bool {
        if self.middle.distance(other.middle) > self.around + other.around + out {
            return false;
        }
        let pairs = self.balls.iter().flat_map(|a| other.balls.iter().map(move |b| (a, b)));
        pairs.into_iter().any(|(a, b)| {
            let (apart, sum) = (a.0 - b.0, a.1 + b.1);
            if apart.length() > sum + out {
                return false;
            }
            let least = sum.min(apart.length()) - SLACK;
            // Nearest on the way from 0 to out.
            let nearest = (-apart.dot(way)).clamp(0.0, out);
            (apart + way * nearest).length() < least
        })
    }
}

/// Distance of two balls along a strand, mm.
const STEP: f64 = 8.0;

/// How much parts may touch on the way, mm: plastic gives.
const SLACK: f64 = 0.5;
