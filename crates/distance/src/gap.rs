//! The shortest way between two bodies that stand apart; 0 where they meet.
//!
//! Where two bodies are nearest, each end of the way lies on a side, inside a flat end, or on its rim. Each of
//! these is asked for; every answer is a way between two points of the bodies, so none can be too short.

use geom::DVec3;

use crate::bend::Arc;
use crate::body::Body;
use crate::cone::Frustum;
use crate::convex::{Convex, on_segment};
use crate::cylinder::Tube;
use crate::disc::Disc;
use crate::halving::halved;
use crate::solid::Capsule;

/// A way between two bodies.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gap {
    pub distance: f64,
    /// Its end on the first body.
    pub on: DVec3,
    /// Its end on the other.
    pub there: DVec3,
}

impl Gap {
    /// A way that is yet to be found and must be shorter than `distance`.
    pub fn under(distance: f64) -> Gap {
        Gap { distance, on: DVec3::NAN, there: DVec3::NAN }
    }

    pub fn between(on: DVec3, there: DVec3) -> Gap {
        Gap { distance: on.distance(there), on, there }
    }

    pub fn or(self, other: Gap) -> Gap {
        if other.distance < self.distance { other } else { self }
    }

    fn turned(self) -> Gap {
        Gap { on: self.there, there: self.on, ..self }
    }
}

/// The shortest way between two bodies, neither of them a shell, where it is shorter than `best`.
pub(crate) fn gap(a: &Body, b: &Body, best: Gap) -> Gap {
    match (a, b) {
        (Body::Arc(a), Body::Arc(b)) => arcs(a, b, best),
        (Body::Arc(a), _) => hull(b).map_or(best, |b| arc_to_hull(a, b, best)),
        (_, Body::Arc(b)) => hull(a).map_or(best, |a| arc_to_hull(b, a, best.turned()).turned()),
        _ => match (hull(a), hull(b)) {
            (Some(a), Some(b)) => hulls(a, b, best),
            _ => best,
        },
    }
}

/// A convex body.
#[derive(Clone, Copy)]
enum Hull<'a> {
    Tube(&'a Tube),
    Frustum(&'a Frustum),
    Rod(&'a Capsule),
    Disc(&'a Disc),
}

fn hull<'a>(body: &'a Body) -> Option<Hull<'a>> {
    match body {
        Body::Tube(t) => Some(Hull::Tube(t)),
        Body::Frustum(f) => Some(Hull::Frustum(f)),
        Body::Rod(c) => Some(Hull::Rod(c)),
        Body::Arc(_) | Body::Shell(_) => None,
    }
}

impl Convex for Hull<'_> {
    fn nearest(&self, p: DVec3) -> DVec3 {
        match self {
            Hull::Tube(t) => t.nearest(p),
            Hull::Frustum(f) => f.nearest(p),
            Hull::Rod(c) => c.nearest(p),
            Hull::Disc(d) => d.nearest(p),
        }
    }

    fn support(&self, direction: DVec3) -> DVec3 {
        match self {
            Hull::Tube(t) => t.support(direction),
            Hull::Frustum(f) => f.support(direction),
            Hull::Rod(c) => c.support(direction),
            Hull::Disc(d) => d.support(direction),
        }
    }
}

impl<'a> Hull<'a> {
    /// A line and a radius within which all of it lies, if its side is at that radius.
    fn line(&self) -> Option<([DVec3; 2], f64)> {
        match self {
            Hull::Tube(t) => Some((t.whole_axis(), t.radius)),
            Hull::Rod(c) => Some(([c.from, c.to], c.radius)),
            Hull::Frustum(_) | Hull::Disc(_) => None,
        }
    }

    fn discs(&self) -> &'a [Disc] {
        match self {
            Hull::Tube(t) => &t.discs,
            Hull::Frustum(f) => &f.discs,
            Hull::Rod(_) => &[],
            Hull::Disc(d) => std::slice::from_ref(*d),
        }
    }

    fn middle(&self) -> DVec3 {
        match self {
            Hull::Tube(t) => 0.5 * (t.axis[0] + t.axis[1]),
            Hull::Frustum(f) => 0.5 * (f.axis[0] + f.axis[1]),
            Hull::Rod(c) => 0.5 * (c.from + c.to),
            Hull::Disc(d) => d.centre,
        }
    }

    /// From the place of this body that is nearest to `there`, a place of the other.
    fn to(&self, there: DVec3) -> Gap {
        Gap::between(self.nearest(there), there)
    }
}

/// Of two convex bodies: the side of one without slope, its flat ends' insides and rims; of two cones a side too.
fn hulls<'a>(a: Hull<'a>, b: Hull<'a>, best: Gap) -> Gap {
    if matches!(a, Hull::Frustum(_)) && !matches!(b, Hull::Frustum(_)) {
        return hulls(b, a, best.turned()).turned();
    }
    let mut best = best.or(a.to(b.nearest(a.middle())));
    best = best.or(a.to(b.nearest(a.nearest(b.middle()))));
    if best.distance == 0.0 {
        return best;
    }
    if let Some((axis, radius)) = a.line() {
        let p = on_segment(&b, axis[0], axis[1]);
        let way = a.to(b.nearest(p));
        best = best.or(way);
        // Nothing of `a` is nearer than its line less its radius.
        let floor = p.distance(way.there) - radius;
        if best.distance - floor.max(0.0) <= 1e-12 * (1.0 + radius) {
            return best;
        }
    }
    for disc in a.discs() {
        best = best.or(a.to(b.support(-disc.out))).or(a.to(b.support(disc.out)));
    }
    for disc in b.discs() {
        let on = a.support(-disc.out);
        best = best.or(Gap::between(on, b.nearest(on)));
    }
    for disc in a.discs() {
        best = end(&a, disc, &b, best);
    }
    if let Hull::Frustum(Frustum { discs: [first, last], .. }) = a {
        // The two flat ends look away from each other, so their rims turn against each other.
        let first = Disc { across: -first.across, ..*first };
        best = ruled(&a, [&first, last], &b, best);
    }
    best
}

/// A flat end of `a` against `b`: its rim, or, where `b` stands on both sides of its plane, all of it, as spokes.
fn end(a: &Hull, disc: &Disc, b: &Hull, best: Gap) -> Gap {
    if Gap::between(disc.centre, b.nearest(disc.centre)).distance - disc.half[0] >= best.distance {
        return best;
    }
    let height = |p: DVec3| (p - disc.centre).dot(disc.out);
    if height(b.support(disc.out)) > 0.0 && height(b.support(-disc.out)) < 0.0 {
        ruled(a, [&Disc { half: [0.0; 2], ..*disc }, disc], b, best)
    } else {
        rim(a, disc, b, best)
    }
}

/// The rim of an end of `a` against `b`.
///
/// At each turn the plane square to the way to `b` parts the two; from there the rim can come nearer only as
/// fast as it turns toward that plane.
fn rim(a: &Hull, disc: &Disc, b: &Hull, best: Gap) -> Gap {
    halved(best, [0.0, std::f64::consts::TAU], 8, |turn, half| {
        let (p, way) = disc.rim(turn);
        let there = b.nearest(p);
        let apart = p.distance(there);
        let square = (p - there) / apart;
        let floor = if apart > 0.0 { apart - disc.approach(square, way, half) } else { 0.0 };
        (a.to(there), floor)
    })
}

/// The lines from rim to rim of two flat ends, a surface of `a`, against `b`.
fn ruled(a: &Hull, ends: [&Disc; 2], b: &Hull, best: Gap) -> Gap {
    halved(best, [0.0, std::f64::consts::TAU], 8, |turn, half| {
        let rims = ends.map(|disc| disc.rim(turn));
        let p = on_segment(b, rims[0].0, rims[1].0);
        let there = b.nearest(p);
        let apart = p.distance(there);
        if apart == 0.0 {
            return (Gap::between(p, there), 0.0);
        }
        let square = (p - there) / apart;
        let floor = |i: usize| (rims[i].0 - there).dot(square) - ends[i].approach(square, rims[i].1, half);
        (a.to(there), floor(0).min(floor(1)))
    })
}

/// A bend against a convex body: its side, then its flat ends.
fn arc_to_hull(arc: &Arc, b: Hull, best: Gap) -> Gap {
    let best = arc_side(arc, &b, best);
    arc.discs.iter().fold(best, |best, disc| {
        let apart = disc.centre.distance(b.nearest(disc.centre));
        if apart - disc.half[0] >= best.distance { best } else { hulls(Hull::Disc(disc), b, best) }
    })
}

/// The side of a bend against a convex body.
///
/// The way from the centreline is square to it there. Its direction turns by at most 1 / distance for each mm,
/// the centreline by 1 / radius: where it is further from square than that allows, there is no such place.
fn arc_side(arc: &Arc, b: &Hull, best: Gap) -> Gap {
    halved(best, [0.0, arc.angle], 4, |turn, half| {
        let (p, along) = arc.at(turn);
        let there = b.nearest(p);
        let way = Gap::between(arc.nearest(there), there);
        let apart = p.distance(there);
        let (reach, lean) = (half * arc.clr, (p - there).dot(along).abs() / apart);
        if reach < apart && lean > reach * (1.0 / (apart - reach) + 1.0 / arc.clr) {
            return (way, f64::INFINITY);
        }
        (way, apart - lean * reach - 0.5 * reach * half - arc.radius)
    })
}

/// Two bends: side against side, then the flat ends of each against the other.
fn arcs(a: &Arc, b: &Arc, best: Gap) -> Gap {
    let mut best = sides(a, b, best);
    for disc in &a.discs {
        if b.to_point(disc.centre).distance - disc.half[0] < best.distance {
            best = arc_to_hull(b, Hull::Disc(disc), best.turned()).turned();
        }
    }
    for disc in &b.discs {
        if a.to_point(disc.centre).distance - disc.half[0] < best.distance {
            best = arc_side(a, &Hull::Disc(disc), best);
        }
    }
    best
}

/// The side of one bend against the side of another: as [`arc_side`], but the way to a circle also turns by
/// 1 / the distance from its axis. Where the foot on the circle stays beyond the other bend's ends no way ends on its
/// side: its flat ends are asked for on their own.
fn sides(a: &Arc, b: &Arc, best: Gap) -> Gap {
    halved(best, [0.0, a.angle], 8, |turn, half| {
        let (p, along) = a.at(turn);
        let there = b.nearest(p);
        let way = Gap::between(a.nearest(there), there);
        let (foot, rho) = b.circle_foot(p);
        let (apart, reach) = (p.distance(foot), half * a.clr);
        let thickness = a.radius + b.radius;
        // Along the stretch the foot turns by less than PI / 2 of reach / rho.
        if reach < 0.5 * rho && b.beyond(p) > std::f64::consts::FRAC_PI_2 * reach / rho {
            return (way, f64::INFINITY);
        }
        if reach >= 0.5 * apart.min(rho) {
            return (way, apart - reach - thickness);
        }
        let turning = 1.0 / (apart - reach).min(rho - reach) + 1.0 / a.clr;
        let lean = (p - foot).dot(along).abs() / apart;
        if lean > reach * turning {
            return (way, f64::INFINITY);
        }
        (way, apart - lean * reach - 0.5 * turning * reach * reach - thickness)
    })
}
