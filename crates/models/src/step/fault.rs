//! Why a piece has no exact solid.

use std::fmt;

use geom::DVec3;

use super::spline::SplineFault;

/// Why a piece cannot be written as a solid with exact surfaces.
#[derive(Clone, Debug, PartialEq)]
pub enum SolidFault {
    /// A bend's centreline radius (first, mm) leaves nothing of the inside of a tube of this radius.
    TightBend(f64, f64),
    /// Corners, holes and touching cuts leave no clock free for the seams of its wall.
    NoSeam,
    /// Its wall ends off the surface that its cut should end it on, at this point, by so many mm.
    OffCut(DVec3, f64),
    /// Two faces of an end meet, from this point, in a curve that is no line, circle or ellipse.
    Through(DVec3),
    /// Two surfaces meet in a curve that cannot be fitted.
    Spline(SplineFault),
    /// It has a hole, by number from 0, that does not suit the wall's seams.
    Hole(usize),
    /// Its faces do not close.
    Open(String),
}

impl fmt::Display for SolidFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SolidFault::TightBend(radius, outer) => write!(
                f,
                "a bend of {radius:.2} mm centreline radius leaves no inside to a tube of {outer:.2} mm radius"
            ),
            SolidFault::NoSeam => write!(f, "corners and holes leave no clock free to divide its wall at"),
            SolidFault::OffCut(at, off) => {
                write!(f, "near {at:.2} its wall ends {off:.3} mm off what it is cut to")
            }
            SolidFault::Through(at) => {
                write!(f, "from {at:.2} two faces of an end meet in a curve that has no exact form")
            }
            SolidFault::Spline(SplineFault::Tangent(at)) => {
                write!(f, "two surfaces touch near {at:.2} where they should cross")
            }
            SolidFault::Spline(SplineFault::Wild(at)) => {
                write!(f, "no curve within the tolerance is found near {at:.2}")
            }
            SolidFault::Hole(number) => write!(f, "hole {} has no exact form", number + 1),
            SolidFault::Open(what) => write!(f, "{what}"),
        }
    }
}

impl std::error::Error for SolidFault {}
