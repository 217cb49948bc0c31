//! Where the metal of a piece ends: a station for every line along its wall.

use std::f64::consts::{PI, TAU};

use geom::angle::{wrap_signed, wrap_turn};
use geom::math::{cos, sin_cos, tan};
use geom::{DVec3, roots};

use crate::merge::LegCut;
use crate::merge::ScallopCut;

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
    /// Fitted onto the outside of a round body.
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

/// A round body, cylinder or cone, that a tube is fitted onto: the first body surface that each wall
/// line meets going downstream.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saddle {
    /// A point on the body's axis, in the cut's coordinates, mm.
    pub at: DVec3,
    /// Unit direction of the body's axis.
    pub along: DVec3,
    /// The body's outside radius at `at`, mm.
    pub radius: f64,
    /// Growth of that radius for each mm along the body's axis.
    pub slope: f64,
}

/// A wall line that misses the body that it should be fitted onto.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miss {
    /// Its clock, rad.
    pub clock: f64,
    /// How far outside the body's surface it passes, mm (for a cone about).
    pub by: f64,
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
                Shape::Saddle(saddle) => saddle.first_meeting(local),
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

impl Saddle {
    /// The wall line at radius up to `rho` that misses the body by most, if any does.
    ///
    /// A line that only grazes the surface (by `tolerance` mm) counts as meeting it.
    pub fn miss(&self, rho: f64, tolerance: f64) -> Option<Miss> {
        let worst = self
            .kinks(rho, 0.0)
            .into_iter()
            .map(|clock| {
                let (a, b, c) = self.quadratic(WallLine { clock, rho, slope: 0.0 });
                let least = if a.abs() < 1e-12 { f64::INFINITY } else { c - b * b / a };
                let by = least / (self.radius + (self.radius * self.radius + least.max(0.0)).sqrt());
                Miss { clock, by }
            })
            .max_by(|p, q| p.by.total_cmp(&q.by))?;
        (worst.by > tolerance).then_some(worst)
    }

    /// z of the first meeting with the body's surface; a grazing line meets where it comes closest.
    fn first_meeting(&self, line: WallLine) -> f64 {
        let (a, b, c) = self.quadratic(line);
        let root = (b * b - a * c).max(0.0).sqrt();
        // Written so that neither root loses digits when a is small.
        if b > 0.0 {
            (-b - root) / a
        } else if a > 0.0 {
            c / (-b + root)
        } else {
            (-b - root) / a
        }
    }

    /// Coefficients of `a z^2 + 2 b z + c`, the squared distance of the line's point at z from the
    /// body's axis less the body's radius there, squared.
    fn quadratic(&self, line: WallLine) -> (f64, f64, f64) {
        let (s, co) = sin_cos(line.clock);
        let origin = DVec3::new(line.rho * co, line.rho * s, 0.0) - self.at;
        let step = DVec3::new(line.slope * co, line.slope * s, 1.0);
        let (origin_axial, step_axial) = (origin.dot(self.along), step.dot(self.along));
        let (p, q) = (origin - self.along * origin_axial, step - self.along * step_axial);
        let (radius, growth) = (self.radius + self.slope * origin_axial, self.slope * step_axial);
        (
            q.length_squared() - growth * growth,
            p.dot(q) - radius * growth,
            p.length_squared() - radius * radius,
        )
    }

    /// Clocks at which a wall line comes closest to missing the body: where the edge turns sharpest.
    fn kinks(&self, rho: f64, slope: f64) -> Vec<f64> {
        const STEPS: u32 = 180;
        let depth = |clock: f64| {
            let (a, b, c) = self.quadratic(WallLine { clock, rho, slope });
            b * b - a * c
        };
        let step = TAU / f64::from(STEPS);
        (0..STEPS)
            .map(|i| f64::from(i) * step)
            .filter(|&clock| depth(clock) <= depth(clock - step) && depth(clock) < depth(clock + step))
            .map(|clock| roots::minimum(depth, clock - step, clock + step, 1e-13))
            .map(|clock| self.snapped(clock, depth))
            .collect()
    }

    /// A quarter turn is where equal or centred tubes have their corner: prefer it exactly.
    fn snapped(&self, clock: f64, depth: impl Fn(f64) -> f64) -> f64 {
        let quarter = (clock / (0.5 * PI)).round() * 0.5 * PI;
        let near = (clock - quarter).abs() < 1e-6;
        if near && depth(quarter) <= depth(clock) { quarter } else { clock }
    }
}
