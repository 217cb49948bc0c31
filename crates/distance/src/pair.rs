//! Solid against solid.

use geom::DVec3;

use crate::body::Body;
use crate::bounds::Bounds;
use crate::gap::{Gap, gap};
use crate::near::{Near, nearer};
use crate::solid::{Shell, Solid};
use crate::triangle::{Triangle, segments};

/// Bodies whose gap is found to be less are taken to meet, mm: the arithmetic leaves so much.
const MEETING: f64 = 1e-11;

impl Solid {
    /// The least distance to another solid, all of it: 0 or less where they meet, however deep one is in the
    /// other; see [`Near::distance`].
    pub fn to_solid(&self, other: &Solid) -> Near {
        nearest(&self.body(), &other.body(), f64::INFINITY).unwrap_or(Near::FAR)
    }

    /// [`Solid::to_solid`] where that is less than `below` (mm); quick where they are further apart.
    pub fn to_solid_below(&self, other: &Solid, below: f64) -> Option<Near> {
        let (a, b) = (self.body(), other.body());
        // Boxes that meet say nothing of how deep their bodies may be in each other.
        let least = a.least_to(&b);
        if least > 0.0 && least >= below { None } else { nearest(&a, &b, below) }
    }
}

/// The least distance from `a` to `b` where it is less than `below`.
fn nearest(a: &Body, b: &Body, below: f64) -> Option<Near> {
    let near = match (a, b) {
        (Body::Shell(a), Body::Shell(b)) => shells(a.shell, b.shell),
        (_, Body::Shell(b)) => to_shell(a, b.shell, below),
        (Body::Shell(a), _) => from_shell(a.shell, b, below),
        _ => {
            let way = gap(a, b, Gap::under(below.max(1e-9)));
            if way.distance > MEETING { a.apart(way) } else { deepest(a, b) }
        }
    };
    (near.distance < below).then_some(near)
}

/// How deep `b` reaches into the side of `a`: by how much `a` has to be thinned to let go of it.
///
/// A body thinned by d holds what is at least d deep in it, so the wanted depth is the root of the gap to the
/// thinned body. From above, the gap itself (a part of it where rims and tips move faster) is a step that never passes the root, and hits it where `b` lies beside a tube; elsewhere a secant helps, and is
/// taken back by halving where it passes.
fn deepest(a: &Body, b: &Body) -> Near {
    let (mut low, mut high) = (0.0, a.depth());
    let mut way = gap(&a.thinned(high), b, Gap::under(f64::INFINITY));
    if way.distance <= MEETING {
        return Near { distance: -high, ..a.sunk(way.there) };
    }
    // A place of `b` that is `low` deep.
    let mut held: Option<DVec3> = None;
    let least = a.thinning();
    let mut slope = 1.0 / least;
    for _ in 0..100 {
        let certain = (high - way.distance * least).max(0.0);
        if certain - low <= 1e-12 {
            return Near { distance: 0.0 - certain, ..a.sunk(held.unwrap_or(way.there)) };
        }
        let secant = high - way.distance / slope;
        let next = if secant > low { secant } else { 0.5 * (low + certain) };
        let found = gap(&a.thinned(next), b, Gap::under(f64::INFINITY));
        if found.distance > MEETING {
            slope = ((way.distance - found.distance) / (high - next)).clamp(1e-3, 1.0 / least);
            (high, way) = (next, found);
        } else if next >= certain {
            return Near { distance: 0.0 - certain, ..a.sunk(found.there) };
        } else {
            held = Some(found.there);
            // The middle is next.
            (low, slope) = (next, 0.0);
        }
    }
    Near { distance: -high, ..a.sunk(way.there) }
}

/// A body against a shell: its faces, or, where they are all further away, its inside.
fn to_shell(a: &Body, shell: &Shell, below: f64) -> Near {
    let start = a.begin();
    if shell.contains(start) {
        return Near { distance: -a.depth(), ..a.sunk(start) };
    }
    shell.faces().fold(Near { distance: below, ..Near::FAR }, |best, face| {
        let (middle, reach) = face.ball();
        let floor = a.to_point(middle).distance - reach;
        if floor > 0.0 && floor >= best.distance { best } else { nearer(best, a.to_triangle(&face)) }
    })
}

/// A shell against a body; never less than 0.
fn from_shell(shell: &Shell, b: &Body, below: f64) -> Near {
    let near = to_shell(b, shell, below);
    Near { distance: near.distance.max(0.0), on: near.there, there: near.on, station: 0.0 }
}

/// The nearest of two shells' faces: those of the first by how near their boxes come to the second's.
fn shells(shell: &Shell, other: &Shell) -> Near {
    let reach = Bounds::of(other.points.iter().copied());
    let floor = |face: &Triangle| Bounds::of(face.corners).distance(&reach);
    let to = |face: &Triangle, best: Near| {
        let (middle, radius) = face.ball();
        other.faces().fold(best, |best, theirs| {
            let (at, reach) = theirs.ball();
            if at.distance(middle) - radius - reach > best.distance {
                return best;
            }
            let [on, there] = face.to_triangle(&theirs);
            nearer(best, Near::between(on, there, 0.0))
        })
    };
    let first = shell.faces().min_by(|a, b| floor(a).total_cmp(&floor(b)));
    let first = first.map_or(Near::FAR, |face| to(&face, Near::FAR));
    let near = shell.faces().fold(
        first,
        |best, face| {
            if floor(&face) > best.distance { best } else { to(&face, best) }
        },
    );
    let holds = |a: &Shell, b: &Shell| b.points.first().is_some_and(|point| a.contains(*point));
    let inside = near.distance > 0.0 && (holds(other, shell) || holds(shell, other));
    if inside { Near { distance: 0.0, ..near } } else { near }
}

impl Body<'_> {
    /// A way from its outside as a distance.
    fn apart(&self, way: Gap) -> Near {
        Near { station: self.to_point(way.there).station, ..Near::between(way.on, way.there, 0.0) }
    }

    /// What the distance to another body is at least: by lines that run through both, or by their boxes.
    fn least_to(&self, other: &Body) -> f64 {
        match (self.core(), other.core()) {
            (Some(([a, b], r)), Some(([c, d], s))) => {
                let (p, q) = segments(a, b, c, d);
                p.distance(q) - r - s - 1e-9
            }
            _ => self.bounds().distance(&other.bounds()),
        }
    }
}
