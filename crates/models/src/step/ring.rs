//! A closed row of edges around a wall.

use std::f64::consts::TAU;

use geom::angle::{wrap_signed, wrap_turn};

use super::brep::Use;
use super::cap::Rim;

/// A closed row of edges around a wall.
pub struct Ring {
    /// Clocks of its vertices, ascending in `[0, TAU)`.
    pub clocks: Vec<f64>,
    /// Its vertices.
    pub vertices: Vec<usize>,
    /// The edge from each vertex to the next; `None` where they are one.
    pub edges: Vec<Option<Use>>,
}

impl Ring {
    /// The vertex at a clock.
    pub fn index(&self, clock: f64) -> usize {
        let off = |i: usize| wrap_signed(self.clocks[i] - clock).abs();
        (0..self.clocks.len()).min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(0)
    }

    /// The edges from one clock up to another.
    pub fn arcs(&self, from: f64, to: f64) -> Vec<Use> {
        let (mut at, last) = (self.index(from), self.index(to));
        let mut arcs = Vec::new();
        while at != last {
            arcs.extend(self.edges[at]);
            at = (at + 1) % self.clocks.len();
        }
        arcs
    }

    /// The edges of a part of it.
    pub fn part(&self, rim: Rim) -> Vec<Use> {
        match rim {
            Rim::Whole => self.edges.iter().flatten().copied().collect(),
            Rim::Arc(from, to) => self.arcs(from, to),
        }
    }
}

/// Clocks in `[0, TAU)`, ascending, each once.
pub fn merged(clocks: Vec<f64>) -> Vec<f64> {
    let mut clocks: Vec<f64> = clocks.into_iter().map(wrap_turn).collect();
    clocks.sort_by(f64::total_cmp);
    clocks.dedup_by(|a, b| *a - *b < SAME_CLOCK);
    if clocks.len() > 1 && clocks[0] + TAU - clocks[clocks.len() - 1] < SAME_CLOCK {
        clocks.pop();
    }
    clocks
}

/// Clocks nearer than this are one, rad.
pub const SAME_CLOCK: f64 = 1e-9;
