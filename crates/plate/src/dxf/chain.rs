//! Loose edges chained into loops.

use glam::DVec2;

use crate::edge::{Edge, NEAR};
use crate::fault::Fault;
use crate::outline::Loop;
use crate::shape::joined;

/// Chains edges whose ends are within `tolerance` mm of each other into closed loops. Ends that are
/// apart by less are brought together: the later edge is moved onto the earlier.
///
/// Errors: an end that no other edge reaches, or that more than one reaches; an edge shorter than the
/// tolerance; a loop that crosses itself.
pub(crate) fn chain(edges: Vec<Edge>, tolerance: f64) -> Result<Vec<Loop>, Vec<Fault>> {
    let faults: Vec<Fault> = edges.iter().filter_map(|edge| too_short(edge, tolerance)).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let faults = loose_ends(&edges, tolerance);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut rest = edges;
    let (mut loops, mut faults) = (Vec::new(), Vec::new());
    while !rest.is_empty() {
        let mut run = vec![rest.remove(0)];
        while let Some(next) = take_next(&mut rest, run[run.len() - 1].to(), tolerance) {
            run.push(next);
        }
        match Loop::of(snapped(run)) {
            Ok(found) => loops.push(found),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(loops) } else { Err(faults) }
}

fn too_short(edge: &Edge, tolerance: f64) -> Option<Fault> {
    (edge.length() <= tolerance).then(|| {
        let message = format!(
            "the edge at {} is {:.6} mm long, within the tolerance of {tolerance} mm",
            place(edge.from()),
            edge.length()
        );
        Fault::new("dxf-short-edge", message, "delete it, or lower the tolerance below its length")
    })
}

/// The edge that begins or ends within `tolerance` of `here`, turned to begin there.
fn take_next(rest: &mut Vec<Edge>, here: DVec2, tolerance: f64) -> Option<Edge> {
    let touches = |edge: &Edge| edge.from().distance(here).min(edge.to().distance(here)) <= tolerance;
    let found = rest.iter().position(touches)?;
    let edge = rest.remove(found);
    Some(if edge.from().distance(here) <= edge.to().distance(here) { edge } else { edge.reversed() })
}

/// One fault for each end that does not meet exactly one other.
fn loose_ends(edges: &[Edge], tolerance: f64) -> Vec<Fault> {
    let ends: Vec<DVec2> = edges.iter().flat_map(|edge| [edge.from(), edge.to()]).collect();
    let mut faults = Vec::new();
    let mut told: Vec<DVec2> = Vec::new();
    for (k, end) in ends.iter().enumerate() {
        let others = ends.iter().enumerate().filter(|(other, _)| *other != k).map(|(_, other)| *other);
        let met = others.clone().filter(|other| end.distance(*other) <= tolerance).count();
        if met == 1 || told.iter().any(|other| other.distance(*end) <= tolerance) {
            continue;
        }
        told.push(*end);
        faults.push(if met == 0 {
            let nearer = |a: DVec2, b: DVec2| if b.distance(*end) < a.distance(*end) { b } else { a };
            let nearest = others.reduce(nearer).unwrap_or(*end);
            // A gap is told once, at its first end.
            told.push(nearest);
            let gap = nearest.distance(*end);
            let message =
                format!("the outline is open at {}: the nearest other end is {gap:.4} mm away", place(*end));
            Fault::new("dxf-open", message, "close the gap, or raise the tolerance above it")
        } else {
            let message = format!("{} edges meet at {}", met + 1, place(*end));
            Fault::new(
                "dxf-branch",
                message,
                "an outline's edges meet two by two: remove lines drawn twice, or name the outline's layer",
            )
        });
    }
    faults
}

/// The edges with common corners.
fn snapped(run: Vec<Edge>) -> Vec<Edge> {
    let count = run.len();
    let corners: Vec<DVec2> = run.iter().map(Edge::from).collect();
    let recut = |(k, edge): (usize, &Edge)| {
        let (from, to) = (corners[k], corners[(k + 1) % count]);
        match *edge {
            Edge::Line { .. } => Edge::Line { from, to },
            // An end that is off by rounding only keeps its circle.
            Edge::Arc { to: end, .. } if end.distance(to) <= NEAR => *edge,
            Edge::Arc { turn, .. } => Edge::arc_between(from, to, turn),
        }
    };
    joined(run.iter().enumerate().map(recut).collect())
}

fn place(point: DVec2) -> String {
    format!("{:.3}, {:.3} mm", point.x, point.y)
}
