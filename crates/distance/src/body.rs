//! A solid made ready for many questions.

use geom::DVec3;

use crate::bend::Arc;
use crate::bounds::Bounds;
use crate::cone::Frustum;
use crate::convex::Convex;
use crate::cylinder::Tube;
use crate::near::Near;
use crate::solid::{Capsule, Solid};
use crate::surface::Surface;
use crate::triangle::{Triangle, on_segment};

/// A solid with what its distances need.
#[derive(Clone, Debug)]
pub(crate) enum Body<'a> {
    Tube(Tube),
    Arc(Arc),
    Frustum(Frustum),
    Rod(Capsule),
    Shell(Surface<'a>),
}

impl Solid {
    pub(crate) fn body(&self) -> Body<'_> {
        match self {
            Solid::Cylinder(c) => Body::Tube(c.tube()),
            Solid::Bend(b) => Body::Arc(b.arc()),
            Solid::Cone(c) => Body::Frustum(c.frustum()),
            Solid::Capsule(c) => Body::Rod(*c),
            Solid::Shell(s) => Body::Shell(Surface::new(s)),
        }
    }

    /// [`Solid::body`] for many questions: of a shell with a tree.
    pub(crate) fn prepared(&self) -> Body<'_> {
        if let Solid::Shell(s) = self { Body::Shell(Surface::prepared(s)) } else { self.body() }
    }
}

impl Body<'_> {
    pub fn to_point(&self, p: DVec3) -> Near {
        match self {
            Body::Tube(t) => t.to_point(p),
            Body::Arc(a) => a.to_point(p),
            Body::Frustum(f) => f.to_point(p),
            Body::Rod(c) => c.to_point(p),
            Body::Shell(s) => s.shell.to_point(p),
        }
    }

    pub fn to_triangle(&self, triangle: &Triangle) -> Near {
        match self {
            Body::Tube(t) => t.to_triangle(triangle),
            Body::Arc(a) => a.to_triangle(triangle),
            Body::Frustum(f) => f.to_triangle(triangle),
            Body::Rod(c) => c.to_triangle(triangle),
            Body::Shell(s) => s.to_triangle(triangle),
        }
    }

    /// The least distance to a triangle, or `None` where that is plainly more than `bound`.
    pub fn to_triangle_below(&self, triangle: &Triangle, bound: f64) -> Option<Near> {
        let (middle, reach) = triangle.ball();
        let floor = self.floor_of(
            middle,
            |way| triangle.corners.iter().map(|&p| (p - middle).dot(way)).fold(f64::INFINITY, f64::min),
            reach,
        );
        (floor <= bound + 1e-9).then(|| self.to_triangle(triangle))
    }

    /// What the distance to anything in a box is at least; the box is told by its middle and half its size.
    pub fn floor(&self, middle: DVec3, half: DVec3) -> f64 {
        self.floor_of(middle, |way| -way.abs().dot(half), half.length())
    }

    /// What the distance to anything is at least that lies within `reach` of `middle`, and in a direction not
    /// further back from it than `back` says (0 or less).
    ///
    /// The plane square to the way to `middle`, moved up to the body's furthest point, parts the two. A bend is
    /// hollow, so for it a ball about the middle may tell more. Where they may meet nothing is told but how deep
    /// something can be: within a radius of a line.
    fn floor_of(&self, middle: DVec3, back: impl Fn(DVec3) -> f64, reach: f64) -> f64 {
        if let Body::Shell(s) = self {
            return s.floor(middle, back, reach);
        }
        let (distance, on) = self.foot(middle);
        if distance > 0.0 {
            let way = (middle - on) / middle.distance(on);
            let hollow = matches!(self, Body::Arc(_));
            let furthest = if hollow { self.support(way) } else { on };
            let floor = (middle - furthest).dot(way) + back(way);
            let floor = if hollow { floor.max(distance - reach) } else { floor };
            if floor > 0.0 {
                return floor;
            }
        }
        let Some(([from, to], radius)) = self.core() else { return -self.depth() };
        let foot = on_segment(from, to, middle);
        let away = foot.distance(middle);
        let beside = if away > 0.0 { away + back((middle - foot) / away) - radius } else { -radius };
        beside.max(-self.depth())
    }

    /// The distance to a point as [`Body::to_point`] tells, and its place on the outside, without the station.
    fn foot(&self, p: DVec3) -> (f64, DVec3) {
        match self {
            Body::Arc(a) => a.foot(p),
            _ => {
                let near = self.to_point(p);
                (near.distance, near.on)
            }
        }
    }

    pub fn contains(&self, p: DVec3) -> bool {
        match self {
            Body::Tube(t) => t.contains(p),
            Body::Arc(a) => a.contains(p),
            Body::Frustum(f) => f.contains(p),
            Body::Rod(c) => c.to_point(p).distance <= 0.0,
            Body::Shell(s) => s.shell.contains(p),
        }
    }

    /// How deep a point can be in it, mm.
    pub fn depth(&self) -> f64 {
        match self {
            Body::Tube(t) => t.radius,
            Body::Arc(a) => a.radius,
            Body::Frustum(f) => f.radii[0].max(f.radii[1]) * f.cosine,
            Body::Rod(c) => c.radius,
            Body::Shell(_) => 0.0,
        }
    }

    /// How much thinner it has to be made at least to draw back 1 mm at any place.
    pub fn thinning(&self) -> f64 {
        match self {
            Body::Tube(t) => t.thinning(),
            Body::Frustum(f) => f.thinning(),
            _ => 1.0,
        }
    }

    /// What of it is at least `by` deep (mm).
    pub fn thinned(&self, by: f64) -> Body<'_> {
        match self {
            Body::Tube(t) => Body::Tube(t.thinned((t.radius - by).max(0.0))),
            Body::Arc(a) => Body::Arc(a.thinned((a.radius - by).max(0.0))),
            Body::Frustum(f) => Body::Frustum(f.thinned(by)),
            Body::Rod(c) => Body::Rod(Capsule { radius: (c.radius - by).max(0.0), ..*c }),
            Body::Shell(s) => Body::Shell(Surface::new(s.shell)),
        }
    }

    /// The way through the side to a place inside, also where the place lies on an end plane.
    pub fn sunk(&self, p: DVec3) -> Near {
        match self {
            Body::Tube(t) => t.beside(p),
            Body::Arc(a) => a.beside(p),
            Body::Frustum(f) => f.sunk(p),
            Body::Rod(c) => c.to_point(p),
            Body::Shell(s) => s.shell.to_point(p),
        }
    }

    /// Where its centreline begins; of a shell a corner.
    pub fn begin(&self) -> DVec3 {
        match self {
            Body::Tube(t) => t.axis[0],
            Body::Arc(a) => a.discs[0].centre,
            Body::Frustum(f) => f.axis[0],
            Body::Rod(c) => c.from,
            Body::Shell(s) => s.shell.points.first().copied().unwrap_or(DVec3::NAN),
        }
    }

    /// A line and a radius about it within which all of it lies.
    pub fn core(&self) -> Option<([DVec3; 2], f64)> {
        match self {
            Body::Tube(t) => Some((t.whole_axis(), t.radius)),
            Body::Arc(a) => a.core(),
            Body::Frustum(f) => Some((f.axis, f.radii[0].max(f.radii[1]))),
            Body::Rod(c) => Some(([c.from, c.to], c.radius)),
            Body::Shell(_) => None,
        }
    }

    /// Its box along the car's axes.
    pub fn bounds(&self) -> Bounds {
        let reach = |axis: DVec3| (self.support(-axis).dot(axis), self.support(axis).dot(axis));
        let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(reach);
        Bounds { min: DVec3::new(x.0, y.0, z.0), max: DVec3::new(x.1, y.1, z.1) }
    }

    /// Its furthest point in a direction.
    pub fn support(&self, direction: DVec3) -> DVec3 {
        match self {
            Body::Tube(t) => t.support(direction),
            Body::Arc(a) => a.support(direction),
            Body::Frustum(f) => f.support(direction),
            Body::Rod(c) => c.support(direction),
            Body::Shell(s) => s.shell.support(direction),
        }
    }
}
