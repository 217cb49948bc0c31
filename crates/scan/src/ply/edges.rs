//! The edges of a PLY file: lines between two points. Those along triangles say nothing new; others are refused.

use crate::bulk::{counted, grouped};
use crate::fault::{Fault, Place};

/// The edges of a file, each with its place.
#[derive(Default)]
pub(super) struct Edges {
    list: Vec<([i64; 2], Place)>,
}

impl Edges {
    /// Adds the edge between two points, as the file counts them, from 0.
    pub(super) fn push(&mut self, ends: [i64; 2], place: Place) {
        self.list.push((ends, place));
    }

    /// Errors: the first edge that is none of a triangle, and how many there are.
    pub(super) fn settled(&self, triangles: &[[u32; 3]]) -> Result<(), Fault> {
        if self.list.is_empty() {
            return Ok(());
        }
        let of = |&[a, b, c]: &[u32; 3]| [[a, b], [b, c], [c, a]].map(|ends| sorted(ends.map(i64::from)));
        let mut known: Vec<[i64; 2]> = triangles.iter().flat_map(of).collect();
        known.sort_unstable();
        let free = |(ends, _): &&([i64; 2], Place)| known.binary_search(&sorted(*ends)).is_err();
        let mut free = self.list.iter().filter(free);
        let Some(([a, b], place)) = free.next() else { return Ok(()) };
        let many = match free.count() as u64 {
            0 => String::new(),
            more => format!(", the first of {}", grouped(more + 1)),
        };
        let message =
            format!("the edge between the points {a} and {b} belongs to no face{many}: lines are not read");
        Err(Fault::new(*place, "line-element", message, HELP))
    }
}

/// What to do about edges that are lines of their own.
pub(super) const HELP: &str = "give what they stand for as faces, or as a plain body in the spec (a capsule)";

/// The fault of edges that do not say in words that are known which points they join.
pub(super) fn unknown(count: u64, line: u64) -> Fault {
    let message =
        format!("it has {} without `vertex1` and `vertex2`, which are not read", counted(count, "edge"));
    Fault::new(Place::Line(line), "line-element", message, HELP)
}

fn sorted([a, b]: [i64; 2]) -> [i64; 2] {
    [a.min(b), a.max(b)]
}
