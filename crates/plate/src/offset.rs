//! Loops moved outwards or inwards by a distance.

use std::f64::consts::{PI, TAU};

use geom::math::atan2;
use glam::DVec2;

use crate::edge::{Edge, NEAR};
use crate::fault::Fault;
use crate::gap::{circle_circle, line_circle, line_line};
use crate::outline::Loop;

impl Loop {
    /// The loop `by` mm outside this one, or inside where `by` is below 0; it runs the same way.
    ///
    /// Outward corners get an arc about the corner, inward ones are trimmed where the moved edges
    /// meet. Errors: the loop is too narrow, so that edges would vanish or cross, other than the
    /// arc of a rounded corner.
    pub fn offset(&self, by: f64) -> Result<Loop, Fault> {
        if by == 0.0 {
            return Ok(self.clone());
        }
        // Material of a counter-clockwise loop is at its left: outside is at its right.
        let right = if self.area() > 0.0 { by } else { -by };
        let moved: Vec<(Edge, Edge)> =
            self.edges.iter().filter_map(|edge| Some((*edge, shifted(edge, right)?))).collect();
        if moved.is_empty() {
            return Err(too_narrow(by));
        }
        let ends = (0..moved.len()).map(|k| meeting(&moved[k], &moved[(k + 1) % moved.len()], right));
        let ends: Vec<Meeting> = ends.collect::<Option<_>>().ok_or_else(|| too_narrow(by))?;
        let mut edges = Vec::new();
        for (k, (_, edge)) in moved.iter().enumerate() {
            let begin = ends[(k + moved.len() - 1) % moved.len()].next_from;
            edges.push(recut(edge, begin, ends[k].this_to).ok_or_else(|| too_narrow(by))?);
            edges.extend(ends[k].corner);
        }
        let result = Loop { edges };
        let kept = result.area() * self.area() > 0.0 && result.self_contact().is_none();
        if kept { Ok(result) } else { Err(too_narrow(by)) }
    }
}

fn too_narrow(by: f64) -> Fault {
    let side = if by > 0.0 { "outwards" } else { "inwards" };
    let message = format!("an outline cannot be moved {side} by {:.3} mm: its edges would cross", by.abs());
    Fault::new("offset-too-large", message, "move it less, or draw it wider there")
}

/// An edge moved to its right; `None` where an arc's radius is used up.
fn shifted(edge: &Edge, right: f64) -> Option<Edge> {
    match *edge {
        Edge::Line { from, to } => {
            let by = -(to - from).normalize().perp() * right;
            Some(Edge::Line { from: from + by, to: to + by })
        }
        Edge::Arc { from, to, centre, radius, turn } => {
            let grown = radius + right * turn.signum();
            let at = |point: DVec2| centre + (point - centre) * (grown / radius);
            (grown > NEAR).then(|| Edge::Arc { from: at(from), to: at(to), centre, radius: grown, turn })
        }
    }
}

/// How a moved edge goes over into the next.
struct Meeting {
    this_to: DVec2,
    next_from: DVec2,
    corner: Option<Edge>,
}

fn meeting(this: &(Edge, Edge), next: &(Edge, Edge), right: f64) -> Option<Meeting> {
    let (end, begin) = (this.1.to(), next.1.from());
    if end.distance(begin) <= NEAR {
        return Some(Meeting { this_to: end, next_from: end, corner: None });
    }
    let corner = this.0.to();
    if corner.distance(next.0.from()) <= NEAR {
        let (a, b) = (end - corner, begin - corner);
        let turn = atan2(a.perp_dot(b), a.dot(b));
        if turn * right > 0.0 {
            let arc = Edge::Arc { from: end, to: begin, centre: corner, radius: right.abs(), turn };
            return Some(Meeting { this_to: end, next_from: begin, corner: Some(arc) });
        }
    }
    let near = 0.5 * (end + begin);
    let meets = meetings(&this.1, &next.1);
    let point = meets.into_iter().min_by(|a, b| a.distance(near).total_cmp(&b.distance(near)))?;
    Some(Meeting { this_to: point, next_from: point, corner: None })
}

/// Where the endless lines and whole circles of two edges meet.
fn meetings(a: &Edge, b: &Edge) -> Vec<DVec2> {
    match (*a, *b) {
        (Edge::Line { from: p, to: q }, Edge::Line { from: r, to: s }) => line_line(p, q, r, s),
        (Edge::Line { from, to }, Edge::Arc { centre, radius, .. })
        | (Edge::Arc { centre, radius, .. }, Edge::Line { from, to }) => {
            line_circle(from, to, centre, radius)
        }
        (Edge::Arc { centre, radius, .. }, Edge::Arc { centre: other, radius: far, .. }) => {
            circle_circle(centre, radius, other, far)
        }
    }
}

/// A moved edge between new ends; `None` where nothing of it is left.
fn recut(edge: &Edge, begin: DVec2, end: DVec2) -> Option<Edge> {
    match *edge {
        Edge::Line { from, to } => {
            let left = (end - begin).dot(to - from) > 0.0;
            left.then_some(Edge::Line { from: begin, to: end })
        }
        Edge::Arc { from, to, centre, radius, turn } => {
            if from == to && begin == end {
                return Some(*edge);
            }
            let (a, b) = (begin - centre, end - centre);
            let short = atan2(a.perp_dot(b), a.dot(b));
            let whole = if short * turn < 0.0 { short + TAU * turn.signum() } else { short };
            // Trimming takes some off each end; what comes out longer had nothing left.
            let left = whole.abs() <= turn.abs() + NEAR || whole.abs() < PI.min(turn.abs() + 0.5 * PI);
            left.then_some(Edge::Arc { from: begin, to: end, centre, radius, turn: whole })
        }
    }
}
