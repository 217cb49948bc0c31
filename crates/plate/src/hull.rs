//! The convex hull of circles: how a flange's outline usually comes about.

use std::f64::consts::TAU;

use geom::math::atan2;
use glam::DVec2;

use crate::edge::{Edge, NEAR, polar};
use crate::fault::Fault;
use crate::outline::Loop;
use crate::shape::joined;

/// The shortest loop around all `circles` (centre and radius, mm), counter-clockwise: arcs of the
/// outer circles and the lines that touch two of them.
///
/// A circle inside another adds nothing. Errors: no circle; a radius that is not above 0.
pub fn hull(circles: &[(DVec2, f64)]) -> Result<Loop, Fault> {
    if let Some((_, radius)) = circles.iter().find(|(_, radius)| radius.is_nan() || *radius <= 0.0) {
        let message = format!("a hull's circle has the radius {radius}");
        return Err(Fault::new("hull-radius", message, "give each a margin above 0"));
    }
    let circles = &outermost(circles)[..];
    let start =
        lowest(circles).ok_or_else(|| Fault::new("hull-empty", "a hull of no circles", "give it some"))?;
    let bends = wrap(circles, start);
    if let [_] = bends[..] {
        let (centre, radius) = circles[start];
        return Ok(Loop::circle(centre, radius));
    }
    Ok(Loop { edges: edges(circles, &bends) })
}

/// The circles that lie in no other; of equal ones the first.
fn outermost(circles: &[(DVec2, f64)]) -> Vec<(DVec2, f64)> {
    let inside = |(k, &(centre, radius)): (usize, &(DVec2, f64))| {
        circles.iter().enumerate().any(|(other, &(at, far))| {
            let room = far - radius - centre.distance(at);
            other != k && room >= -NEAR && (far > radius + NEAR || other < k)
        })
    };
    let kept = circles.iter().enumerate().filter(|circle| !inside(*circle));
    kept.map(|(_, circle)| *circle).collect()
}

/// The circle that touches the hull where its outward direction is straight down; of several the
/// leftmost, which the hull then leaves at once.
fn lowest(circles: &[(DVec2, f64)]) -> Option<usize> {
    let bottom = |k: &usize| circles[*k].0.y - circles[*k].1;
    let least = (0..circles.len()).map(|k| bottom(&k)).min_by(f64::total_cmp)?;
    let level = (0..circles.len()).filter(|k| bottom(k) <= least + NEAR);
    level.min_by(|a, b| circles[*a].0.x.total_cmp(&circles[*b].0.x))
}

/// A circle of the hull and the outward angle at which the hull leaves it, rad.
struct Bend {
    circle: usize,
    leaves: f64,
}

/// Goes round the hull from `start`, whose outward angle there is -90 degrees.
fn wrap(circles: &[(DVec2, f64)], start: usize) -> Vec<Bend> {
    let first = -0.25 * TAU;
    let (mut here, mut angle) = (start, first);
    let mut bends = Vec::new();
    // The hull visits a circle at most once for each other circle.
    for _ in 0..=circles.len() * circles.len() {
        let next = (0..circles.len())
            .filter_map(|other| Some((other, ahead(circles[here], circles[other])?)))
            .map(|(other, leaves)| (other, angle + round(leaves - angle)))
            .min_by(|(a, at), (b, bt)| {
                let far = |i: &usize| circles[*i].0.distance(circles[here].0);
                if (at - bt).abs() <= SAME { far(b).total_cmp(&far(a)) } else { at.total_cmp(bt) }
            });
        match next {
            Some((other, leaves)) if leaves < first + TAU - SAME => {
                bends.push(Bend { circle: here, leaves });
                (here, angle) = (other, leaves);
            }
            _ => {
                bends.push(Bend { circle: here, leaves: first + TAU });
                break;
            }
        }
    }
    bends
}

/// Two outward angles that differ by less, rad, are one.
const SAME: f64 = 1e-11;

/// An angle from 0 to a whole turn; one a hair below 0 is 0.
fn round(angle: f64) -> f64 {
    let angle = angle - TAU * (angle / TAU).floor();
    if angle > TAU - SAME { 0.0 } else { angle }
}

/// The outward angle of the line that touches both circles at its left, from the first to the
/// second; `None` where one lies inside the other.
fn ahead((from, radius): (DVec2, f64), (to, other): (DVec2, f64)) -> Option<f64> {
    let apart = from.distance(to);
    if apart <= (radius - other).abs() + NEAR {
        return None;
    }
    let along = (to - from) / apart;
    let lean = (radius - other) / apart;
    let outward = along * lean - along.perp() * ((1.0 - lean) * (1.0 + lean)).sqrt();
    Some(atan2(outward.y, outward.x))
}

/// The lines and arcs of the hull. The last bend is the first circle again.
fn edges(circles: &[(DVec2, f64)], bends: &[Bend]) -> Vec<Edge> {
    let count = bends.len() - 1;
    let mut edges = Vec::new();
    let point = |circle: usize, angle: f64| circles[circle].0 + polar(circles[circle].1, angle);
    for k in 0..count {
        let (bend, next) = (&bends[k], &bends[(k + 1) % count]);
        let arrives = if k == 0 { bends[count - 1].leaves - TAU } else { bends[k - 1].leaves };
        let from = point(bend.circle, arrives);
        let to = point(bend.circle, bend.leaves);
        let (centre, radius) = circles[bend.circle];
        if bend.leaves - arrives > SAME {
            edges.push(Edge::Arc { from, to, centre, radius, turn: bend.leaves - arrives });
        }
        edges.push(Edge::Line { from: to, to: point(next.circle, bend.leaves) });
    }
    joined(edges)
}
