//! Where edges meet, and how far apart they are.

use glam::DVec2;

use crate::edge::{Edge, NEAR};

/// The shortest way between two things, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Its length; 0 where they meet.
    pub distance: f64,
    /// Its end on the first.
    pub a: DVec2,
    /// Its end on the second.
    pub b: DVec2,
}

impl Gap {
    /// The gap between two points.
    pub fn of(a: DVec2, b: DVec2) -> Gap {
        Gap { distance: a.distance(b), a, b }
    }

    /// The shorter of two.
    pub fn shorter(self, other: Gap) -> Gap {
        if other.distance < self.distance { other } else { self }
    }
}

/// The shortest way between two edges.
///
/// Where they do not meet, one of its ends is an end of an edge, or the point of an arc that lies
/// square to the line or in line with the other arc's centre.
pub(crate) fn between(a: &Edge, b: &Edge) -> Gap {
    if let Some(point) = crossings(a, b).first() {
        return Gap { distance: 0.0, a: *point, b: *point };
    }
    let from_a = candidates(a, b).into_iter().map(|point| Gap::of(point, b.nearest(point)));
    let from_b = candidates(b, a).into_iter().map(|point| Gap::of(a.nearest(point), point));
    from_a.chain(from_b).fold(Gap::of(a.from(), b.from()), Gap::shorter)
}

/// Points of `edge` that may be the nearest to `other`.
fn candidates(edge: &Edge, other: &Edge) -> Vec<DVec2> {
    let mut points = vec![edge.from(), edge.to()];
    if let Edge::Arc { centre, radius, .. } = *edge {
        let towards = match *other {
            Edge::Line { from, to } => (to - from).perp(),
            Edge::Arc { centre: other, .. } => other - centre,
        };
        if let Some(towards) = towards.try_normalize() {
            let both = [towards, -towards];
            points.extend(both.into_iter().filter(|d| edge.passes(*d)).map(|d| centre + d * radius));
        }
    }
    points
}

/// The points that two edges have in common; edges that run along each other give their ends.
pub(crate) fn crossings(a: &Edge, b: &Edge) -> Vec<DVec2> {
    let points = match (*a, *b) {
        (Edge::Line { from: p, to: q }, Edge::Line { from: r, to: s }) => line_line(p, q, r, s),
        (Edge::Line { from, to }, Edge::Arc { centre, radius, .. })
        | (Edge::Arc { centre, radius, .. }, Edge::Line { from, to }) => {
            line_circle(from, to, centre, radius)
        }
        (Edge::Arc { centre, radius, .. }, Edge::Arc { centre: other, radius: far, .. }) => {
            circle_circle(centre, radius, other, far)
        }
    };
    let ends = [a.from(), a.to(), b.from(), b.to()];
    let on = |edge: &Edge, point: DVec2| edge.nearest(point).distance(point) <= NEAR;
    points.into_iter().chain(ends).filter(|point| on(a, *point) && on(b, *point)).collect()
}

/// Where two endless lines meet; none where they are parallel.
pub(crate) fn line_line(p: DVec2, q: DVec2, r: DVec2, s: DVec2) -> Vec<DVec2> {
    let (u, v) = (q - p, s - r);
    let across = u.perp_dot(v);
    if across.abs() <= 1e-12 * u.length() * v.length() {
        return Vec::new();
    }
    vec![p + u * ((r - p).perp_dot(v) / across)]
}

/// Where an endless line meets a circle; one point twice where it touches within [`NEAR`].
pub(crate) fn line_circle(from: DVec2, to: DVec2, centre: DVec2, radius: f64) -> Vec<DVec2> {
    let along = (to - from).normalize();
    let foot = from + along * (centre - from).dot(along);
    let height = foot.distance(centre);
    if height > radius + NEAR {
        return Vec::new();
    }
    let half = ((radius - height) * (radius + height)).max(0.0).sqrt();
    vec![foot - along * half, foot + along * half]
}

/// Where two circles meet; none where they are concentric.
pub(crate) fn circle_circle(centre: DVec2, radius: f64, other: DVec2, far: f64) -> Vec<DVec2> {
    let apart = centre.distance(other);
    if apart <= NEAR || apart > radius + far + NEAR || apart < (radius - far).abs() - NEAR {
        return Vec::new();
    }
    let towards = (other - centre) / apart;
    let along = 0.5 * (apart + (radius - far) * (radius + far) / apart);
    let half = ((radius - along) * (radius + along)).max(0.0).sqrt();
    let foot = centre + towards * along;
    vec![foot + towards.perp() * half, foot - towards.perp() * half]
}
