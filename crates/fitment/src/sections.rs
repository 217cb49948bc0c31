//! Points around a length of a strand, and how thin it is there.

use std::f64::consts::{PI, TAU};

use geom::math::cos;
use geom::{DVec3, Frame};
use tube::centreline::{Segment, Span};

use crate::profile::Profile;
use crate::strand::Strand;

/// A strand's spans, found once.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    spans: Vec<Span>,
}

impl Course {
    pub(crate) fn of(strand: &Strand) -> Course {
        Course { spans: strand.line.spans() }
    }

    pub(crate) fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// The span that holds `station`; at the border of two the one upstream.
    pub(crate) fn span_at(&self, station: f64) -> &Span {
        let last = self.spans.len() - 1;
        &self.spans[self.spans.iter().position(|s| station <= s.to).unwrap_or(last)]
    }

    /// The frame at `station`, clock 0 on the scribe line.
    pub(crate) fn frame_at(&self, station: f64) -> Frame {
        let span = self.span_at(station);
        span.frame_at(station - span.from)
    }
}

/// Points of circles around a length of a strand: at its ends, where its radius changes, and along its bends. It lies
/// within their hull.
pub(crate) fn points_around(strand: &Strand, course: &Course, from: f64, to: f64) -> Vec<DVec3> {
    let mut points = Vec::new();
    for pair in strand.outside.points.windows(2) {
        let [(a, at_a), (b, at_b)] = [pair[0], pair[1]];
        let (begin, end) = (a.max(from), b.min(to));
        if end <= begin {
            continue;
        }
        for station in stations(course, begin, end) {
            let radius = at_a + (at_b - at_a) * (station - a) / (b - a);
            let frame = course.frame_at(station);
            let sagitta = match course.span_at(station).segment {
                Segment::Arc { radius: bend, .. } => (bend + radius) * (1.0 - cos(0.5 * STEP)),
                Segment::Straight { .. } => 0.0,
            };
            let rho = (radius + sagitta) / cos(PI / AROUND as f64);
            points.extend((0..AROUND).map(|k| frame.point(0.0, TAU * k as f64 / AROUND as f64, rho)));
        }
    }
    points
}

/// The least radius of a profile between two stations; infinite where it has none there.
pub(crate) fn narrowest(profile: &Profile, from: f64, to: f64) -> f64 {
    let mut least = f64::INFINITY;
    for pair in profile.points.windows(2) {
        let [(a, at_a), (b, at_b)] = [pair[0], pair[1]];
        let (begin, end) = (a.max(from), b.min(to));
        if end > begin {
            let radius = |station: f64| at_a + (at_b - at_a) * (station - a) / (b - a);
            least = least.min(radius(begin)).min(radius(end));
        }
    }
    least
}

/// The two ends, the borders of the spans between, and steps along its bends.
fn stations(course: &Course, from: f64, to: f64) -> Vec<f64> {
    let mut stations = vec![from];
    for span in course.spans() {
        let (begin, end) = (span.from.max(from), span.to.min(to));
        let steps = match span.segment {
            Segment::Arc { radius, .. } if radius > 0.0 => ((end - begin) / radius / STEP).ceil().max(1.0),
            _ => 1.0,
        };
        if end > begin {
            stations.extend((1..=steps as usize).map(|k| begin + (end - begin) * k as f64 / steps));
        }
    }
    stations
}

/// Points around a circle.
const AROUND: usize = 16;

/// Step along a bend, rad: 6 degrees.
const STEP: f64 = 6.0 / 180.0 * PI;
