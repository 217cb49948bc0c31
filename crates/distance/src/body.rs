//! A solid made ready for many questions.

use geom::DVec3;

use crate::bend::Arc;
use crate::bounds::Bounds;
use crate::cone::Frustum;
use crate::convex::Convex;
use crate::cylinder::Tube;
use crate::near::Near;
use crate::solid::{Capsule, Shell, Solid};
use crate::triangle::Triangle;

/// A solid with what its distances need.
#[derive(Clone, Debug)]
pub(crate) enum Body<'a> {
    Tube(Tube),
    Arc(Arc),
    Frustum(Frustum),
    Rod(Capsule),
    Shell(&'a Shell),
}

impl Solid {
    pub(crate) fn body(&self) -> Body<'_> {
        match self {
            Solid::Cylinder(c) => Body::Tube(c.tube()),
            Solid::Bend(b) => Body::Arc(b.arc()),
            Solid::Cone(c) => Body::Frustum(c.frustum()),
            Solid::Capsule(c) => Body::Rod(*c),
            Solid::Shell(s) => Body::Shell(s),
        }
    }
}

impl Body<'_> {
    pub fn to_point(&self, p: DVec3) -> Near {
        match self {
            Body::Tube(t) => t.to_point(p),
            Body::Arc(a) => a.to_point(p),
            Body::Frustum(f) => f.to_point(p),
            Body::Rod(c) => c.to_point(p),
            Body::Shell(s) => s.to_point(p),
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

    pub fn contains(&self, p: DVec3) -> bool {
        match self {
            Body::Tube(t) => t.contains(p),
            Body::Arc(a) => a.contains(p),
            Body::Frustum(f) => f.contains(p),
            Body::Rod(c) => c.to_point(p).distance <= 0.0,
            Body::Shell(s) => s.contains(p),
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
            Body::Shell(s) => Body::Shell(s),
        }
    }

    /// The way through the side to a place inside, also where the place lies on an end plane.
    pub fn sunk(&self, p: DVec3) -> Near {
        match self {
            Body::Tube(t) => t.beside(p),
            Body::Arc(a) => a.beside(p),
            Body::Frustum(f) => f.sunk(p),
            Body::Rod(c) => c.to_point(p),
            Body::Shell(s) => s.to_point(p),
        }
    }

    /// Where its centreline begins; of a shell a corner.
    pub fn begin(&self) -> DVec3 {
        match self {
            Body::Tube(t) => t.axis[0],
            Body::Arc(a) => a.discs[0].centre,
            Body::Frustum(f) => f.axis[0],
            Body::Rod(c) => c.from,
            Body::Shell(s) => s.points.first().copied().unwrap_or(DVec3::NAN),
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
            Body::Shell(s) => s.support(direction),
        }
    }
}
