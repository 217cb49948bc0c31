//! Shapes of ports, holes and plates.

use std::f64::consts::{FRAC_PI_2, PI};

use geom::math::{atan2, tan};
use glam::DVec2;

use crate::edge::{Edge, NEAR, polar};
use crate::fault::Fault;
use crate::outline::{Loop, is_closed};

/// A corner of a polygon and the radius that rounds it, mm; 0 leaves it sharp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where its sides would meet.
    pub at: DVec2,
    /// The radius.
    pub radius: f64,
}

impl Loop {
    /// The loop of these edges.
    ///
    /// Errors: an edge that does not begin where the one before ends; edges that cross or touch.
    pub fn of(edges: Vec<Edge>) -> Result<Loop, Fault> {
        if !is_closed(&edges) {
            return Err(Fault::new(
                "outline-open",
                "the outline is not closed",
                "let its last edge end where its first begins",
            ));
        }
        let result = Loop { edges: joined(edges) };
        match result.self_contact() {
            None => Ok(result),
            Some(at) => {
                let message = format!("the outline crosses or touches itself at {:.3}, {:.3} mm", at.x, at.y);
                Err(Fault::new("outline-crosses", message, "draw one simple closed line"))
            }
        }
    }

    /// A polygon with rounded corners.
    ///
    /// Errors: fewer than three corners; corners on one spot; radii that need more than a side; sides
    /// that cross.
    pub fn polygon(corners: &[Corner]) -> Result<Loop, Fault> {
        let count = corners.len();
        if count < 3 {
            let message = format!("an outline of {count} corners encloses nothing");
            return Err(Fault::new("outline-corners", message, "give it three or more"));
        }
        let rounds: Vec<Round> = (0..count)
            .map(|k| Round::new(corners[(k + count - 1) % count].at, corners[k], corners[(k + 1) % count].at))
            .collect();
        let mut edges = Vec::new();
        for k in 0..count {
            let (here, next) = (&rounds[k], &rounds[(k + 1) % count]);
            let side = corners[k].at.distance(corners[(k + 1) % count].at);
            let spare = side - here.reach - next.reach;
            if side <= NEAR || spare.is_nan() || spare < -NEAR {
                return Err(side_too_short(k, side, here.reach + next.reach));
            }
            edges.extend(here.arc);
            if spare > NEAR {
                edges.push(Edge::Line { from: here.leaves, to: next.arrives });
            }
        }
        Loop::of(joined(edges))
    }

    /// A rectangle about the origin, rounded by `corner` (0 leaves it sharp); mm.
    ///
    /// Errors: a side that is not above 0; a corner radius of more than half the shorter side.
    pub fn rectangle(width: f64, height: f64, corner: f64) -> Result<Loop, Fault> {
        let most = 0.5 * width.min(height);
        if corner > most + NEAR {
            let message =
                format!("a corner radius of {corner:.3} mm in a rectangle of {width:.3} by {height:.3} mm");
            return Err(Fault::new("corner-too-large", message, "make it at most half the shorter side"));
        }
        let (x, y) = (0.5 * width, 0.5 * height);
        let radius = corner.min(most);
        let corners =
            [(x, -y), (x, y), (-x, y), (-x, -y)].map(|(x, y)| Corner { at: DVec2::new(x, y), radius });
        Loop::polygon(&corners)
    }

    /// Two half circles and two straights about the origin, `width` by `height` mm overall; a circle
    /// where they are equal.
    ///
    /// Errors: a size that is not above 0.
    pub fn oval(width: f64, height: f64) -> Result<Loop, Fault> {
        if (width - height).abs() <= NEAR && width > 0.0 {
            return Ok(Loop::circle(DVec2::ZERO, 0.5 * width));
        }
        let reach = 0.5 * (width - height).abs();
        let radius = 0.5 * width.min(height);
        let axis = if width > height { DVec2::X } else { DVec2::Y };
        slot_between(-axis * reach, axis * reach, radius)
    }

    /// A D about the origin, `width` by `height` mm overall: a half circle of radius `width / 2` at
    /// the top (+y), straight sides down from it, a flat bottom with corners rounded by `corner`.
    ///
    /// Errors: a height of less than half the width and the corner; a corner of more than half the width.
    pub fn d(width: f64, height: f64, corner: f64) -> Result<Loop, Fault> {
        let (x, y) = (0.5 * width, 0.5 * height);
        if height + NEAR < x + corner || corner > x + NEAR {
            let message = format!("a D of {width:.3} by {height:.3} mm with corners of {corner:.3} mm");
            return Err(Fault::new(
                "d-too-flat",
                message,
                "its height is at least half its width and the corner radius",
            ));
        }
        let at = |x: f64, y: f64, radius: f64| Corner { at: DVec2::new(x, y), radius };
        let [left, right] = [at(-x, -y, corner), at(x, -y, corner)];
        let spring = y - x;
        let corner = |prev: DVec2, here: Corner, next: DVec2| Round::new(prev, here, next);
        let (ls, rs) = (DVec2::new(-x, spring), DVec2::new(x, spring));
        let (l, r) = (corner(ls, left, right.at), corner(left.at, right, rs));
        let half = Edge::Arc { from: rs, to: ls, centre: DVec2::new(0.0, spring), radius: x, turn: PI };
        let mut edges = Vec::new();
        edges.extend(line(l.leaves, r.arrives));
        edges.extend(r.arc);
        edges.extend(line(r.leaves, rs));
        edges.push(half);
        edges.extend(line(ls, l.arrives));
        edges.extend(l.arc);
        Loop::of(joined(edges))
    }

    /// A slot about `centre`: two half circles of `width`, their centres `travel` mm apart in the
    /// direction `angle` (rad); a circle where `travel` is 0.
    ///
    /// Errors: a width that is not above 0, a travel below 0.
    pub fn slot(centre: DVec2, width: f64, travel: f64, angle: f64) -> Result<Loop, Fault> {
        if travel == 0.0 && width > 0.0 {
            return Ok(Loop::circle(centre, 0.5 * width));
        }
        let half = polar(0.5 * travel, angle);
        slot_between(centre - half, centre + half, 0.5 * width)
    }
}

/// Centres of `count` holes evenly round a circle about `centre`, the first at `first` (rad).
pub fn bolt_circle(centre: DVec2, radius: f64, count: usize, first: f64) -> Vec<DVec2> {
    let step = 2.0 * PI / count.max(1) as f64;
    (0..count).map(|k| centre + polar(radius, first + k as f64 * step)).collect()
}

/// Two half circles about `a` and `b` and the lines that touch both.
fn slot_between(a: DVec2, b: DVec2, radius: f64) -> Result<Loop, Fault> {
    let along = (b - a).try_normalize();
    let Some(along) = along.filter(|_| radius > 0.0) else {
        return Err(Fault::new(
            "slot-size",
            "a slot or oval without size",
            "make its width and length above 0",
        ));
    };
    let side = -along.perp() * radius;
    Ok(Loop {
        edges: vec![
            Edge::Line { from: a + side, to: b + side },
            Edge::Arc { from: b + side, to: b - side, centre: b, radius, turn: PI },
            Edge::Line { from: b - side, to: a - side },
            Edge::Arc { from: a - side, to: a + side, centre: a, radius, turn: PI },
        ],
    })
}

/// A corner's arc, and how much of each side it takes.
struct Round {
    reach: f64,
    arrives: DVec2,
    leaves: DVec2,
    arc: Option<Edge>,
}

impl Round {
    /// The arc of `radius` that touches both sides is `radius tan(turn / 2)` from their corner.
    fn new(before: DVec2, corner: Corner, after: DVec2) -> Round {
        let Corner { at, radius } = corner;
        let (a, b) = ((at - before).normalize_or_zero(), (after - at).normalize_or_zero());
        let turn = atan2(a.perp_dot(b), a.dot(b));
        if radius <= NEAR || turn.abs() < 1e-9 {
            return Round { reach: 0.0, arrives: at, leaves: at, arc: None };
        }
        let reach = radius * if (turn.abs() - FRAC_PI_2).abs() < 1e-15 { 1.0 } else { tan(0.5 * turn.abs()) };
        let (arrives, leaves) = (at - a * reach, at + b * reach);
        let centre = arrives + a.perp() * radius * turn.signum();
        Round {
            reach,
            arrives,
            leaves,
            arc: Some(Edge::Arc { from: arrives, to: leaves, centre, radius, turn }),
        }
    }
}

fn line(from: DVec2, to: DVec2) -> Option<Edge> {
    (from.distance(to) > NEAR).then_some(Edge::Line { from, to })
}

fn side_too_short(k: usize, side: f64, need: f64) -> Fault {
    let message = format!(
        "side {} of the outline is {side:.3} mm long, and its corners' radii take {need:.3} mm",
        k + 1
    );
    Fault::new("outline-radius", message, "use smaller radii, or move the corners apart")
}

/// The same edges, each beginning exactly where the one before ends: rounding may leave them
/// [`NEAR`] apart.
pub(crate) fn joined(mut edges: Vec<Edge>) -> Vec<Edge> {
    for k in 0..edges.len() {
        let end = edges[(k + edges.len() - 1) % edges.len()].to();
        match &mut edges[k] {
            Edge::Line { from, .. } | Edge::Arc { from, .. } => *from = end,
        }
    }
    edges
}
