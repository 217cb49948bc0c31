//! All that may stand in the way of a tool or a hand: the header and the bay, cold and at rest.

use geom::DVec3;
use geom::unit::Units;

/// What stands in the way, or nearest to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearby {
    /// What it is, in words: `run three`, an obstacle's name.
    pub what: String,
    /// The room to it, mm: below 0 where it reaches into the tool's.
    pub room: f64,
    /// Where on it, mm.
    pub at: DVec3,
    /// The station along its tube, mm; `None` where it has none.
    pub station: Option<f64>,
}

impl Nearby {
    /// It and where, in words: run three at 41.0 mm.
    pub fn words(&self, units: Units) -> String {
        match self.station {
            Some(station) => format!("{} at {}", self.what, units.written(station)),
            None => {
                let [x, y, z] = self.at.to_array().map(|mm| units.written(mm));
                format!("{} at x {x}, y {y}, z {z}", self.what)
            }
        }
    }
}
