//! Where the metal of a piece ends: a station for every line along its wall.

use std::f64::consts::{PI, TAU};

use geom::angle::{wrap_signed, wrap_turn};
use geom::math::{cos, tan};

use crate::merge::LegCut;
use crate::merge::ScallopCut;
use crate::saddle::Saddle;

/// The end of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// The upstream end.
    Start,
    /// The downstream end.
    End,
}

/// A cut across a piece, placed on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Station of the shape's origin on the piece's axis, mm.
    pub station: f64,
    /// Clock of the shape's own zero, rad.
    pub roll: f64,
    /// What the piece is cut to.
    pub shape: Shape,
}

/// What an end is cut to, in coordinates of its own: z along the axis downstream from the origin, and
/// an angle around it from the shape's zero.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Square across the axis.
    Square,
    /// A plane tilted from square by `tilt` (rad, under PI / 2), furthest downstream at the zero.
    Plane {
        /// Tilt from square, rad.
        tilt: f64,
    },
    /// Fitted onto a round body.
    Saddle(Saddle),
    /// A merge's leg: bisector half-planes, then the outlet.
    Leg(LegCut),
    /// A fitted outlet's upstream end: each sector runs on to a leg's bore.
    Scallop(ScallopCut),
}

/// A line along a wall: all points at one clock and one depth in the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallLine {
    /// Its clock, rad.
    pub clock: f64,
    /// Its distance from the axis at station 0, mm.
    pub rho: f64,
    /// Growth of that distance for each mm along the axis: 0 on a tube.
    pub slope: f64,
}

impl Cut {
    /// A square cut at `station`.
    pub fn square(station: f64) -> Self {
        Cut { station, roll: 0.0, shape: Shape::Square }
    }

    /// The station at which `line` ends, mm.
    pub fn end_of(&self, line: WallLine) -> f64 {
        let local = WallLine {
            clock: line.clock - self.roll,
            rho: line.rho + line.slope * self.station,
            slope: line.slope,
        };
        self.station
            + match &self.shape {
                Shape::Square => 0.0,
                Shape::Plane { tilt } => {
                    let lean = tan(*tilt) * cos(local.clock);
                    local.rho * lean / (1.0 - local.slope * lean)
                }
                Shape::Saddle(saddle) => saddle.end_of(local),
                Shape::Leg(leg) => leg.end_of(local),
                Shape::Scallop(scallop) => scallop.end_of(local),
            }
    }

    /// Clocks, rad in `[0, TAU)` ascending, at which the cut's edge has a corner at wall radius `rho`
    /// (growing by `slope`), or bends so sharply that it needs a point there.
    pub fn kinks(&self, rho: f64, slope: f64) -> Vec<f64> {
        let rho = rho + slope * self.station;
        let local = match &self.shape {
            Shape::Square => Vec::new(),
            Shape::Plane { .. } => vec![0.0, PI],
            Shape::Saddle(saddle) => saddle.kinks(rho, slope),
            Shape::Leg(leg) => leg.kinks(rho),
            Shape::Scallop(scallop) => scallop.kinks(rho, slope),
        };
        let mut kinks: Vec<f64> = local.into_iter().map(|k| wrap_turn(k + self.roll)).collect();
        kinks.sort_by(f64::total_cmp);
        kinks.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        if kinks.len() > 1 && kinks[0] + TAU - kinks[kinks.len() - 1] < 1e-12 {
            kinks.pop();
        }
        kinks
    }

    /// Its kind, as the sheets and the report name it.
    pub fn kind(&self) -> &'static str {
        match self.shape {
            Shape::Square => "square",
            Shape::Plane { .. } => "plane",
            Shape::Saddle(_) => "saddle",
            Shape::Leg(_) => "leg",
            Shape::Scallop(_) => "scallop",
        }
    }

    /// The same cut with its station `by` mm further downstream.
    pub fn moved(&self, by: f64) -> Cut {
        Cut { station: self.station + by, ..self.clone() }
    }

    /// The same cut on a piece whose clock 0 is turned by `by` (rad): its clocks fall by that much.
    pub fn turned(&self, by: f64) -> Cut {
        Cut { roll: wrap_signed(self.roll - by), ..self.clone() }
    }
}
