//! One edge of a closed outline: a straight line or an arc of a circle.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geom::math::{atan2, sin, sin_cos};
use glam::DVec2;

/// How near, mm, a point must be to an edge's end to count as that end.
pub const NEAR: f64 = 1e-9;

/// A straight line or an arc, travelled from one end to the other; mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// A straight line.
    Line {
        /// Where it begins.
        from: DVec2,
        /// Where it ends.
        to: DVec2,
    },
    /// An arc of a circle.
    Arc {
        /// Where it begins.
        from: DVec2,
        /// Where it ends: `from` itself where the arc is a whole circle.
        to: DVec2,
        /// The circle's centre.
        centre: DVec2,
        /// The circle's radius.
        radius: f64,
        /// The angle that it goes round, rad: counter-clockwise above 0, at most a whole turn either way.
        turn: f64,
    },
}

impl Edge {
    /// The arc about `centre` from the angle `start` round by `turn` (rad, counter-clockwise above 0).
    pub fn arc(centre: DVec2, radius: f64, start: f64, turn: f64) -> Edge {
        let from = centre + polar(radius, start);
        let to = if turn.abs() >= TAU { from } else { centre + polar(radius, start + turn) };
        Edge::Arc { from, to, centre, radius, turn: turn.clamp(-TAU, TAU) }
    }

    /// The arc from one point to another that turns by `turn` (rad, not 0 and less than a whole turn);
    /// the centre follows from the chord.
    pub fn arc_between(from: DVec2, to: DVec2, turn: f64) -> Edge {
        let chord = to - from;
        let (s, c) = sin_cos(0.5 * turn);
        let centre = 0.5 * (from + to) + chord.perp() * (0.5 * c / s);
        Edge::Arc { from, to, centre, radius: 0.5 * chord.length() / s.abs(), turn }
    }

    /// Where it begins.
    pub fn from(&self) -> DVec2 {
        match *self {
            Edge::Line { from, .. } | Edge::Arc { from, .. } => from,
        }
    }

    /// Where it ends.
    pub fn to(&self) -> DVec2 {
        match *self {
            Edge::Line { to, .. } | Edge::Arc { to, .. } => to,
        }
    }

    /// Its length, mm.
    pub fn length(&self) -> f64 {
        match *self {
            Edge::Line { from, to } => from.distance(to),
            Edge::Arc { radius, turn, .. } => radius * turn.abs(),
        }
    }

    /// What it adds to the area of the loop that it belongs to, mm2: half the cross product of its
    /// ends, and the segment between chord and arc (Green's theorem).
    pub fn area(&self) -> f64 {
        let sector = 0.5 * self.from().perp_dot(self.to());
        match *self {
            Edge::Line { .. } => sector,
            Edge::Arc { radius, turn, .. } => sector + 0.5 * radius * radius * (turn - sin(turn)),
        }
    }

    /// The same edge travelled the other way.
    pub fn reversed(&self) -> Edge {
        match *self {
            Edge::Line { from, to } => Edge::Line { from: to, to: from },
            Edge::Arc { from, to, centre, radius, turn } => {
                Edge::Arc { from: to, to: from, centre, radius, turn: -turn }
            }
        }
    }

    /// The point at `share` of its length, 0 to 1.
    pub fn point(&self, share: f64) -> DVec2 {
        match *self {
            _ if share <= 0.0 => self.from(),
            _ if share >= 1.0 => self.to(),
            Edge::Line { from, to } => from + (to - from) * share,
            Edge::Arc { from, centre, turn, .. } => centre + rotated(from - centre, turn * share),
        }
    }

    /// The unit direction of travel at `share` of its length.
    pub fn direction(&self, share: f64) -> DVec2 {
        match *self {
            Edge::Line { from, to } => (to - from).normalize(),
            Edge::Arc { centre, turn, .. } => (self.point(share) - centre).normalize().perp() * turn.signum(),
        }
    }

    /// Whether an arc passes the point of its circle that lies in direction `towards` from its centre.
    /// A line passes none.
    pub fn passes(&self, towards: DVec2) -> bool {
        let Edge::Arc { from, centre, radius, turn, .. } = *self else { return false };
        let swept = swept(from - centre, towards, turn);
        swept <= turn.abs() + NEAR / radius || swept >= TAU - NEAR / radius
    }

    /// The smallest box around it: the least and the largest x and y.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        let (mut low, mut high) = (self.from().min(self.to()), self.from().max(self.to()));
        if let Edge::Arc { centre, radius, .. } = *self {
            for axis in [DVec2::X, DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y] {
                if self.passes(axis) {
                    low = low.min(centre + axis * radius);
                    high = high.max(centre + axis * radius);
                }
            }
        }
        (low, high)
    }

    /// The point of the edge that is nearest to `point`.
    pub fn nearest(&self, point: DVec2) -> DVec2 {
        let nearer_end =
            if point.distance(self.from()) <= point.distance(self.to()) { self.from() } else { self.to() };
        match *self {
            Edge::Line { from, to } => {
                let along = to - from;
                let share = (point - from).dot(along) / along.length_squared();
                if (0.0..=1.0).contains(&share) { from + along * share } else { nearer_end }
            }
            Edge::Arc { centre, radius, .. } => {
                let towards = point - centre;
                if towards.length() > 0.0 && self.passes(towards) {
                    centre + towards.normalize() * radius
                } else {
                    nearer_end
                }
            }
        }
    }

    /// Angles of an arc's parts between the highest and lowest points of its circle; a line is one part.
    pub(crate) fn monotone(&self) -> Vec<(DVec2, DVec2)> {
        let Edge::Arc { from, centre, radius, turn, .. } = *self else {
            return vec![(self.from(), self.to())];
        };
        let start = atan2(from.y - centre.y, from.x - centre.x);
        let (low, high) = (start.min(start + turn), start.max(start + turn));
        let first = ((low - FRAC_PI_2) / PI).ceil() as i64;
        let mut peaks: Vec<DVec2> = (first..)
            .map(|k| (k, FRAC_PI_2 + k as f64 * PI))
            .take_while(|(_, angle)| *angle < high)
            .filter(|(_, angle)| *angle > low)
            .map(|(k, _)| centre + DVec2::new(0.0, if k % 2 == 0 { radius } else { -radius }))
            .collect();
        if turn < 0.0 {
            peaks.reverse();
        }
        let points: Vec<DVec2> = [vec![self.from()], peaks, vec![self.to()]].concat();
        points.windows(2).map(|pair| (pair[0], pair[1])).collect()
    }
}

/// The vector of length `radius` at `angle`, rad.
pub(crate) fn polar(radius: f64, angle: f64) -> DVec2 {
    let (s, c) = sin_cos(angle);
    DVec2::new(radius * c, radius * s)
}

/// `vector` turned counter-clockwise by `angle`, rad.
pub(crate) fn rotated(vector: DVec2, angle: f64) -> DVec2 {
    let (s, c) = sin_cos(angle);
    DVec2::new(vector.x * c - vector.y * s, vector.x * s + vector.y * c)
}

/// The angle from `a` to `b` in the sense of `turn`, in [0, 2 pi).
fn swept(a: DVec2, b: DVec2, turn: f64) -> f64 {
    let angle = atan2(a.perp_dot(b), a.dot(b)) * turn.signum();
    if angle < 0.0 { angle + TAU } else { angle }
}
