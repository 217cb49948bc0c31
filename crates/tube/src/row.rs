//! Bend rows: feed, rotate, bend.

/// One bend of a run or a piece, as the trade writes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Straight before the bend, mm; at least 0.
    pub feed: f64,
    /// Turn of the bend plane about the direction of travel since the bend before, rad in
    /// `(-PI, PI]`, right-handed; 0 in the first row.
    pub rotate: f64,
    /// Bend angle, rad; above 0.
    pub bend: f64,
    /// Centreline radius, mm; 0 is a mitre.
    pub radius: f64,
}

/// A tube's bends and the straight after the last one.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    /// The bends, in the direction of travel.
    pub rows: Vec<Row>,
    /// Straight after the last bend, mm; at least 0.
    pub tail: f64,
}

impl Rows {
    /// Length along the centreline, mm: every feed and arc, and the tail.
    pub fn length(&self) -> f64 {
        self.rows.iter().map(|r| r.feed + r.radius * r.bend).sum::<f64>() + self.tail
    }
}
