//! Runs that come back onto themselves: a tube cannot stand where it stands already.

use crate::layout::Fault;
use crate::run_lines::Line;

/// Two places of a run that are nearer than this to each other, mm, are one.
const SAME: f64 = 0.01;

/// Directions whose cross product is shorter than this are parallel.
const PARALLEL: f64 = 1e-3;

/// Stations of one place are this far apart at least, mm: nearer ones are of a short segment.
const APART: f64 = 1.0;

/// What is wrong with the line of the run called `name` where a segment of it begins or ends on another's begin or
/// end, along the same direction or against it. A tube that merely crosses itself is a finding of its clearance.
pub(crate) fn returning(name: &str, line: &Line) -> Option<Fault> {
    let spans = line.centreline.spans();
    let end = line.centreline.end();
    let ends = spans.iter().map(|span| (span.from, span.frame)).chain([(line.centreline.length(), end)]);
    let ends: Vec<_> = ends.collect();
    let pairs = ends.iter().enumerate().flat_map(|(k, a)| ends[k + 1..].iter().map(move |b| (a, b)));
    let (from, to) = pairs.map(|((from, a), (to, b))| (*from, a, *to, b)).find_map(|(from, a, to, b)| {
        let one_place = to - from > APART && a.at.distance(b.at) < SAME;
        (one_place && a.along.cross(b.along).length() < PARALLEL).then_some((from, to))
    })?;
    Some(Fault {
        key: format!("run.{name}.path"),
        code: "run-on-itself",
        message: format!(
            "run `{name}` comes back onto itself: at {to:.2} mm from its start it stands where it passes at {from:.2} mm"
        ),
        help: "turn a bend out of the plane (`rotate`), or change a straight or a bend, so that the tube passes beside \
               itself"
            .into(),
    })
}
