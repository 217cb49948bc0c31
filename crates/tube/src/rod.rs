//! Room along an axis: a flat-ended rod, and how near a piece comes to it.

use geom::math::hypot;
use geom::{DVec3, Frame, roots};

use crate::piece::{Body, Piece};

/// A solid cylinder with flat ends: a boss, a sensor, a socket with its extension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// The centre of its first end; along its axis.
    pub frame: Frame,
    /// Its length, mm.
    pub length: f64,
    /// Its radius, mm.
    pub radius: f64,
}

impl Rod {
    /// Distance of `point` from it, mm; 0 inside.
    pub fn distance(&self, point: DVec3) -> f64 {
        let way = point - self.frame.at;
        let along = way.dot(self.frame.along);
        let across = (way - self.frame.along * along).length() - self.radius;
        hypot((-along).max(along - self.length).max(0.0), across.max(0.0))
    }

    /// The gap between it and the outside of `piece`, mm, to 1e-6, with the station on the piece where
    /// it is least; negative where the piece reaches into it.
    ///
    /// The piece counts as the balls of its outside radius along its axis: exact beside it, and round
    /// over its ends by that radius.
    pub fn gap(&self, piece: &Piece) -> (f64, f64) {
        let gap = |station: f64| self.distance(piece.frame_at(station).at) - piece.outer_radius(station);
        let mut best = (gap(0.0), 0.0);
        for (from, to) in stretches(piece) {
            // No gap changes faster along the axis than 1 and a cone's slope together.
            let half = 0.5 * (to - from);
            let fastest = 1.0 + piece.line(0.0, 1.0).slope.abs();
            if gap(from + half) - fastest * half < best.0 {
                let station = roots::minimum(gap, from, to, 1e-6);
                for station in [from, station, to] {
                    best = if gap(station) < best.0 { (gap(station), station) } else { best };
                }
            }
        }
        best
    }
}

/// Stretches of a piece's axis on which the gap to a round body has one minimum: its straights (there it
/// is convex), and its bends in parts of at most 10 degrees.
fn stretches(piece: &Piece) -> Vec<(f64, f64)> {
    let Body::Tube { centreline, .. } = &piece.body else { return vec![(0.0, piece.length())] };
    let mut stretches = Vec::new();
    for span in centreline.spans() {
        let parts = match span.segment {
            crate::Segment::Arc { angle, .. } => (angle / MOST).ceil().max(1.0) as u32,
            crate::Segment::Straight { .. } => 1,
        };
        let step = (span.to - span.from) / f64::from(parts);
        let at = |i: u32| span.from + step * f64::from(i);
        stretches.extend((0..parts).map(|i| (at(i), at(i + 1))));
    }
    stretches
}

/// 10 degrees.
const MOST: f64 = 0.174_532_925_199_432_95;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Centreline, Cut, Row, Rows, Section, alloy::alloy};
    use std::f64::consts::FRAC_PI_2;

    fn rod(at: DVec3, along: DVec3) -> Rod {
        Rod { frame: Frame::upright(at, along).unwrap(), length: 60.0, radius: 10.0 }
    }

    fn section() -> Section {
        Section { od: 40.0, wall: 1.5, alloy: alloy("304").unwrap() }
    }

    #[test]
    fn a_rod_ends_flat() {
        let rod = rod(DVec3::ZERO, DVec3::Z);
        assert_eq!(rod.distance(DVec3::new(9.0, 0.0, 64.0)), 4.0);
        assert_eq!(rod.distance(DVec3::new(0.0, 25.0, 30.0)), 15.0);
        assert_eq!(rod.distance(DVec3::new(13.0, 0.0, -4.0)), 5.0);
        assert_eq!(rod.distance(DVec3::new(2.0, 3.0, 5.0)), 0.0);
    }

    /// A straight tube along x, 70 mm to the side of the rod's axis: 70 - 20 - 10.
    #[test]
    fn a_straight_passes_beside() {
        let start = Frame::upright(DVec3::new(-100.0, 70.0, 30.0), DVec3::X).unwrap();
        let line = Centreline::straight(start, 250.0);
        let piece = Piece::tube(line, section(), Cut::square(0.0), Cut::square(250.0)).unwrap();
        let (gap, _) = rod(DVec3::ZERO, DVec3::Z).gap(&piece);
        assert!((gap - 40.0).abs() < 1e-6, "{gap}");
    }

    /// A quarter bend of radius 80 around the origin, in the rod's own mid plane: every point of its axis
    /// is 80 from the rod's axis; and around a point 5 mm nearer to it at 45 degrees.
    #[test]
    fn a_bend_passes_around() {
        let quarter =
            Rows { rows: vec![Row { feed: 0.0, rotate: 0.0, bend: FRAC_PI_2, radius: 80.0 }], tail: 0.0 };
        let piece = |centre: DVec3| {
            let start = Frame::new(centre + DVec3::X * 80.0, DVec3::Y, DVec3::NEG_X).unwrap();
            let line = Centreline::from_rows(start, &quarter);
            let length = line.length();
            Piece::tube(line, section(), Cut::square(0.0), Cut::square(length)).unwrap()
        };
        let rod = rod(DVec3::new(0.0, 0.0, -30.0), DVec3::Z);
        let (gap, _) = rod.gap(&piece(DVec3::ZERO));
        assert!((gap - 50.0).abs() < 1e-6, "{gap}");
        let aside = 5.0 * 0.5_f64.sqrt();
        let (gap, station) = rod.gap(&piece(DVec3::new(-aside, -aside, 0.0)));
        assert!((gap - 45.0).abs() < 1e-6, "{gap}");
        assert!((station - 40.0 * FRAC_PI_2).abs() < 1e-2, "{station}");
    }
}
