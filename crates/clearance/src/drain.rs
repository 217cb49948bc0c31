//! How steeply a turbocharger's oil runs out.

use geom::angle::to_degrees;
use geom::math::atan2;
use spec::design::Bay;
use spec::{Finding, Level};

/// How far an oil drain leans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrainLean {
    /// Its angle from straight down, rad.
    pub angle: f64,
    /// The largest that is allowed, rad.
    pub largest: f64,
}

/// The lean of the bay's drain, if it has one.
pub(crate) fn drain(bay: &Bay) -> Option<DrainLean> {
    let drain = bay.drain?;
    let down = -drain.up;
    let angle = atan2(drain.along.cross(down).length(), drain.along.dot(down));
    Some(DrainLean { angle, largest: drain.largest })
}

impl DrainLean {
    /// A failure where it leans too much.
    pub(crate) fn finding(&self) -> Option<Finding> {
        let [angle, largest] = [self.angle, self.largest].map(to_degrees);
        let message = format!(
            "the oil drain leans {angle:.1} degrees from straight down (at most {largest:.1}): oil stands in the \
             turbocharger and burns; turn the turbocharger's housings by {:.1} degrees",
            angle - largest
        );
        (self.angle > self.largest + ROUNDED).then(|| Finding {
            level: Level::Failure,
            code: "drain-angle",
            place: "drain".to_owned(),
            message,
            value: Some(angle),
            limit: Some(largest),
        })
    }
}

/// An angle that is larger by less was only rounded so, rad.
const ROUNDED: f64 = 1e-9;
