//! Where along a centreline a place on it is.

use geom::Frame;
use geom::math::atan2;
use tube::{Centreline, Segment, Span};

/// The station, mm, of the place on `line` at which `frame` stands and travels the same way: of the nearest
/// place where it does not stand on it. Ahead of its start and beyond its end the line goes on straight.
pub(crate) fn station_on(line: &Centreline, frame: Frame) -> f64 {
    let spans = line.spans();
    let last = spans.len().saturating_sub(1);
    let mut best = (f64::INFINITY, 0.0);
    for (k, span) in spans.iter().enumerate() {
        let along = foot(span, frame);
        let open = [k == 0 && !span.is_arc(), k == last && !span.is_arc()];
        let low = if open[0] { f64::NEG_INFINITY } else { 0.0 };
        let high = if open[1] { f64::INFINITY } else { span.to - span.from };
        let along = along.clamp(low, high);
        let there = span.frame_at(along);
        let off = there.at.distance(frame.at) + ASKEW * (1.0 - there.along.dot(frame.along));
        if off < best.0 {
            best = (off, span.from + along);
        }
    }
    best.1
}

/// Travelling the other way counts as this far off, mm: a line may pass through one place twice.
const ASKEW: f64 = 100.0;

/// Along a span from its begin, mm, where `frame` stands abreast.
fn foot(span: &Span, frame: Frame) -> f64 {
    match span.segment {
        Segment::Straight { .. } => (frame.at - span.frame.at).dot(span.frame.along),
        Segment::Arc { radius, .. } => {
            let local = span.frame.turned(span.plane).local_point(frame.at);
            let angle = atan2(local.z, radius - local.x);
            radius * if angle < 0.0 { angle + std::f64::consts::TAU } else { angle }
        }
    }
}
