//! Holes through a wall: an edge on the bore, one on the outside, and between them the hole's own wall.

use std::f64::consts::{PI, TAU};

use geom::angle::wrap_turn;
use geom::{DVec3, Frame};
use tube::{Hole, Piece, Saddle, WallLine};

use super::brep::{Face, Use, reversed};
use super::curve::Curve;
use super::fault::SolidFault;
use super::ring::{Ring, merged};
use super::solid::{Builder, DEPTHS, nodes};
use super::spline::Spline;
use super::surface::Surface;
use super::touch::NECK;

/// A hole of a piece, ready to be cut.
pub struct Opening {
    /// The branch's axis from its foot, clock 0 along the host made square.
    axis: Frame,
    /// Radius of the hole, mm.
    radius: f64,
    /// The host's bore and outside in the axis's coordinates.
    hosts: [Saddle; 2],
    /// Angles around the branch at which its edges on bore and outside have corners, rad.
    kinks: [Vec<f64>; 2],
    /// The clocks that it spans on bore and outside, rad.
    pub clocks: [(f64, f64); 2],
    /// The stations that it spans, mm.
    pub stations: (f64, f64),
}

impl Opening {
    /// The hole in the wall of `piece`.
    pub fn of(piece: &Piece, hole: &Hole) -> Opening {
        Opening {
            axis: hole.axis(piece),
            radius: hole.radius,
            hosts: DEPTHS.map(|depth| hole.saddle(piece, depth)),
            kinks: DEPTHS.map(|depth| hole.kinks(piece, depth)),
            clocks: DEPTHS.map(|depth| {
                let flanks = hole.flanks(piece, depth);
                (flanks.least.1, flanks.largest.1)
            }),
            stations: hole.extent(piece).0,
        }
    }

    fn point(&self, side: usize, phi: f64) -> DVec3 {
        let line = WallLine { clock: phi, rho: self.radius, slope: 0.0 };
        self.axis.point(self.hosts[side].end_of(line), phi, self.radius)
    }

    fn surface(&self) -> Surface {
        Surface::Cylinder { frame: self.axis, radius: self.radius }
    }
}

impl Builder<'_> {
    /// Cuts the piece's holes into its faces.
    pub fn open_holes(&mut self) -> Result<(), SolidFault> {
        let openings = std::mem::take(&mut self.openings);
        for (number, opening) in openings.iter().enumerate() {
            let mut rings = Vec::with_capacity(2);
            for side in 0..2 {
                let skin = self.skin_around(opening, side).ok_or(SolidFault::Hole(number))?;
                let ring = self.hole_ring(opening, side, self.brep.faces[skin].surface)?;
                let edges: Vec<Use> = ring.edges.iter().flatten().copied().collect();
                let hole = if side == 1 { reversed(&edges) } else { edges };
                self.brep.faces[skin].loops.push(hole);
                rings.push(ring);
            }
            self.hole_faces(opening, [&rings[0], &rings[1]]);
        }
        Ok(())
    }

    /// The face of a wall that the hole lies in.
    fn skin_around(&self, opening: &Opening, side: usize) -> Option<usize> {
        let (low, high) = opening.stations;
        let middle = 0.5 * (low + high);
        let wall = self.walls.iter().rposition(|w| w.station <= middle)?;
        let (from, to) = opening.clocks[side];
        let holds = |skin: &&super::solid::Skin| {
            let width = wrap_turn(skin.clocks.1 - skin.clocks.0);
            let begin = wrap_turn(from - skin.clocks.0);
            skin.wall == wall && skin.side == side && begin + (to - from) < width
        };
        self.skins.iter().find(holds).map(|skin| skin.face)
    }

    /// The edge of the hole on one side of the wall.
    fn hole_ring(&mut self, opening: &Opening, side: usize, skin: Surface) -> Result<Ring, SolidFault> {
        let cylinder = opening.surface();
        let mut angles = vec![0.0, PI];
        angles.extend(&opening.kinks[side]);
        let tolerance = self.settings.tolerance;
        let point = |phi: f64| opening.point(side, phi);
        self.ring(merged(angles), point, |ends, (from, to)| {
            if let Some(curve) = Curve::meeting(&cylinder, &skin, ends) {
                return Ok(curve);
            }
            let nodes = nodes(from, to, &opening.kinks[side]);
            let spline = Spline::fit([&cylinder, &skin], &point, &nodes, tolerance);
            spline.map(Curve::Spline).map_err(SolidFault::Spline)
        })
    }

    /// The hole's own wall, in two halves.
    fn hole_faces(&mut self, opening: &Opening, rings: [&Ring; 2]) {
        let seams = [0.0, PI];
        let rises = seams.map(|phi| {
            let [from, to] = rings.map(|ring| ring.vertices[ring.index(phi)]);
            self.brep.edge(from, to, Curve::Line)
        });
        for (i, next) in [(0, 1), (1, 0)] {
            let mut edges = rings[0].arcs(seams[i], seams[next]);
            edges.extend(rises[next]);
            edges.extend(reversed(&rings[1].arcs(seams[i], seams[next])));
            edges.extend(rises[i].map(Use::back));
            let middle = opening.point(1, seams[i] + 0.25 * TAU);
            let surface = opening.surface().opened_opposite(middle);
            self.brep.faces.push(Face { surface, outward: false, loops: vec![reversed(&edges)] });
        }
    }
}

/// A hole moved along its piece by a hair where it touches the begin or end of its straight.
pub fn moved_off(piece: &Piece, hole: &Hole, straight: (f64, f64)) -> Hole {
    let (low, high) = hole.extent(piece).0;
    let by = if low - straight.0 < NECK {
        2.0 * NECK
    } else if straight.1 - high < NECK {
        -2.0 * NECK
    } else {
        0.0
    };
    Hole { station: hole.station + by, ..*hole }
}
