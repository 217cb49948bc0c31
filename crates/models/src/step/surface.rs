//! The surfaces that solids are bounded by: planes, cylinders, cones and tori.

use geom::math::atan;
use geom::{DVec3, Frame};

use super::text::{Arg, Id, Text};

/// A surface in space. Each frame's `along` is its axis (a plane's normal); `inside` is where its
/// angles begin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// Square to the frame's travel.
    Plane(Frame),
    /// Around the frame's axis.
    Cylinder {
        /// Its axis.
        frame: Frame,
        /// Its radius, mm.
        radius: f64,
    },
    /// Around the frame's axis.
    Cone {
        /// Its axis, from where the radius is measured.
        frame: Frame,
        /// Its radius at the frame, mm.
        radius: f64,
        /// Growth of the radius for each mm along the axis; not 0.
        slope: f64,
    },
    /// A round tube bent around the frame's axis.
    Torus {
        /// Its axis and centre.
        frame: Frame,
        /// Radius of the centreline, mm.
        major: f64,
        /// Radius of the tube, mm; less than `major`.
        minor: f64,
    },
}

impl Surface {
    /// A cylinder, or a cone where `slope` is not 0.
    pub fn round(frame: Frame, radius: f64, slope: f64) -> Surface {
        if slope == 0.0 {
            Surface::Cylinder { frame, radius }
        } else {
            Surface::Cone { frame, radius, slope }
        }
    }

    /// The frame that it is placed by.
    pub fn frame(&self) -> &Frame {
        match self {
            Surface::Plane(frame)
            | Surface::Cylinder { frame, .. }
            | Surface::Cone { frame, .. }
            | Surface::Torus { frame, .. } => frame,
        }
    }

    /// The same surface whose angles begin opposite `point`, so that a face around the point does not
    /// reach across the begin. A torus's other angle stays: it begins at the outside of the bend.
    pub fn opened_opposite(self, point: DVec3) -> Surface {
        let turn = |frame: Frame| Frame::new(frame.at, frame.along, frame.at - point).unwrap_or(frame);
        match self {
            Surface::Plane(_) => self,
            Surface::Cylinder { frame, radius } => Surface::Cylinder { frame: turn(frame), radius },
            Surface::Cone { frame, radius, slope } => Surface::Cone { frame: turn(frame), radius, slope },
            Surface::Torus { frame, major, minor } => Surface::Torus { frame: turn(frame), major, minor },
        }
    }

    /// Signed distance of a point from it, mm: positive on the side that [`Surface::normal`] looks to.
    pub fn distance(&self, point: DVec3) -> f64 {
        let (height, across) = self.cylindrical(point);
        match *self {
            Surface::Plane(_) => height,
            Surface::Cylinder { radius, .. } => across.length() - radius,
            Surface::Cone { radius, slope, .. } => {
                (across.length() - radius - slope * height) / (1.0 + slope * slope).sqrt()
            }
            Surface::Torus { major, minor, .. } => geom::math::hypot(across.length() - major, height) - minor,
        }
    }

    /// Unit normal at a point on it: away from the axis, from a torus's centreline, along a plane's travel.
    pub fn normal(&self, point: DVec3) -> DVec3 {
        let (height, across) = self.cylindrical(point);
        let out = across.normalize_or_zero();
        let along = self.frame().along;
        match *self {
            Surface::Plane(_) => along,
            Surface::Cylinder { .. } => out,
            Surface::Cone { slope, .. } => (out - along * slope).normalize(),
            Surface::Torus { major, .. } => (out * (across.length() - major) + along * height).normalize(),
        }
    }

    /// `d . H d` and the gradient, both of half the surface's implicit function, at a point on it; for
    /// planes, cylinders and cones: `(|across|^2 - (radius + slope height)^2) / 2`.
    pub fn implicit(&self, point: DVec3, d: DVec3) -> (DVec3, f64) {
        let along = self.frame().along;
        let (height, across) = self.cylindrical(point);
        let rise = d.dot(along);
        let square = d.length_squared() - rise * rise;
        match *self {
            Surface::Plane(_) => (along, 0.0),
            Surface::Cone { radius, slope, .. } => {
                let gradient = across - along * (slope * (radius + slope * height));
                (gradient, square - slope * slope * rise * rise)
            }
            Surface::Cylinder { .. } | Surface::Torus { .. } => (across, square),
        }
    }

    /// Writes it.
    pub fn write(&self, text: &mut Text) -> Id {
        match *self {
            Surface::Plane(frame) => {
                let placement = text.placement(&frame);
                text.add("PLANE", &[Arg::Text(""), Arg::Ref(placement)])
            }
            Surface::Cylinder { frame, radius } => {
                let placement = text.placement(&frame);
                text.add("CYLINDRICAL_SURFACE", &[Arg::Text(""), Arg::Ref(placement), Arg::Real(radius)])
            }
            Surface::Cone { frame, radius, slope } => {
                // The format's cone widens along its axis.
                let axis = if slope < 0.0 { frame.reversed() } else { frame };
                let placement = text.placement(&axis);
                let angle = atan(slope.abs());
                let arguments = [Arg::Text(""), Arg::Ref(placement), Arg::Real(radius), Arg::Real(angle)];
                text.add("CONICAL_SURFACE", &arguments)
            }
            Surface::Torus { frame, major, minor } => {
                let placement = text.placement(&frame);
                let arguments = [Arg::Text(""), Arg::Ref(placement), Arg::Real(major), Arg::Real(minor)];
                text.add("TOROIDAL_SURFACE", &arguments)
            }
        }
    }

    /// A point's height along the axis, and its vector away from it.
    pub fn cylindrical(&self, point: DVec3) -> (f64, DVec3) {
        let frame = self.frame();
        let from = point - frame.at;
        let height = from.dot(frame.along);
        (height, from - frame.along * height)
    }

    /// Radius of a cylinder, or of a cone at `height`.
    pub fn radius_at(&self, height: f64) -> f64 {
        match *self {
            Surface::Cone { radius, slope, .. } => radius + slope * height,
            Surface::Cylinder { radius, .. } => radius,
            Surface::Torus { minor, .. } => minor,
            Surface::Plane(_) => f64::INFINITY,
        }
    }
}
