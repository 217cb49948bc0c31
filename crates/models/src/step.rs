//! STEP files (ISO 10303-21, AP214): exact solids, named, nested as an assembly.

mod assembly;
mod brep;
mod cap;
mod curve;
mod extruded;
mod faceted;
mod fault;
mod opening;
mod ring;
mod solid;
mod spline;
mod surface;
mod text;
mod touch;
mod wall;

pub use assembly::{StepGroup, StepModel, StepSolid, step};
pub use brep::{Brep, Edge, Face, Use};
pub use curve::Curve;
pub use extruded::extruded;
pub use faceted::faceted;
pub use fault::SolidFault;
pub use solid::{StepSettings, solid};
pub use spline::{Spline, SplineFault};
pub use surface::Surface;
