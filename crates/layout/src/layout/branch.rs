//! What goes through walls, in space.

use geom::{DVec3, Frame};
use spec::design::Set;
use tube::Piece;

use super::Layout;

/// A branch in space.
#[derive(Clone, Debug)]
pub struct Branch {
    /// Its name.
    pub name: String,
    /// What it leaves, as the spec names it: a run, `merge.leg` or `merge.cone`.
    pub on: String,
    /// Index of the run that begins at it.
    pub run: usize,
    /// Its place in the wall.
    pub place: Place,
    /// Area of the bore of its tube and of its host there, mm2.
    pub bores: [f64; 2],
}

/// A bung in space.
#[derive(Clone, Debug)]
pub struct Bung {
    /// Index of its kind in the design.
    pub bung: usize,
    /// Index of the run that it sits on.
    pub run: usize,
    /// Index of its own piece.
    pub piece: usize,
    /// Its place in the wall.
    pub place: Place,
    /// The centre of its face, mm.
    pub face: DVec3,
}

/// Where something goes through a wall.
#[derive(Clone, Debug)]
pub struct Place {
    /// Index of the piece whose wall it is.
    pub host: usize,
    /// Number of its hole in that piece, from 0.
    pub hole: usize,
    /// Station at which its axis pierces the outside: from the run's start, the leg's inlet face or the
    /// mouth, mm.
    pub at: f64,
    /// Clock of the side to which it leaves, rad, from the run's, leg's or cone's own clock 0.
    pub clock: f64,
    /// Angle between its travel and the host's, rad.
    pub angle: f64,
    /// Distance of its axis from the host's, mm.
    pub offset: f64,
    /// How it meets the wall.
    pub set: Set,
    /// The point where its axis pierces the outside; travel outward; clock 0 toward the host's travel.
    pub frame: Frame,
}

impl Branch {
    /// The area of its bore over the area of its host's.
    pub fn bore_ratio(&self) -> f64 {
        self.bores[0] / self.bores[1]
    }
}

impl Layout {
    /// Every place at which something goes through a wall, with the index of the piece that stands there:
    /// the branches' first, then the bungs.
    pub fn places(&self) -> impl Iterator<Item = (&Place, usize)> {
        let branches = self.branches.iter().filter_map(|branch| {
            let first = self.runs[branch.run].pieces.first()?;
            Some((&branch.place, *first))
        });
        branches.chain(self.bungs.iter().map(|bung| (&bung.place, bung.piece)))
    }
}

impl Place {
    /// Station on the piece `host` at which its axis pierces the outside, mm.
    pub fn station(&self, host: &Piece) -> f64 {
        let hole = host.holes[self.hole];
        hole.station + hole.rise(host, 1.0) * geom::math::cos(hole.angle)
    }

    /// How far its axis rises above the horizontal on its way outward, rad; negative points down.
    pub fn above_horizontal(&self) -> f64 {
        let along = self.frame.along;
        geom::math::atan2(along.z, geom::math::hypot(along.x, along.y))
    }
}
