//! What a header has to keep clear of, ready to be asked.

use distance::{Capsule, Cylinder, Item, Near, Shell, Solid, Tree};
use std::f64::consts::TAU;

use geom::{DVec3, Frame};
use spec::design::{Form, Obstacle};

use crate::clearance::{Placed, Rim};

/// An obstacle's body.
#[derive(Clone, Debug)]
pub(crate) enum Barrier<'a> {
    /// A scan.
    Scan(&'a Placed),
    /// What was left out of a scan.
    Noise(&'a Tree),
    /// A plain body; it is convex.
    Solid(Solid),
    /// All that lies behind a plane.
    HalfSpace {
        /// A point of the plane.
        at: DVec3,
        /// The unit vector out of it.
        out: DVec3,
    },
}

/// How near some bodies come to something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Found {
    /// How near, and where.
    pub near: Near,
    /// Which body.
    pub body: usize,
    /// Which triangle or point of a scan.
    pub item: Option<Item>,
}

impl<'a> Barrier<'a> {
    /// The body of an obstacle; `None` for a scan that was not read.
    pub fn of(obstacle: &Obstacle, scan: Option<&'a Placed>) -> Option<Barrier<'a>> {
        let solid = match obstacle.form {
            Form::Scan(_) => return scan.map(Barrier::Scan),
            Form::HalfSpace { at, out } => return Some(Barrier::HalfSpace { at, out }),
            Form::Box { frame, half } => Solid::Shell(box_shell(frame, half)),
            Form::Cylinder { from, to, radius } => bar(from, to, radius)?,
            Form::Sphere { at, radius } => Solid::Capsule(Capsule { from: at, to: at, radius }),
            Form::Capsule { from, to, radius } => Solid::Capsule(Capsule { from, to, radius }),
        };
        Some(Barrier::Solid(solid))
    }

    /// The least distance of any of the bodies, if it is less than `below` mm. Of equals the first body's.
    pub fn nearest(&self, bodies: &[Solid], below: f64) -> Option<Found> {
        self.nearest_but(bodies, below, |_| false)
    }

    /// The same but for points and triangles of a scan, and plain bodies, that lie wholly where `skip` says.
    pub fn nearest_but(&self, bodies: &[Solid], below: f64, skip: impl Fn(DVec3) -> bool) -> Option<Found> {
        if let Some(tree) = self.tree() {
            let skip = |item| tree.places(item).all(&skip);
            let hit = tree.nearest_but(bodies, below, skip)?;
            return Some(Found { near: hit.near, body: hit.solid, item: Some(hit.item) });
        }
        if matches!(self, Barrier::Solid(other) if outline(other).into_iter().all(&skip)) {
            return None;
        }
        let mut best: Option<Found> = None;
        for (body, solid) in bodies.iter().enumerate() {
            let below = best.map_or(below, |best| best.near.distance);
            let near = match self {
                Barrier::HalfSpace { at, out } => Some(solid.to_half_space(*at, *out)),
                Barrier::Solid(other) => solid.to_solid_below(other, below),
                Barrier::Scan(_) | Barrier::Noise(_) => None,
            };
            if let Some(near) = near.filter(|near| near.distance < below) {
                best = Some(Found { near, body, item: None });
            }
        }
        best
    }

    /// Its triangles and points, of a scan.
    fn tree(&self) -> Option<&Tree> {
        match self {
            Barrier::Scan(scan) => Some(&scan.tree),
            Barrier::Noise(tree) => Some(tree),
            Barrier::Solid(_) | Barrier::HalfSpace { .. } => None,
        }
    }

    /// Whether it wholly holds one of the bodies, or one of them holds it; `apart` is whether they do not touch. A
    /// scan that is open somewhere and shows its front to what it goes around may be a room: that is not sure, and
    /// told where every ray meets it.
    pub fn swallows(&self, bodies: &[Solid], apart: bool) -> Option<Inside> {
        match self {
            Barrier::HalfSpace { .. } | Barrier::Noise(_) => None,
            Barrier::Solid(_) if apart => None,
            Barrier::Solid(other) => {
                let held = |solid: &Solid| holds(other, solid) || holds(solid, other);
                bodies.iter().any(held).then_some(Inside { rays: None, sure: true })
            }
            Barrier::Scan(_) if !apart => None,
            Barrier::Scan(scan) => {
                let closed = scan.told.rims.is_empty();
                let inside = bodies.iter().filter_map(|solid| {
                    let middle = middle(solid);
                    let votes = scan.tree.inside(middle);
                    let sure = votes.clear() && (closed || seen_from_behind(&scan.tree, middle));
                    let told = Inside { rays: Some([votes.inside, votes.of]), sure };
                    (sure || votes.inside == votes.of).then_some(told)
                });
                let mut unsure = None;
                for inside in inside {
                    if inside.sure {
                        return Some(inside);
                    }
                    unsure = unsure.or(Some(inside));
                }
                unsure
            }
        }
    }
}

/// A body that is inside an obstacle, or around it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Inside {
    /// How many rays said inside, of how many.
    pub rays: Option<[u32; 2]>,
    /// Whether that is sure.
    pub sure: bool,
}

/// Whether a body holds all of another: all points of its outline.
fn holds(outer: &Solid, inner: &Solid) -> bool {
    outline(inner).into_iter().all(|p| outer.contains(p))
}

/// Points all over the outside of a body: of a convex one they tell whether a convex one holds it.
fn outline(solid: &Solid) -> Vec<DVec3> {
    let rings = |at: &dyn Fn(f64) -> (Frame, f64)| -> Vec<DVec3> {
        let ring = |share: f64| {
            let (frame, radius) = at(share);
            (0..AROUND).map(move |k| frame.point(0.0, TAU * f64::from(k) / f64::from(AROUND), radius))
        };
        [0.0, 0.25, 0.5, 0.75, 1.0].into_iter().flat_map(ring).collect()
    };
    match solid {
        Solid::Cylinder(c) => rings(&|share| (c.frame.advanced(share * c.length), c.radius)),
        Solid::Bend(b) => rings(&|share| (b.frame.bent(b.clr, share * b.angle), b.radius)),
        Solid::Cone(c) => rings(&|share| {
            (c.frame.advanced(share * c.length), c.radii[0] + share * (c.radii[1] - c.radii[0]))
        }),
        Solid::Capsule(c) => {
            let ends = [c.from, c.to].into_iter();
            let ways = [DVec3::X, DVec3::Y, DVec3::Z, -DVec3::X, -DVec3::Y, -DVec3::Z];
            ends.flat_map(|end| ways.map(|way| end + way * c.radius)).collect()
        }
        Solid::Shell(s) => s.points.clone(),
    }
}

/// Points around a ring of an outline.
const AROUND: u32 = 16;

/// A point inside a body: of a tube, of its centreline.
pub(crate) fn middle(solid: &Solid) -> DVec3 {
    match solid {
        Solid::Cylinder(c) => c.frame.advanced(0.5 * c.length).at,
        Solid::Bend(b) => b.frame.bent(b.clr, 0.5 * b.angle).at,
        Solid::Cone(c) => c.frame.advanced(0.5 * c.length).at,
        Solid::Capsule(c) => 0.5 * (c.from + c.to),
        // Just behind the middle of a face.
        Solid::Shell(s) => s.triangles.first().map_or(DVec3::ZERO, |t| {
            let [a, b, c] = t.map(|corner| s.points[corner as usize]);
            (a + b + c) / 3.0 - (b - a).cross(c - a).normalize_or_zero() * BEHIND
        }),
    }
}

/// How far behind a shell's face a point is taken to be inside of it, mm.
const BEHIND: f64 = 1e-3;

/// A place of a body's outside whose own nearest place of a scan's surface is seen from behind; where that is on a
/// rim, what lies behind it is not known. The place that is furthest behind.
pub(crate) fn hidden(scan: &Placed, solid: &Solid) -> Option<Near> {
    let seen = outline(solid).into_iter().filter_map(|point| {
        let touch = scan.tree.nearest_to_point(point, f64::INFINITY)?;
        let Item::Triangle(triangle) = touch.item else { return None };
        // Most places are in front of the very triangle, and need no look at its neighbours.
        let [a, b, c] = scan.tree.triangles()[triangle as usize].map(|i| scan.tree.points()[i as usize]);
        let doubtful = (b - a).cross(c - a).dot(point - touch.at) < 0.0;
        let hidden = doubtful && !on_rim(&scan.told.rims, touch.at) && behind(&scan.tree, touch.at, point);
        hidden.then(|| solid.to_point(point)).map(|near| Near {
            distance: touch.distance,
            there: touch.at,
            ..near
        })
    });
    seen.reduce(|most, near| if near.distance > most.distance { near } else { most })
}

/// Whether a place lies where a scan's surface ends.
pub(crate) fn on_rim(rims: &[Rim], at: DVec3) -> bool {
    rims.iter().any(|Rim { points, .. }| {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).any(|(a, b)| {
            let along = *b - *a;
            let share =
                ((at - *a).dot(along) / along.length_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
            at.distance(*a + along * share) <= ON_RIM
        })
    })
}

/// How near a place has to be to a rim to be on it, mm.
const ON_RIM: f64 = 1e-6;

/// Whether the surface of a scan that is nearest to a point is seen from behind there.
fn seen_from_behind(tree: &Tree, point: DVec3) -> bool {
    let touch = tree.nearest_to_point(point, f64::INFINITY);
    touch.is_some_and(|touch| behind(tree, touch.at, point))
}

/// Whether `point` sees the place `at` of a scan's surface from behind: against the normals of all triangles
/// that meet there, each weighed by its angle there (Baerentzen and Aanaes, 2005: that normal's sign is right
/// on faces, edges and corners alike).
pub(crate) fn behind(tree: &Tree, at: DVec3, point: DVec3) -> bool {
    let normal: DVec3 =
        tree.triangles().iter().map(|t| share(t.map(|i| tree.points()[i as usize]), at)).sum();
    normal.dot(point - at) < 0.0
}

/// A triangle's unit normal times the angle that it fills around a place of it; zero where it does not hold
/// the place.
fn share([a, b, c]: [DVec3; 3], at: DVec3) -> DVec3 {
    let (low, high) = (a.min(b).min(c) - HERE, a.max(b).max(c) + HERE);
    if at.cmplt(low).any() || at.cmpgt(high).any() {
        return DVec3::ZERO;
    }
    let Some(normal) = (b - a).cross(c - a).try_normalize() else { return DVec3::ZERO };
    let beyond = [(a, b), (b, c), (c, a)].map(|(p, q)| {
        let inward = normal.cross((q - p).normalize_or_zero());
        (at - p).dot(inward)
    });
    if (at - a).dot(normal).abs() > HERE || beyond.iter().any(|d| *d < -HERE) {
        return DVec3::ZERO;
    }
    let corner = [a, b, c].iter().position(|p| p.distance(at) <= HERE);
    let angle = match corner {
        Some(k) => {
            let [p, q, r] = [[a, b, c], [b, c, a], [c, a, b]][k];
            let (u, v) = (q - p, r - p);
            geom::math::atan2(u.cross(v).length(), u.dot(v))
        }
        None if beyond.iter().any(|d| *d <= HERE) => std::f64::consts::PI,
        None => TAU,
    };
    normal * angle
}

/// How near a place has to be to a triangle to be of it, mm.
const HERE: f64 = 1e-7;

/// A round bar with flat ends; `None` where it has no length.
fn bar(from: DVec3, to: DVec3, radius: f64) -> Option<Solid> {
    let frame = Frame::upright(from, to - from)?;
    let ends = [-frame.along, frame.along];
    Some(Solid::Cylinder(Cylinder { frame, length: from.distance(to), radius, ends }))
}

/// The shell of a box about a frame's point.
fn box_shell(frame: Frame, half: DVec3) -> Shell {
    let corner = |k: u32| {
        let sign = |bit: u32| if k & bit == 0 { -1.0 } else { 1.0 };
        frame.at
            + frame.inside * (sign(1) * half.x)
            + frame.side() * (sign(2) * half.y)
            + frame.along * (sign(4) * half.z)
    };
    // Each face by its corners, counter-clockwise seen from outside; inside, side, along are right-handed.
    let faces = [[0, 4, 6, 2], [1, 3, 7, 5], [0, 1, 5, 4], [2, 6, 7, 3], [0, 2, 3, 1], [4, 5, 7, 6]];
    Shell {
        points: (0..8).map(corner).collect(),
        triangles: faces.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_is_closed_and_faces_outward() {
        let frame = Frame::upright(DVec3::new(1.0, 2.0, 3.0), DVec3::X).unwrap();
        let shell = box_shell(frame, DVec3::new(1.0, 2.0, 3.0));
        let at = |t: &[u32; 3]| t.map(|k| shell.points[k as usize] - frame.at);
        let volume: f64 = shell.triangles.iter().map(at).map(|[a, b, c]| a.dot(b.cross(c)) / 6.0).sum();
        assert!((volume - 48.0).abs() < 1e-12, "{volume}");
        assert!(Solid::Shell(shell).contains(frame.at));
    }

    /// Two sheets that meet in a sharp ridge, seen from beside its tip: in front of one, behind the other's
    /// plane.
    #[test]
    fn a_ridge_is_seen_from_its_front() {
        let points = vec![
            DVec3::new(0.0, -1.0, 0.0),
            DVec3::new(0.0, 1.0, 0.0),
            DVec3::new(-5.0, 0.0, 1.0),
            DVec3::new(-5.0, 0.0, -1.0),
        ];
        let tree = Tree::new(points, vec![[0, 1, 2], [1, 0, 3]], vec![]);
        for z in [-0.3, 0.0, 0.3] {
            assert!(!behind(&tree, DVec3::ZERO, DVec3::new(0.5, 0.0, z)), "{z}");
        }
        assert!(behind(&tree, DVec3::new(-1.0, 0.0, 0.2), DVec3::new(-1.0, 0.0, 0.1)));
    }
}
