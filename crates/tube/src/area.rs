//! The whole area of a piece: its walls, its cut ends, and the walls of its holes.
//!
//! A cut end is a part of the surface that it is cut to. Where wall lines cross that surface at the
//! cosine c between line and normal, the area over a small part of the wall's section is that part over c
//! (elementary).

use std::f64::consts::{FRAC_PI_2, PI};

use geom::math::{cos, sin};
use geom::quadrature;

use crate::cut::{Cut, End, Shape, WallLine};
use crate::merge::{LegCut, ScallopCut};
use crate::piece::Piece;

/// Accuracy of [`Piece::area`], relative. The walls are as exact as all else; an end, a small part of the
/// whole, is summed over a fixed number of points, about 1e-5 of itself: near a corner, where a wall line
/// only grazes what it is cut to, the last digits would cost the most.
pub const AREA_ACCURACY: f64 = 1e-6;

impl Piece {
    /// Area of everything that bounds its metal, mm2, to [`AREA_ACCURACY`]: outside, bore, both ends, and
    /// the walls of its holes.
    pub fn area(&self) -> f64 {
        let walls = self.skin_area(0.0) + self.skin_area(1.0);
        let ends = [End::Start, End::End].map(|end| self.end_area(end));
        let holes: f64 = self.holes.iter().map(|hole| hole.wall_area(self)).sum();
        walls + ends[0] + ends[1] + holes + self.by_forming(|form, section| form.added_area(section))
    }

    /// Area of a cut end, mm2.
    fn end_area(&self, end: End) -> f64 {
        let cut = self.cut(end);
        let across = self.line(0.0, 1.0).rho - self.line(0.0, 0.0).rho;
        // The valleys of a fitted outlet as wide as its legs' bores are nearly poles.
        let panels: &[f64] = if matches!(cut.shape, Shape::Scallop(_)) { &GRADED } else { &HALVES };
        let ring = |depth: f64| {
            let part = |clock: f64| {
                let line = self.line(clock, depth);
                let station = cut.end_of(line);
                (line.rho + line.slope * station) / cut.crossing(line).max(GRAZE)
            };
            self.breaks(depth).windows(2).map(|w| eased(&part, (w[0], w[1]), panels)).sum::<f64>()
        };
        let step = |depth: f64| match &cut.shape {
            Shape::Leg(leg) => 2.0 * leg.step(self.line(0.0, depth).rho),
            _ => 0.0,
        };
        let mut depths = vec![0.0, 1.0];
        if let Shape::Scallop(ScallopCut { cluster }) = &cut.shape {
            // Where the wall leaves the legs' bores in the valleys.
            let fork = cluster.inner / sin(cluster.half_sector()) - self.line(0.0, 0.0).rho;
            depths.extend(Some(fork / across).filter(|depth| *depth > 0.0 && *depth < 1.0));
            depths.sort_by(f64::total_cmp);
        }
        let layer = |w: &[f64]| eased(&|depth| ring(depth) + step(depth), (w[0], w[1]), panels);
        across * depths.windows(2).map(layer).sum::<f64>()
    }
}

impl Cut {
    /// How much nearer `line` comes to the surface that ends it for each mm along the axis: on a tube the
    /// cosine between the line and the surface's normal.
    fn crossing(&self, line: WallLine) -> f64 {
        let local = WallLine {
            clock: line.clock - self.roll,
            rho: line.rho + line.slope * self.station,
            slope: line.slope,
        };
        match &self.shape {
            Shape::Square => 1.0,
            Shape::Plane { tilt } => cos(*tilt) - sin(*tilt) * local.slope * cos(local.clock),
            Shape::Saddle(saddle) => saddle.crossing(local),
            Shape::Leg(leg) => leg.crossing(local),
            Shape::Scallop(scallop) => scallop.crossing(local),
        }
    }
}

impl LegCut {
    /// Length of the step beside the leg's middle plane, mm, at wall radius `rho`: from the outlet on to the
    /// bisector, where the outlet's wall begins inside the leg's.
    fn step(&self, rho: f64) -> f64 {
        let begin = self.seam_begin(rho);
        if (begin - FRAC_PI_2).abs() > 1e-9 {
            return 0.0;
        }
        let [before, after] = [begin - 1e-9, begin + 1e-9].map(|phi| {
            let line = WallLine { clock: phi.min(PI), rho, slope: 0.0 };
            self.end_of(line)
        });
        (after - before).max(0.0)
    }
}

/// The integral of `f` between two ends at which it may grow as the inverse of a square root: eased into
/// them (`x = 3 u^2 - 2 u^3`), it is smooth, and 15 points for each panel are enough.
fn eased(f: &impl Fn(f64) -> f64, (from, to): (f64, f64), panels: &[f64]) -> f64 {
    let part = |u: f64| {
        let x = u * u * (3.0 - 2.0 * u);
        f(from + (to - from) * x) * 6.0 * u * (1.0 - u) * (to - from)
    };
    quadrature::integrate_pieces(&part, panels, f64::INFINITY)
}

/// Panels of an interval.
const HALVES: [f64; 3] = [0.0, 0.5, 1.0];

/// Panels that become smaller towards both ends.
const GRADED: [f64; 9] = [0.0, 0.001, 0.01, 0.1, 0.5, 0.9, 0.99, 0.999, 1.0];

/// Wall lines cross what they are cut to at no smaller cosine than this: where they graze it, the area is
/// still finite.
const GRAZE: f64 = 1e-6;
