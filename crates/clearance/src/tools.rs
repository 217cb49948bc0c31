//! The room that tools for bolts take: a socket on its extension, a spanner that swings.
//!
//! Sizes by the width across flats (common practice, from memory, no source): a socket is 1.4 times that and
//! 3 mm across; a ring spanner's head is 1.65 times, its handle once that wide; a nut and the spanner on it are 0.6
//! times that high. Open jaws are about 2.2 times as wide, but do not have to go all the way around.

use distance::{Cylinder, Shell, Solid};
use geom::math::{cos, sin, tan};
use geom::{DVec3, Frame};
use spec::design::Fastener;

/// A bolt on the plate's outside, where its tool goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bolt {
    /// Where its axis leaves the plate; `along` leads out of the plate.
    pub frame: Frame,
    /// What is done up.
    pub fastener: Fastener,
    /// Diameter of its hole, or width of its slot, mm.
    pub hole: f64,
}

/// What a scan shows within this of a hole's edge, mm, may be the stud in it: as much as a scanner errs (common
/// practice, no source).
const SCANNED: f64 = 1.0;

/// A stud stands at most this many diameters of its hole out of the plate: a nut, a washer and some thread (common
/// practice, no source).
const STUD: f64 = 3.0;

/// Into how many steps a spanner's turn is cut.
pub(crate) const STEPS: usize = 144;

impl Bolt {
    /// Whether a point is where the bolt's own stud is, on which its tools go: within its hole, up to where a stud
    /// ends outside of the plate; how deep it reaches the other way does not matter.
    pub fn is_stud(&self, point: DVec3) -> bool {
        let local = self.frame.local_point(point);
        let off = (local.x * local.x + local.y * local.y).sqrt();
        off <= 0.5 * self.hole + SCANNED && local.z <= STUD * self.hole
    }

    /// Diameter of the socket, mm.
    pub fn socket_diameter(&self) -> f64 {
        1.4 * self.fastener.across + 3.0
    }

    /// The socket with its extension: as thick all along.
    pub fn socket(&self) -> Solid {
        self.round(0.5 * self.socket_diameter(), self.fastener.reach)
    }

    /// The spanner's head, at any angle.
    pub fn head(&self) -> Solid {
        self.round(self.head_radius(), self.height())
    }

    fn head_radius(&self) -> f64 {
        0.5 * 1.65 * self.fastener.across
    }

    /// All that the spanner passes in a whole turn.
    pub fn turn(&self) -> Solid {
        let (reach, half) = (self.fastener.reach, 0.5 * self.fastener.across);
        self.round((reach * reach + half * half).sqrt(), self.height())
    }

    /// What the spanner's handle passes in step `step` of its turn: a little more, by less than 0.1 mm along
    /// its sides and 1 mm at its end's corners.
    ///
    /// Seen from the middle of the step, the handle's sides lean half a step either way about the bolt.
    pub fn swept(&self, step: usize) -> Solid {
        let turn = std::f64::consts::TAU / STEPS as f64;
        let lean = 0.5 * turn;
        let (reach, half) = (self.fastener.reach, 0.5 * self.fastener.across);
        let begin = 0.9 * self.head_radius();
        let end = reach * cos(lean) + half * sin(lean);
        let wide = |x: f64| half / cos(lean) + x * tan(lean);
        let corners = [(begin, -wide(begin)), (end, -wide(end)), (end, wide(end)), (begin, wide(begin))];
        let frame = self.frame.turned(turn * step as f64);
        let point =
            |(x, y): (f64, f64), z: f64| frame.at + frame.inside * x + frame.side() * y + frame.along * z;
        let levels = [0.0, self.height()];
        let points: Vec<DVec3> =
            levels.iter().flat_map(|&z| corners.map(|corner| point(corner, z))).collect();
        Solid::Shell(Shell { points, triangles: BLOCK.to_vec() })
    }

    /// Height of a nut and of the spanner on it, mm.
    fn height(&self) -> f64 {
        0.6 * self.fastener.across
    }

    fn round(&self, radius: f64, length: f64) -> Solid {
        let frame = self.frame;
        Solid::Cylinder(Cylinder { frame, length, radius, ends: [-frame.along, frame.along] })
    }
}

/// The faces of a block: its lower four corners counter-clockwise seen from above, then its upper four.
const BLOCK: [[u32; 3]; 12] = [
    [0, 2, 1],
    [0, 3, 2],
    [4, 5, 6],
    [4, 6, 7],
    [0, 1, 5],
    [0, 5, 4],
    [1, 2, 6],
    [1, 6, 5],
    [2, 3, 7],
    [2, 7, 6],
    [3, 0, 4],
    [3, 4, 7],
];
