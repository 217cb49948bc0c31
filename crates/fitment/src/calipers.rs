//! The convex outline of points on the bed, and how it is turned to go into a rectangle.
//!
//! Rotating calipers: between two directions square to edges of the outline, the two points that are furthest
//! apart stay the same, so that its width there is one cosine of the angle.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::math::{atan2, sin_cos};
use glam::DVec2;

/// The convex outline of `points`, counter-clockwise from the least x (Andrew's monotone chain). Points on its
/// sides are left out; points in one line give their two ends.
pub fn outline(points: &[DVec2]) -> Vec<DVec2> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let mut lower = half_outline(sorted.iter());
    let mut upper = half_outline(sorted.iter().rev());
    lower.pop();
    upper.pop();
    lower.append(&mut upper);
    lower
}

/// How an outline goes into a rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// How far it is turned, rad, counter-clockwise.
    pub angle: f64,
    /// Its width and depth then, mm.
    pub size: DVec2,
}

/// The turn at which a convex outline comes nearest to going into `room` (width and depth, mm): where the larger of
/// what is missing across and deep is least. Of an outline without points the size is 0.
pub fn nearest(outline: &[DVec2], room: DVec2) -> Turn {
    let mut best = measured(outline, 0.0);
    let mut consider = |angle: f64| {
        let turn = measured(outline, angle);
        if excess(turn.size, room) < excess(best.size, room) {
            best = turn;
        }
    };
    let angles = events(outline);
    for pair in angles.windows(2) {
        consider(pair[1]);
        if let Some(angle) = crossing(outline, room, pair[0], pair[1]) {
            consider(angle);
        }
    }
    best
}

/// The turn at which the rectangle around a convex outline is least in area, of those that go into `room`; none when
/// none does.
pub fn least(outline: &[DVec2], room: DVec2) -> Option<Turn> {
    let turns = events(outline).into_iter().map(|angle| measured(outline, angle));
    let within = turns.chain([nearest(outline, room)]).filter(|t| excess(t.size, room) <= 0.0);
    within.min_by(|a, b| (a.size.x * a.size.y).total_cmp(&(b.size.x * b.size.y)))
}

/// The larger of what `size` has more than `room`, mm; below 0 where it goes in.
pub fn excess(size: DVec2, room: DVec2) -> f64 {
    (size - room).max_element()
}

fn half_outline<'a>(points: impl Iterator<Item = &'a DVec2>) -> Vec<DVec2> {
    let mut chain: Vec<DVec2> = Vec::new();
    for &point in points {
        while let [.., a, b] = chain[..]
            && (b - a).perp_dot(point - b) <= 0.0
        {
            chain.pop();
        }
        chain.push(point);
    }
    chain
}

/// Turns from 0 to half a turn at which a side of the outline lies along x or y, ascending.
fn events(outline: &[DVec2]) -> Vec<f64> {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let mut angles = vec![0.0, PI];
    for (a, b) in sides.filter(|(a, b)| a != b) {
        let side = *b - *a;
        let angle = -atan2(side.y, side.x);
        angles.push(angle.rem_euclid(PI));
        angles.push((angle + FRAC_PI_2).rem_euclid(PI));
    }
    angles.sort_by(f64::total_cmp);
    angles
}

/// Width and depth of an outline turned by `angle`.
fn measured(outline: &[DVec2], angle: f64) -> Turn {
    let (across, deep) = diagonals(outline, angle);
    let (s, c) = sin_cos(angle);
    let size = DVec2::new(across.x * c - across.y * s, deep.x * s + deep.y * c);
    Turn { angle, size }
}

/// From the least to the furthest point in the direction that becomes x, and in that which becomes y.
fn diagonals(outline: &[DVec2], angle: f64) -> (DVec2, DVec2) {
    let (s, c) = sin_cos(angle);
    let diagonal = |towards: DVec2| {
        let far = outline.iter().max_by(|a, b| a.dot(towards).total_cmp(&b.dot(towards)));
        let near = outline.iter().min_by(|a, b| a.dot(towards).total_cmp(&b.dot(towards)));
        far.zip(near).map_or(DVec2::ZERO, |(far, near)| *far - *near)
    };
    (diagonal(DVec2::new(c, -s)), diagonal(DVec2::new(s, c)))
}

/// The angle between two events at which as much is missing across as deep: there the larger of the two may be
/// least, each of them being one cosine.
fn crossing(outline: &[DVec2], room: DVec2, from: f64, to: f64) -> Option<f64> {
    let (across, deep) = diagonals(outline, 0.5 * (from + to));
    // (ax c - ay s) - (dx s + dy c) = room.x - room.y
    let (a, b, c) = (across.x - deep.y, -across.y - deep.x, room.x - room.y);
    let square = a * a + b * b - c * c;
    if square < 0.0 {
        return None;
    }
    let (middle, half) = (atan2(b, a), atan2(square.sqrt(), c));
    let angles = [middle - half, middle + half].map(|angle| angle.rem_euclid(2.0 * PI));
    angles.into_iter().find(|angle| *angle > from && *angle < to)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(width: f64, depth: f64, turned: f64) -> Vec<DVec2> {
        let corners = [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)];
        let (s, c) = sin_cos(turned);
        corners.map(|(x, y)| DVec2::new(x * c - y * s, x * s + y * c)).to_vec()
    }

    #[test]
    fn an_outline_leaves_out_what_lies_within_and_on_its_sides() {
        let mut points = rectangle(40.0, 20.0, 0.0);
        points.extend([DVec2::new(20.0, 0.0), DVec2::new(7.0, 9.0), DVec2::new(40.0, 5.0)]);
        assert_eq!(outline(&points), rectangle(40.0, 20.0, 0.0));
    }

    #[test]
    fn a_turned_rectangle_is_turned_back() {
        let turn = least(&outline(&rectangle(90.0, 20.0, 0.4)), DVec2::new(100.0, 30.0)).unwrap();
        assert!((turn.size - DVec2::new(90.0, 20.0)).length() < 1e-9, "{turn:?}");
    }

    /// J. Wetzel: a rectangle p by q (p > q) goes into a by b (a >= b, p > a) exactly when
    /// b >= (2 p q a + (p^2 - q^2) sqrt(p^2 + q^2 - a^2)) / (p^2 + q^2), Math. Mag. 73 (2000) 204-211.
    #[test]
    fn a_strip_longer_than_the_bed_lies_across_it_as_the_theorem_says() {
        for (p, q, a) in [(230.0_f64, 5.0_f64, 220.0_f64), (300.0, 8.0, 220.0), (110.0, 3.0, 100.0)] {
            let square = p * p + q * q;
            let least = (2.0 * p * q * a + (p * p - q * q) * (square - a * a).sqrt()) / square;
            let strip = outline(&rectangle(p, q, 0.7));
            let missing = |b: f64| {
                let room = DVec2::new(a, b);
                excess(nearest(&strip, room).size, room)
            };
            assert!(missing(least + 1e-6) <= 0.0 && missing(least - 1e-6) > 0.0, "{p} {q} {a} {least}");
        }
    }
}
