//! Segmented bends: a bend made of straight pieces with equal mitre cuts between them (pie cuts).
//!
//! A bend of angle A on a radius R becomes N pieces: two end halves and N - 2 full ones, with N - 1 mitres
//! between them. Every cut tilts from square by t = A / (2 N - 2); an end half is R tan t long on its
//! centreline, a full piece twice that. The segments touch the arc at its begin, its end and between the
//! mitres, so the poses and tangent lengths of the bend stay, and the centreline grows from R A to
//! (2 N - 2) R tan t (common sheet-metal geometry of segmented elbows; tables in `tests/handbook.rs`).

use geom::math::tan;

use crate::centreline::Centreline;
use crate::row::{Row, Rows};

/// How many pieces a segmented bend becomes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segments {
    /// This many pieces, 2 or more.
    Count(u32),
    /// The fewest pieces whose cuts tilt from square by no more than this, rad; above 0.
    LargestCut(f64),
}

/// A bend made of segments, and where it is on its centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MitredBend {
    /// Station at which the bend begins, mm: that of the first half's upstream end.
    pub from: f64,
    /// Station at which it ends, mm.
    pub to: f64,
    /// Radius of the arc that the segments touch, mm.
    pub radius: f64,
    /// Bend angle, rad.
    pub angle: f64,
    /// Number of pieces.
    pub pieces: u32,
}

/// Two cuts whose angles differ by less, rad, are the same.
const SAME: f64 = 1e-9;

impl Segments {
    /// Number of pieces of a bend of `angle` rad: as given, or `ceil(A / (2 t)) + 1` for a largest cut t.
    pub fn pieces(self, angle: f64) -> u32 {
        match self {
            Segments::Count(count) => count.max(2),
            Segments::LargestCut(tilt) => ((0.5 * angle / tilt - SAME).ceil().max(1.0) as u32) + 1,
        }
    }
}

impl MitredBend {
    /// Tilt of every cut from square, rad: `A / (2 N - 2)`.
    pub fn tilt(&self) -> f64 {
        0.5 * self.angle / f64::from(self.pieces - 1)
    }

    /// Centreline length of an end half, mm: `R tan t`. A full piece has twice that.
    pub fn half(&self) -> f64 {
        self.radius * tan(self.tilt())
    }

    /// Length of a full piece along a side that lies `out` mm outside the centreline (inside: negative), mm.
    pub fn side(&self, out: f64) -> f64 {
        2.0 * (self.radius + out) * tan(self.tilt())
    }
}

impl Centreline {
    /// The same line with every bend made of segments, and where those bends are.
    ///
    /// A mitre is an arc of radius 0: it turns the line without length. Each bend keeps its start and end
    /// poses; all lengths are those of the segments. `None` where a cut would tilt by 85 degrees or more.
    pub fn segmented(&self, segments: Segments) -> Option<(Centreline, Vec<MitredBend>)> {
        let (mut rows, mut bends) = (Vec::new(), Vec::new());
        let (mut before, mut station) = (0.0, 0.0);
        let own = self.rows();
        for row in &own.rows {
            let from = station + row.feed;
            let pieces = segments.pieces(row.bend);
            let mut bend = MitredBend { from, to: from, radius: row.radius, angle: row.bend, pieces };
            if bend.tilt() >= STEEPEST {
                return None;
            }
            let half = bend.half();
            bend.to = from + 2.0 * half * f64::from(pieces - 1);
            for mitre in 1..pieces {
                let (feed, rotate) =
                    if mitre == 1 { (before + row.feed + half, row.rotate) } else { (2.0 * half, 0.0) };
                rows.push(Row { feed, rotate, bend: 2.0 * bend.tilt(), radius: 0.0 });
            }
            (before, station) = (half, bend.to);
            bends.push(bend);
        }
        let line = Centreline::from_rows(self.start, &Rows { rows, tail: before + own.tail });
        Some((line, bends))
    }
}

/// A cut that tilts more than this is no cut, rad: 85 degrees.
const STEEPEST: f64 = 85.0 / 180.0 * std::f64::consts::PI;

#[cfg(test)]
mod tests {
    use super::*;
    use geom::angle::from_degrees;
    use geom::{DVec3, Frame};

    fn bent() -> Centreline {
        let start = Frame::new(DVec3::new(5.0, -2.0, 9.0), DVec3::new(1.0, 2.0, 0.5), DVec3::Z).unwrap();
        let row = |feed, rotate, bend| Row {
            feed,
            rotate: from_degrees(rotate),
            bend: from_degrees(bend),
            radius: 63.5,
        };
        let rows = vec![row(40.0, 0.0, 75.0), row(0.0, -64.0, 31.0), row(22.0, 140.0, 180.0)];
        Centreline::from_rows(start, &Rows { rows, tail: 12.0 })
    }

    #[test]
    fn segments_end_where_the_bend_ends_with_its_scribe_line() {
        let smooth = bent();
        for segments in [Segments::Count(3), Segments::Count(7), Segments::LargestCut(from_degrees(11.25))] {
            let (line, bends) = smooth.segmented(segments).unwrap();
            let (a, b) = (smooth.end(), line.end());
            assert!(a.at.distance(b.at) < 1e-9 && a.along.distance(b.along) < 1e-12);
            assert!(a.inside.distance(b.inside) < 1e-12, "the scribe line twists");
            let grown: f64 = bends.iter().map(|b| b.to - b.from - b.radius * b.angle).sum();
            assert!(grown > 0.0 && (line.length() - smooth.length() - grown).abs() < 1e-9);
            for bend in &bends {
                assert!((line.frame_at(bend.from).at - line.frame_at(bend.to).at).length() > 1.0);
            }
        }
    }

    #[test]
    fn the_largest_cut_gives_the_fewest_pieces() {
        let pieces =
            |cut: f64, angle: f64| Segments::LargestCut(from_degrees(cut)).pieces(from_degrees(angle));
        assert_eq!(pieces(11.25, 90.0), 5);
        assert_eq!(pieces(11.2, 90.0), 6);
        assert_eq!(pieces(22.5, 90.0), 3);
        assert_eq!(pieces(22.5, 10.0), 2);
    }

    #[test]
    fn a_bend_too_large_for_its_pieces_is_refused() {
        assert!(bent().segmented(Segments::Count(2)).is_none(), "180 degrees with one mitre");
    }

    #[test]
    fn a_part_between_mitres_is_straight_and_begins_behind_the_mitre() {
        let (line, _) = bent().segmented(Segments::Count(4)).unwrap();
        let mitres: Vec<f64> = line.spans().iter().filter(|s| s.is_arc()).map(|s| s.from).collect();
        let part = line.between(mitres[2], mitres[3]);
        assert_eq!(part.segments.len(), 1);
        let ahead = line.frame_at(mitres[3]);
        assert!(part.end().at.distance(ahead.at) < 1e-9 && part.end().inside.distance(ahead.inside) < 1e-12);
        let whole = line.between(0.0, line.length());
        assert!(whole.end().at.distance(line.end().at) < 1e-9);
    }
}
