//! A sleeve over the end of a tube, whose edge is the end's cut.
//!
//! Its own axes: z along the tube, its square edge at z = 0 and the cut's edge above it; x toward clock 0.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geom::DVec3;
use geom::angle::wrap_signed;
use geom::math::sin_cos;
use plate::DVec2;
use solids::rings::step_angle;
use solids::{Mesh, MeshFault};
use spec::shop::Printer;
use tube::{Body, End, Piece};

/// A sleeve. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug)]
pub struct Sleeve<'a> {
    /// The piece that it slides over.
    pub piece: &'a Piece,
    /// The end that it tells the cut of.
    pub end: End,
    /// Station of its square edge on the piece.
    pub base: f64,
    /// Room between the tube and the sleeve.
    pub gap: f64,
    /// How thick it is.
    pub wall: f64,
}

/// How much of a sleeve's round there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Share {
    /// All of it.
    Whole,
    /// The half around clock 0.
    Near,
    /// The half opposite it.
    Far,
}

impl<'a> Sleeve<'a> {
    /// The sleeve for an end, [`LEAST_LENGTH`] beyond the shortest point of its cut: 2.4 mm or six nozzles thick
    /// (common practice, no source), the printer's gap away from the tube.
    pub fn new(piece: &'a Piece, end: End, printer: &Printer) -> Sleeve<'a> {
        let [inner, outer] = [0.0, 1.0].map(|depth| piece.extremes(end, depth).shortest.1);
        let base = match end {
            End::Start => inner.min(outer) + LEAST_LENGTH,
            End::End => inner.max(outer) - LEAST_LENGTH,
        };
        let wall = LEAST_WALL.max(NOZZLES * printer.nozzle);
        Sleeve { piece, end, base, gap: printer.fit_gap, wall }
    }

    /// How much straight, or cone, is missing under it, mm.
    pub fn missing(&self) -> Option<f64> {
        let length = self.piece.length();
        let straight = match &self.piece.body {
            Body::Cone { .. } => [length, length],
            Body::Tube { centreline, .. } => {
                let (first, last) = centreline.end_straights();
                let forms = self.piece.forms.map(|form| form.map_or(0.0, |form| form.length()));
                let bent = first < length;
                if bent { [first, last] } else { [length - forms[1], length - forms[0]] }
            }
        };
        let missing = match self.end {
            End::Start => self.base - straight[0],
            End::End => length - straight[1] - self.base,
        };
        (missing > 1e-9).then_some(missing)
    }

    /// How high the edge stands over the square edge at an angle about z from x, mm: at each clock what a template
    /// prints, [`Piece::printed`].
    pub fn edge(&self, angle: f64) -> f64 {
        self.height(self.piece.printed(self.end, self.clock(angle)))
    }

    /// Radius of its bore at a height, mm.
    pub fn bore(&self, height: f64) -> f64 {
        let slope = self.piece.line(0.0, 1.0).slope;
        self.piece.outer_radius(self.base + self.sign() * height) + self.gap * (1.0 + slope * slope).sqrt()
    }

    /// Radius of its outside at a height, mm.
    pub fn outside(&self, height: f64) -> f64 {
        self.bore(height) + self.wall
    }

    /// Its closed mesh, notched at clock 0 in both edges; `chord` (mm) is the largest distance of its edge and walls
    /// from the true ones. Errors: a cut too steep for its triangles.
    pub fn mesh(&self, share: Share, chord: f64) -> Result<Mesh, MeshFault> {
        let angles = self.angles(share, chord);
        let mut mesh = Mesh::default();
        for angle in &angles {
            let notch = if angle.abs() < SAME { NOTCH_DEPTH } else { 0.0 };
            let [low, high] = [notch, self.edge(*angle) - notch];
            let corners = [
                (self.outside(low), low),
                (self.outside(high), high),
                (self.bore(high), high),
                (self.bore(low), low),
            ];
            let (sin, cos) = sin_cos(*angle);
            mesh.points.extend(corners.map(|(r, z)| DVec3::new(r * cos, r * sin, z)));
        }
        let count = angles.len() as u32;
        let spans = if share == Share::Whole { count } else { count - 1 };
        for k in 0..spans {
            let (this, next) = (4 * k, 4 * ((k + 1) % count));
            for (low, high) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
                let [a, b, c, d] = [this + low, next + low, next + high, this + high];
                mesh.triangles.extend([[a, b, c], [a, c, d]]);
            }
        }
        if share != Share::Whole {
            let last = 4 * (count - 1);
            mesh.triangles.extend([[0, 1, 2], [0, 2, 3]]);
            mesh.triangles.extend([[last, last + 2, last + 1], [last, last + 3, last + 2]]);
        }
        mesh.check()?;
        Ok(mesh)
    }

    /// Angles of its columns, ascending; of a whole one the last is a turn short of the first.
    fn angles(&self, share: Share, chord: f64) -> Vec<f64> {
        let (from, to) = match share {
            Share::Whole => (-PI, PI),
            Share::Near => (-FRAC_PI_2, FRAC_PI_2),
            Share::Far => (FRAC_PI_2, PI + FRAC_PI_2),
        };
        let notch = NOTCH_WIDTH / (2.0 * self.outside(0.0));
        let mut corners = vec![from, to];
        if share != Share::Far {
            corners.extend([-notch, 0.0, notch]);
        }
        let kinks = [0.0, 1.0].into_iter().flat_map(|depth| self.piece.kinks(self.end, depth));
        for kink in kinks.map(|clock| wrap_signed(self.clock(clock))) {
            for angle in [kink, kink + TAU] {
                let notched = angle.abs() < notch;
                let apart = corners.iter().all(|corner| (corner - angle).abs() > LEAST_APART);
                if angle > from && angle < to && apart && !notched {
                    corners.push(angle);
                }
            }
        }
        corners.sort_by(f64::total_cmp);
        let step = step_angle(self.outside(0.0).max(self.outside(self.edge(0.0))), 0.5 * chord);
        let mut angles = Vec::new();
        for pair in corners.windows(2) {
            angles.push(pair[0]);
            if pair[0].abs().max(pair[1].abs()) > notch + SAME {
                let parts = ((pair[1] - pair[0]) / step).ceil();
                let at = |k: u32| pair[0] + (pair[1] - pair[0]) * f64::from(k) / parts;
                for k in 0..parts as u32 {
                    angles.extend((k > 0).then(|| at(k)));
                    self.halve([at(k), at(k + 1)], 0.5 * chord, &mut angles);
                }
            }
        }
        if share != Share::Whole {
            angles.push(to);
        }
        angles
    }

    /// Adds angles between two until the edge, unrolled, is within `chord` mm of its chords.
    fn halve(&self, [from, to]: [f64; 2], chord: f64, angles: &mut Vec<f64>) {
        let middle = 0.5 * (from + to);
        let place = |angle: f64| {
            let height = self.edge(angle);
            DVec2::new((angle - from) * self.outside(height), height)
        };
        let (first, last) = (place(from), place(to));
        let along = (last - first).normalize();
        let off = |share: f64| along.perp_dot(place(from + share * (to - from)) - first).abs();
        if to - from > 2.0 * LEAST_APART && [0.25, 0.5, 0.75].into_iter().any(|share| off(share) > chord) {
            self.halve([from, middle], chord, angles);
            angles.push(middle);
            self.halve([middle, to], chord, angles);
        }
    }

    /// Height over the square edge of a station of the piece.
    fn height(&self, station: f64) -> f64 {
        self.sign() * (station - self.base)
    }

    /// The piece's clock at an angle of the sleeve, and the other way round: at a start the sleeve is looked at
    /// against the travel.
    fn clock(&self, angle: f64) -> f64 {
        self.sign() * angle
    }

    /// 1 where the edge looks downstream, else -1.
    fn sign(&self) -> f64 {
        if self.end == End::End { 1.0 } else { -1.0 }
    }
}

/// How far a sleeve reaches beyond the shortest point of its cut, mm (common practice, no source).
pub const LEAST_LENGTH: f64 = 25.0;

/// The least wall of a sleeve, mm, and in nozzles.
const LEAST_WALL: f64 = 2.4;
/// See [`LEAST_WALL`].
const NOZZLES: f64 = 6.0;

/// Width of the notches on the outside, and their depth, mm.
const NOTCH_WIDTH: f64 = 2.0;
/// See [`NOTCH_WIDTH`].
const NOTCH_DEPTH: f64 = 1.5;

/// Columns are at least this far apart, rad: 0.0025 mm on a tube of 50 mm.
const LEAST_APART: f64 = 1e-4;

/// Angles nearer than this are one, rad.
const SAME: f64 = 1e-9;
