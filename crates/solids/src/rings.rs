//! Meshes from rings: the same clocks on every ring, so that rings and end faces close on each other.
//!
//! A piece's skin is a torus: going along the outside, across the end face, back along the bore and
//! across the start face returns to the first ring. One column for each clock, one ring for each step.

use std::collections::BTreeSet;
use std::f64::consts::TAU;

use geom::angle::wrap_signed;
use geom::math::{acos, sin_cos};
use geom::{DVec3, Frame};
use tube::{Body, End, Piece, Segment, Shape};

use crate::holed::{self, Holed};
use crate::mesh::{Mesh, MeshFault};

/// How fine a mesh is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshSettings {
    /// Largest distance between the mesh and the true surface, mm. Half of it is spent around the
    /// tube and half along it: a ring that used all of it both ways would err nearly twice.
    pub chord: f64,
}

impl Default for MeshSettings {
    fn default() -> Self {
        MeshSettings { chord: 0.05 }
    }
}

/// The closed mesh of a piece, from rings.
///
/// Errors when the piece's ends cross, when a cut that is not square reaches into a bend, or when a hole
/// cannot be cut.
pub fn piece_mesh(piece: &Piece, settings: MeshSettings) -> Result<Mesh, MeshFault> {
    for end in ENDS {
        if let Some(missing) = piece.missing_straight(end) {
            return Err(MeshFault::IntoBend(missing));
        }
    }
    if let Some((number, fault)) = piece.hole_faults().into_iter().next() {
        return Err(MeshFault::Hole(number, fault));
    }
    let skin = Skin::of(piece, settings.chord);
    let mut clocks = skin.spread_clocks();
    skin.refine_clocks(&mut clocks, &[0.0, 0.5, 1.0]);
    let levels = ENDS.map(|end| skin.levels(end, &clocks));
    for end_levels in &levels {
        skin.refine_clocks(&mut clocks, end_levels);
    }
    skin.mesh(&clocks, &levels)
}

/// A piece with what does not change from point to point.
struct Skin<'a> {
    piece: &'a Piece,
    /// Tolerance, mm.
    chord: f64,
    length: f64,
    /// The frames at station 0 and at `length`.
    frames: [Frame; 2],
    /// The frames of the rings between the ends, with their stations.
    rings: Vec<(f64, Frame)>,
}

/// A clock with its cosine and sine.
#[derive(Clone, Copy)]
pub(crate) struct Clock {
    pub(crate) angle: f64,
    cos: f64,
    sin: f64,
}

impl Clock {
    fn at(angle: f64) -> Self {
        let (sin, cos) = sin_cos(angle);
        Clock { angle, cos, sin }
    }
}

impl<'a> Skin<'a> {
    fn of(piece: &'a Piece, chord: f64) -> Self {
        let length = piece.length();
        let (rings, frames) = match &piece.body {
            Body::Cone { frame, .. } => (Vec::new(), [*frame, frame.advanced(length)]),
            Body::Tube { centreline, section } => {
                let spans = centreline.spans();
                let last = spans.last().map_or(centreline.start, |s| s.frame_at(s.to - s.from));
                let mut rings: Vec<(f64, Frame)> = Vec::new();
                for span in &spans {
                    let Segment::Arc { radius, angle, .. } = span.segment else { continue };
                    let steps = (angle / step_angle(radius + section.outer(), 0.5 * chord)).ceil().max(1.0);
                    for i in 0..=steps as u32 {
                        let along = (span.to - span.from) * f64::from(i) / steps;
                        rings.push((span.from + along, span.frame_at(along)));
                    }
                }
                rings.extend(piece.form_stations().into_iter().map(|s| (s, centreline.frame_at(s))));
                rings.sort_by(|a, b| a.0.total_cmp(&b.0));
                rings.dedup_by(|a, b| a.0 - b.0 < WELD);
                rings.retain(|r| r.0 > WELD && r.0 < length - WELD);
                (rings, [centreline.start, last])
            }
        };
        Skin { piece, chord, length, frames, rings }
    }

    /// Clocks fine enough for the round, with every corner of both edges of both cuts among them, and
    /// those between which each hole opens the wall.
    fn spread_clocks(&self) -> Vec<Clock> {
        let mut corners: Vec<f64> = ENDS
            .iter()
            .flat_map(|end| [0.0, 1.0].map(|depth| self.piece.kinks(*end, depth)))
            .flatten()
            .collect();
        corners.sort_by(f64::total_cmp);
        corners.dedup_by(|a, b| *a - *b < LEAST_GAP);
        if corners.len() > 1 && corners[0] + TAU - corners[corners.len() - 1] < LEAST_GAP {
            corners.pop();
        }
        for flank in self.piece.holes.iter().flat_map(|hole| holed::flanks(self.piece, hole)) {
            let apart = |corner: &f64| wrap_signed(corner - flank).abs() >= LEAST_GAP;
            if corners.iter().all(apart) {
                corners.push(flank);
            }
        }
        corners.sort_by(f64::total_cmp);
        if corners.is_empty() {
            corners.push(0.0);
        }
        let ends = self.piece.outer_radius(0.0).max(self.piece.outer_radius(self.length));
        let widest = ends.max(0.5 * self.piece.od());
        let step = step_angle(widest, 0.5 * self.chord);
        let mut clocks = Vec::new();
        for (i, &from) in corners.iter().enumerate() {
            let gap = corners.get(i + 1).copied().unwrap_or(corners[0] + TAU) - from;
            let parts = (gap / step).ceil().max(1.0);
            clocks.extend((0..parts as u32).map(|k| Clock::at(from + gap * f64::from(k) / parts)));
        }
        clocks
    }

    /// Adds clocks, by halves, where the chord of an edge at one of `depths` leaves the edge by more
    /// than the tolerance.
    fn refine_clocks(&self, clocks: &mut Vec<Clock>, depths: &[f64]) {
        let cuts: Vec<End> = ENDS.into_iter().filter(|e| self.piece.cut(*e).shape != Shape::Square).collect();
        if cuts.is_empty() {
            return;
        }
        let row = |clock: Clock| -> Vec<DVec3> {
            let across =
                |end: &End| depths.iter().map(|d| self.edge_point(*end, clock, *d)).collect::<Vec<_>>();
            cuts.iter().flat_map(across).collect()
        };
        let first = clocks[0];
        let closing = (Clock { angle: first.angle + TAU, ..first }, row(first));
        let mut ahead: Vec<(Clock, Vec<DVec3>)> = clocks[1..].iter().map(|c| (*c, row(*c))).collect();
        ahead.insert(0, (first, row(first)));
        ahead.push(closing);
        ahead.reverse();
        clocks.clear();
        while let Some((from, here)) = ahead.pop() {
            clocks.push(from);
            while let Some((to, there)) = ahead.last() {
                if to.angle - from.angle < 2.0 * LEAST_GAP {
                    break;
                }
                let middle = Clock::at(0.5 * (from.angle + to.angle));
                let points = row(middle);
                let bulge = |i: usize| off_chord(points[i], here[i], there[i]);
                if (0..points.len()).all(|i| bulge(i) <= self.chord) {
                    break;
                }
                ahead.push((middle, points));
            }
        }
        clocks.pop();
    }

    /// Depths, outside first, at which the face of an end is divided, so that straight lines across
    /// the wall leave it by no more than half the tolerance.
    fn levels(&self, end: End, clocks: &[Clock]) -> Vec<f64> {
        let mut levels = Vec::new();
        if self.piece.cut(end).shape == Shape::Square {
            return vec![1.0, 0.0];
        }
        let column = |depth: f64| clocks.iter().map(|c| self.edge_point(end, *c, depth)).collect::<Vec<_>>();
        let mut ahead = vec![(0.0, column(0.0)), (1.0, column(1.0))];
        while let Some((depth, here)) = ahead.pop() {
            levels.push(depth);
            while let Some((below, there)) = ahead.last() {
                if depth - below < LEAST_LEVEL {
                    break;
                }
                let middle = 0.5 * (depth + below);
                let points = column(middle);
                if (0..points.len()).all(|i| off_chord(points[i], here[i], there[i]) <= 0.5 * self.chord) {
                    break;
                }
                ahead.push((middle, points));
            }
        }
        levels
    }

    /// The torus of rings over `clocks`: outside, end face, bore, start face.
    fn mesh(&self, clocks: &[Clock], levels: &[Vec<f64>; 2]) -> Result<Mesh, MeshFault> {
        for &clock in clocks {
            for depth in [1.0, 0.0] {
                let [from, to] = ENDS.map(|end| self.piece.edge(end, clock.angle, depth));
                if from - to > WELD {
                    return Err(MeshFault::Crossed { clock: clock.angle, by: from - to });
                }
            }
        }
        let face = |end: End, depth: f64| -> Vec<DVec3> {
            clocks.iter().map(|c| self.edge_point(end, *c, depth)).collect()
        };
        let wall = |depth: f64, ring: &(f64, Frame)| -> Vec<DVec3> {
            let rho = self.piece.radius(ring.0, depth);
            clocks.iter().map(|c| around(&ring.1, *c, 0.0, rho)).collect()
        };
        let mut rings: Vec<Vec<DVec3>> = Vec::new();
        rings.push(face(End::Start, 1.0));
        rings.extend(self.rings.iter().map(|r| wall(1.0, r)));
        rings.extend(levels[1].iter().map(|d| face(End::End, *d)));
        rings.extend(self.rings.iter().rev().map(|r| wall(0.0, r)));
        rings.extend(levels[0].iter().rev().take(levels[0].len() - 1).map(|d| face(End::Start, *d)));
        let order = Order { last: self.rings.len() + 1, bore: self.rings.len() + levels[1].len() };
        let stations: Vec<f64> = self.rings.iter().map(|r| r.0).collect();
        let holed = Holed::of(self.piece, self.chord, clocks, &stations)?;
        let (mut mesh, grid) = torus(&rings, &holed.quads(&order));
        holed.close(&mut mesh, |depth, boundary, column| {
            grid[order.ring(depth, boundary) * clocks.len() + column]
        })?;
        Ok(mesh)
    }

    /// The point of a cut's edge.
    fn edge_point(&self, end: End, clock: Clock, depth: f64) -> DVec3 {
        let mut line = self.piece.line(clock.angle, depth);
        let station = self.piece.cut(end).end_of(line);
        line.rho = self.piece.radius(station, depth);
        match end {
            End::Start => around(&self.frames[0], clock, station, line.rho),
            End::End => around(&self.frames[1], clock, station - self.length, line.rho),
        }
    }
}

/// Where in the list of all rings those of the two walls stand. A wall's boundaries are counted from 0,
/// its start, downstream.
pub(crate) struct Order {
    /// Number of the boundary at the end.
    pub(crate) last: usize,
    /// The ring at the end of the bore.
    bore: usize,
}

impl Order {
    /// The ring of a boundary of the outside (`depth` 1) or the bore (0).
    pub(crate) fn ring(&self, depth: f64, boundary: usize) -> usize {
        if depth == 1.0 { boundary } else { self.bore + self.last - boundary }
    }
}

/// The point `station` mm from `frame` at a clock and a distance from the axis.
fn around(frame: &Frame, clock: Clock, station: f64, rho: f64) -> DVec3 {
    frame.at + frame.along * station + (frame.inside * clock.cos + frame.side() * clock.sin) * rho
}

/// A mesh of rings of equally many points, the last joined to the first, and the points' numbers, ring
/// by ring. It is closed but for the quads `open`, named by ring and column.
///
/// Points of a column that coincide with their neighbour become one, and the triangles between them
/// vanish in pairs.
fn torus(rings: &[Vec<DVec3>], open: &BTreeSet<(usize, usize)>) -> (Mesh, Vec<u32>) {
    let (count, columns) = (rings.len(), rings[0].len());
    let mut mesh = Mesh::default();
    mesh.points.reserve(count * columns);
    let mut index = vec![0_u32; count * columns];
    for column in 0..columns {
        let at = |ring: usize| rings[ring][column];
        let apart = |ring: usize| at(ring).distance_squared(at((ring + count - 1) % count)) > WELD * WELD;
        let first = (0..count).find(|r| apart(*r)).unwrap_or(0);
        for ring in (first..count).chain(0..first) {
            if ring == first || apart(ring) {
                mesh.points.push(at(ring));
            }
            index[ring * columns + column] = mesh.points.len() as u32 - 1;
        }
    }
    mesh.triangles.reserve(2 * count * columns);
    for ring in 0..count {
        let above = (ring + 1) % count;
        for column in (0..columns).filter(|column| !open.contains(&(ring, *column))) {
            let next = (column + 1) % columns;
            let at = |r: usize, c: usize| index[r * columns + c];
            push_quad(&mut mesh, [at(ring, column), at(ring, next), at(above, next), at(above, column)]);
        }
    }
    (mesh, index)
}

/// Two triangles for a quad, along the diagonal that leaves the smaller of them larger. Where corners
/// are one point, what is left of it.
fn push_quad(mesh: &mut Mesh, [a, b, c, d]: [u32; 4]) {
    let points = &mesh.points;
    let double_area = |t: &[u32; 3]| {
        let [p, q, r] = t.map(|i| points[i as usize]);
        (q - p).cross(r - p).length_squared()
    };
    let distinct = |t: &[u32; 3]| t[0] != t[1] && t[1] != t[2] && t[2] != t[0];
    let least = |pair: &[[u32; 3]; 2]| {
        pair.iter().filter(|t| distinct(t)).map(double_area).fold(f64::INFINITY, f64::min)
    };
    let (first, second) = ([[a, b, c], [a, c, d]], [[a, b, d], [b, c, d]]);
    // Equal diagonals, as on a bend, all run the same way whatever their rounding.
    let pair = if least(&second) > least(&first) * (1.0 + 1e-6) { second } else { first };
    mesh.triangles.extend(pair.into_iter().filter(distinct));
}

/// Distance of `point` from the line through `a` and `b`, mm; from `a` where they are one.
pub(crate) fn off_chord(point: DVec3, a: DVec3, b: DVec3) -> f64 {
    let along = (b - a).try_normalize().unwrap_or(DVec3::ZERO);
    let from = point - a;
    (from - along * from.dot(along)).length()
}

/// The angle whose chord on a circle of `radius` leaves it by `sagitta`; at most a sixth of a turn.
pub fn step_angle(radius: f64, sagitta: f64) -> f64 {
    let least = 1.0 - sagitta / radius;
    if least <= 0.5 { TAU / 6.0 } else { (2.0 * acos(least)).min(TAU / 6.0) }
}

const ENDS: [End; 2] = [End::Start, End::End];

/// Clocks are at least this far apart, rad.
pub(crate) const LEAST_GAP: f64 = 1e-7;

/// Levels across a wall are at least this far apart, as a part of the wall.
const LEAST_LEVEL: f64 = 1e-5;

/// Points of a column nearer than this to each other are one, mm.
const WELD: f64 = 1e-8;
