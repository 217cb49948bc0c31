//! Outlines cut in two, and slots cut in from their edge.

use std::f64::consts::PI;

use geom::math::atan2;
use glam::DVec2;

use crate::edge::{Edge, NEAR};
use crate::fault::Fault;
use crate::gap::{line_circle, line_line};
use crate::outline::{Loop, Outline};
use crate::shape::joined;

impl Outline {
    /// The two parts that a cut of width `gap` mm through `point` leaves: ahead of it in the direction
    /// `normal` (a unit vector square to the cut), and behind.
    ///
    /// Errors: the cut meets a hole, or the outside more than twice.
    pub fn split(&self, point: DVec2, normal: DVec2, gap: f64) -> Result<[Outline; 2], Fault> {
        let part = |normal: DVec2| {
            let edge = point + normal * (0.5 * gap);
            let mut holes = Vec::new();
            for hole in &self.holes {
                let ahead = hole.edges.iter().map(|edge_of| side(edge_of, edge, normal));
                match ahead.reduce(|a, b| if a == b { a } else { 0 }) {
                    Some(1) => holes.push(hole.clone()),
                    Some(-1) => (),
                    _ => return Err(through_hole(point)),
                }
            }
            Ok(Outline { outer: self.outer.ahead_of(edge, normal)?, holes })
        };
        Ok([part(normal)?, part(-normal)?])
    }

    /// The outline with a slot of `width` mm cut in from its outside along `-outward` (a unit vector),
    /// down to the round end about `end`.
    ///
    /// Errors: the slot does not leave through the outside just once.
    pub fn slotted(&self, end: DVec2, outward: DVec2, width: f64) -> Result<Outline, Fault> {
        let along = outward.perp();
        let radius = 0.5 * width;
        let sides = [end - along * radius, end + along * radius];
        let edges = self.outer.split_at(sides[0], outward);
        let edges = Loop { edges }.split_at(sides[1], outward);
        let in_slot = |edge: &Edge| {
            let middle = edge.point(0.5) - end;
            middle.dot(along).abs() < radius && middle.dot(outward) > 0.0
        };
        let kept = chain(edges, |edge| !in_slot(edge)).ok_or_else(|| not_simple(end))?;
        let (from, to) = (kept[kept.len() - 1].to(), kept[0].from());
        let mut edges = kept;
        edges.push(Edge::Line { from, to: sides[0] });
        edges.push(Edge::Arc { from: sides[0], to: sides[1], centre: end, radius, turn: -PI });
        edges.push(Edge::Line { from: sides[1], to });
        Ok(Outline { outer: Loop::of(joined(edges))?, holes: self.holes.clone() })
    }
}

impl Loop {
    /// The part of a counter-clockwise loop ahead of the line through `point` square to `normal`.
    fn ahead_of(&self, point: DVec2, normal: DVec2) -> Result<Loop, Fault> {
        let edges = self.split_at(point, normal.perp());
        let kept = chain(edges, |edge| (edge.point(0.5) - point).dot(normal) > 0.0);
        let mut edges = kept.ok_or_else(|| not_simple(point))?;
        edges.push(Edge::Line { from: edges[edges.len() - 1].to(), to: edges[0].from() });
        Loop::of(joined(edges))
    }

    /// Its edges, split where they meet the line through `point` along `along`.
    fn split_at(&self, point: DVec2, along: DVec2) -> Vec<Edge> {
        let mut edges = Vec::new();
        for edge in &self.edges {
            let mut shares = vec![0.0];
            shares.extend(meetings(edge, point, along));
            shares.push(1.0);
            shares.sort_by(f64::total_cmp);
            let parts = shares.windows(2).map(|two| part(edge, two[0], two[1]));
            edges.extend(parts.filter(|part| part.length() > NEAR));
        }
        edges
    }
}

/// Shares of an edge's length, between its ends, at which it meets an endless line.
fn meetings(edge: &Edge, point: DVec2, along: DVec2) -> Vec<f64> {
    let far = point + along;
    let shares: Vec<f64> = match *edge {
        Edge::Line { from, to } => line_line(from, to, point, far)
            .into_iter()
            .map(|meet| (meet - from).dot(to - from) / (to - from).length_squared())
            .collect(),
        Edge::Arc { from, centre, radius, turn, .. } => line_circle(point, far, centre, radius)
            .into_iter()
            .map(|meet| {
                let (a, b) = (from - centre, meet - centre);
                let angle = atan2(a.perp_dot(b), a.dot(b)) * turn.signum();
                let angle = if angle < 0.0 { angle + 2.0 * PI } else { angle };
                angle / turn.abs()
            })
            .collect(),
    };
    shares.into_iter().filter(|share| *share > 0.0 && *share < 1.0).collect()
}

/// The part of an edge between two shares of its length.
fn part(edge: &Edge, begin: f64, end: f64) -> Edge {
    let (from, to) = (edge.point(begin), edge.point(end));
    match *edge {
        Edge::Line { .. } => Edge::Line { from, to },
        Edge::Arc { centre, radius, turn, .. } => {
            Edge::Arc { from, to, centre, radius, turn: turn * (end - begin) }
        }
    }
}

/// The edges that are kept, if they hang together and others were dropped.
fn chain(edges: Vec<Edge>, keep: impl Fn(&Edge) -> bool) -> Option<Vec<Edge>> {
    let count = edges.len();
    let begins = |k: usize| keep(&edges[k]) && !keep(&edges[(k + count - 1) % count]);
    let begins: Vec<usize> = (0..count).filter(|k| begins(*k)).collect();
    let [begin] = begins[..] else { return None };
    Some((begin..begin + count).map(|k| edges[k % count]).take_while(|edge| keep(edge)).collect())
}

/// 1 where an edge lies wholly ahead of a line, -1 where behind, else 0.
fn side(edge: &Edge, point: DVec2, normal: DVec2) -> i32 {
    let reach = match *edge {
        Edge::Arc { centre, radius, .. } => {
            let own = (centre - point).dot(normal);
            let peaks = [normal, -normal].into_iter().filter(|d| edge.passes(*d));
            peaks.map(|d| own + radius * d.dot(normal)).collect()
        }
        Edge::Line { .. } => Vec::new(),
    };
    let ends = [edge.from(), edge.to()].map(|end| (end - point).dot(normal));
    let all: Vec<f64> = [reach, ends.to_vec()].concat();
    if all.iter().all(|distance| *distance > 0.0) {
        1
    } else if all.iter().all(|distance| *distance < 0.0) {
        -1
    } else {
        0
    }
}

fn through_hole(point: DVec2) -> Fault {
    let message = format!("the cut at {:.2}, {:.2} mm goes through a hole", point.x, point.y);
    Fault::new("parting-through-hole", message, "move the hole, or make the cut narrower")
}

fn not_simple(point: DVec2) -> Fault {
    let message = format!(
        "the cut at {:.2}, {:.2} mm does not meet the plate's outside as it should",
        point.x, point.y
    );
    Fault::new(
        "parting-outside",
        message,
        "draw a plainer outside between the ports, or leave the parting out",
    )
}
