//! The walls of a piece: its straights, bends or cone, one after another.

use geom::Frame;
use geom::angle::{wrap_signed, wrap_turn};
use std::f64::consts::{PI, TAU};
use tube::{Body, Piece, Segment};

use super::surface::Surface;

/// A stretch of a piece's wall that is a straight, a bend or a cone.
pub struct Wall {
    /// Where it begins, clock 0 on the scribe line.
    pub frame: Frame,
    /// Station of its begin, mm.
    pub station: f64,
    /// Radii of bore and outside at its begin, mm.
    pub radii: [f64; 2],
    /// Growth of the two radii for each mm.
    pub slopes: [f64; 2],
    /// Of a bend: its centreline radius (mm), its angle (rad), and the clock of its inside.
    pub bend: Option<Bend>,
}

/// A bend of a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Radius of the centreline, mm.
    pub radius: f64,
    /// Its angle, rad.
    pub angle: f64,
    /// Clock of its inside, rad.
    pub plane: f64,
}

impl Wall {
    /// The walls of a piece in the direction of travel; stretches of no length are left out.
    pub fn all(piece: &Piece) -> Vec<Wall> {
        let radii = [0.0, 1.0].map(|depth| piece.line(0.0, depth).rho);
        match &piece.body {
            Body::Cone { frame, .. } => {
                let slope = piece.line(0.0, 1.0).slope;
                vec![Wall { frame: *frame, station: 0.0, radii, slopes: [slope; 2], bend: None }]
            }
            Body::Tube { centreline, .. } => {
                let spans = centreline.spans().into_iter().filter(|s| s.to - s.from > LEAST_LENGTH);
                spans.flat_map(|span| Wall::of_span(piece, &span)).collect()
            }
        }
    }

    /// The walls of a straight or a bend of a tube: a straight is divided where a formed end begins.
    fn of_span(piece: &Piece, span: &tube::Span) -> Vec<Wall> {
        let bend = match span.segment {
            Segment::Straight { .. } => None,
            Segment::Arc { radius, angle, .. } => Some(Bend { radius, angle, plane: span.plane }),
        };
        let inside = |s: &f64| *s > span.from + LEAST_LENGTH && *s < span.to - LEAST_LENGTH;
        let mut stations = vec![span.from];
        stations.extend(piece.form_stations().into_iter().filter(inside));
        stations.push(span.to);
        let wall = |ends: &[f64]| {
            // Within the stretch, where no other's radius is taken.
            let (from, to) = (ends[0], ends[1]);
            let shares = [0.25, 0.75].map(|share| from + share * (to - from));
            let slopes = [0.0, 1.0].map(|depth| {
                let [a, b] = shares.map(|station| piece.radius(station, depth));
                if a == b { 0.0 } else { (b - a) / (shares[1] - shares[0]) }
            });
            let radii =
                [0, 1].map(|side| piece.radius(shares[0], side as f64) - slopes[side] * (shares[0] - from));
            Wall { frame: span.frame_at(from - span.from), station: from, radii, slopes, bend }
        };
        stations.windows(2).map(wall).collect()
    }

    /// The surface of its bore (0) or outside (1), its angles beginning away from the face between two
    /// clocks.
    pub fn surface(&self, side: usize, clocks: (f64, f64)) -> Surface {
        let radius = self.radii[side];
        match self.bend {
            None => {
                let middle = clocks.0 + 0.5 * wrap_turn(clocks.1 - clocks.0);
                Surface::round(self.frame, radius, self.slopes[side])
                    .opened_opposite(self.frame.point(0.0, middle, radius))
            }
            Some(bend) => {
                let torus = Surface::Torus { frame: self.pivot(bend), major: bend.radius, minor: radius };
                torus.opened_opposite(self.middle(bend).at)
            }
        }
    }

    /// The frame half way along a bend, clock 0 on the scribe line.
    pub fn middle(&self, bend: Bend) -> Frame {
        self.frame.turned(bend.plane).bent(bend.radius, 0.5 * bend.angle).turned(-bend.plane)
    }

    /// The axis that a bend turns about.
    fn pivot(&self, bend: Bend) -> Frame {
        let begin = self.frame.turned(bend.plane);
        Frame { at: begin.at + begin.inside * bend.radius, along: begin.side(), inside: -begin.inside }
    }

    /// The clocks at which its surface is best divided in two: of a bend the outside and the inside.
    pub fn own_seams(&self) -> Option<[f64; 2]> {
        self.bend.map(|bend| [wrap_turn(bend.plane + PI), wrap_turn(bend.plane)])
    }
}

/// What the seams of one side of a wall have to keep clear of.
pub struct Taken {
    /// Spans of clocks that belong to corners and holes, rad.
    pub spans: Vec<(f64, f64)>,
    /// Seams of the walls before and after, which may be shared but not passed closely.
    pub seams: Vec<f64>,
}

impl Taken {
    /// Two seams clear of everything: the first of the pairs `wished` for that is, or those with the most
    /// room. `None` where no place is left for them.
    pub fn seams(&self, wished: &[[f64; 2]]) -> Option<Vec<f64>> {
        let free = |clock: f64| self.room(clock) > CLEAR;
        if let Some(pair) = wished.iter().find(|pair| pair.iter().all(|c| free(*c))) {
            return Some(pair.to_vec());
        }
        let pairs = spread().flat_map(|a| spread().filter(move |b| *b > a).map(move |b| [a, b]));
        let apart = |[a, b]: [f64; 2]| wrap_signed(a - b).abs();
        let pairs = pairs.filter(|pair| apart(*pair) > LEAST_APART);
        let room =
            |pair: &[f64; 2]| pair.map(|c| self.room(c)).into_iter().fold(0.2 * apart(*pair), f64::min);
        let best = pairs.max_by(|p, q| room(p).total_cmp(&room(q)))?;
        (room(&best) > 0.0).then(|| best.to_vec())
    }

    /// How far a clock stands from everything that is taken, rad.
    fn room(&self, clock: f64) -> f64 {
        let off = |&(from, to): &(f64, f64)| {
            let (width, beyond) = (to - from, wrap_turn(clock - from));
            if beyond <= width { 0.0 } else { (beyond - width).min(TAU - beyond) }
        };
        let beside = |other: &f64| wrap_signed(clock - other).abs();
        let spans = self.spans.iter().map(off);
        spans.chain(self.seams.iter().map(beside).filter(|d| *d > SHARED)).fold(PI, f64::min)
    }
}

/// Clocks to choose seams from, rad.
fn spread() -> impl Iterator<Item = f64> {
    (0..72).map(|i| f64::from(i) * (TAU / 72.0))
}

/// Stretches shorter than this are none, mm.
const LEAST_LENGTH: f64 = 1e-7;

/// Seams wished for are taken where they stand this far clear, rad.
const CLEAR: f64 = 0.05;

/// Seams are at least this far from each other, rad.
const LEAST_APART: f64 = 0.7;

/// Seams of neighbouring walls this near each other are one, rad.
const SHARED: f64 = 1e-10;
