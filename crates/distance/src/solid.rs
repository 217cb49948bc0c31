//! The bodies that a header is made of.

use geom::{DVec3, Frame, Similarity};

use crate::bounds::Bounds;
use crate::near::Near;
use crate::triangle::Triangle;

/// A full body.
#[derive(Clone, Debug, PartialEq)]
pub enum Solid {
    /// A straight length of tube.
    Cylinder(Cylinder),
    /// A bent length of tube: part of a torus, its ends flat.
    Bend(Bend),
    /// A plain cone with flat ends.
    Cone(Cone),
    /// Everything within a radius of a line, its ends round; a ball where the line has no length.
    Capsule(Capsule),
    /// A closed surface of triangles.
    Shell(Shell),
}

/// A straight length of round tube, its ends flat: square, or cut by a plane (a mitre, a saw cut).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Its axis at its first end.
    pub frame: Frame,
    /// Length along its axis from plane to plane, mm.
    pub length: f64,
    /// Outside radius, mm.
    pub radius: f64,
    /// Unit vectors out of its ends, square to the end planes, which pass through the axis at 0 and at
    /// `length`; of square ends `-along` and `along`.
    pub ends: [DVec3; 2],
}

/// A bent length of round tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Its centreline at its first end; `inside` looks toward the bend's centre.
    pub frame: Frame,
    /// Centreline radius, mm.
    pub clr: f64,
    /// Angle of the bend, rad; under TAU.
    pub angle: f64,
    /// Outside radius of the tube, mm; at most `clr`.
    pub radius: f64,
}

/// A plain cone with flat, square ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Its axis at its first end.
    pub frame: Frame,
    /// Length along its axis, mm.
    pub length: f64,
    /// Outside radius at its two ends, mm; one may be 0.
    pub radii: [f64; 2],
}

/// Everything within a radius of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capsule {
    /// The line's begin.
    pub from: DVec3,
    /// Its end.
    pub to: DVec3,
    /// The radius, mm.
    pub radius: f64,
}

/// A closed surface of triangles that run counter-clockwise seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Shell {
    /// Its corners.
    pub points: Vec<DVec3>,
    /// Three indices into `points` a triangle.
    pub triangles: Vec<[u32; 3]>,
}

impl Solid {
    /// Its box along the car's axes: no larger than it has to be.
    pub fn bounds(&self) -> Bounds {
        self.body().bounds()
    }

    /// The distance to a point; see [`Near::distance`] for what it is inside.
    pub fn to_point(&self, p: DVec3) -> Near {
        self.body().to_point(p)
    }

    /// The least distance to a triangle, which may have shrunk to a line or a point.
    pub fn to_triangle(&self, corners: [DVec3; 3]) -> Near {
        self.body().to_triangle(&Triangle { corners })
    }

    /// Whether a point is in it or on its outside.
    pub fn contains(&self, p: DVec3) -> bool {
        self.body().contains(p)
    }

    /// The same solid moved, turned and scaled. The change must not mirror: a bend's frame cannot follow it.
    pub fn carried(&self, by: &Similarity) -> Solid {
        match self {
            Solid::Cylinder(c) => Solid::Cylinder(c.carried(by)),
            Solid::Bend(b) => Solid::Bend(b.carried(by)),
            Solid::Cone(c) => Solid::Cone(c.carried(by)),
            Solid::Capsule(c) => Solid::Capsule(c.carried(by)),
            Solid::Shell(s) => Solid::Shell(s.carried(by)),
        }
    }
}

/// A frame moved and turned.
pub(crate) fn carried_frame(frame: &Frame, by: &Similarity) -> Frame {
    let along = (by.linear * frame.along).normalize();
    let inside = by.linear * frame.inside;
    Frame { at: by.apply(frame.at), along, inside: (inside - along * inside.dot(along)).normalize() }
}
