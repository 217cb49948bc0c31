//! A piece as a solid: walls outside and inside, joined by rings of edges, closed by its cut ends.

use std::f64::consts::TAU;

use geom::angle::wrap_turn;
use geom::{DVec3, Frame};
use tube::{End, Piece, Shape};

use super::brep::{Brep, Face, Use, reversed};
use super::cap::{Cap, Foot, Part};
use super::curve::Curve;
use super::fault::SolidFault;
use super::opening::Opening;
use super::ring::{Ring, SAME_CLOCK, merged};
use super::spline::Spline;
use super::surface::Surface;
use super::touch::parted;
use super::wall::{Taken, Wall};

/// What can be chosen of the solids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepSettings {
    /// Largest distance of a spline edge from either of the surfaces that meet in it, mm.
    pub tolerance: f64,
}

impl Default for StepSettings {
    /// Half of the 1e-7 mm below which outside kernels do not tell points apart.
    fn default() -> Self {
        StepSettings { tolerance: 5e-8 }
    }
}

/// The solid of a piece.
///
/// Ends that touch in a point are held `NECK` apart there: outside kernels take no edges that come
/// nearer than their tolerance.
pub fn solid(piece: &Piece, settings: StepSettings) -> Result<Brep, SolidFault> {
    let (parted, touches) = parted(piece);
    let mut builder = Builder::of(&parted, touches, settings)?;
    let sides = [0, 1].map(|side| builder.side(side));
    let [bore, outside] = sides;
    let rings = [bore?, outside?];
    for (number, end) in ENDS.into_iter().enumerate() {
        let [inner, outer] = &rings;
        let ring = |rings: &Vec<Ring>| if number == 0 { 0 } else { rings.len() - 1 };
        let both = [&inner[ring(inner)], &outer[ring(outer)]];
        builder.close(end, both)?;
    }
    builder.open_holes()?;
    match builder.brep.fault() {
        None => Ok(builder.brep),
        Some(fault) => Err(SolidFault::Open(fault)),
    }
}

/// The solid in the making.
pub struct Builder<'a> {
    piece: &'a Piece,
    /// Clocks at which its ends come nearest.
    touches: Vec<f64>,
    pub settings: StepSettings,
    pub walls: Vec<Wall>,
    caps: [Cap; 2],
    /// Its holes, until they are cut.
    pub openings: Vec<Opening>,
    /// The faces of its walls.
    pub skins: Vec<Skin>,
    pub brep: Brep,
}

/// Which face a part of a wall is.
pub struct Skin {
    /// Index of the wall.
    pub wall: usize,
    /// 0 on the bore, 1 on the outside.
    pub side: usize,
    /// From which clock to which.
    pub clocks: (f64, f64),
    /// Index of the face.
    pub face: usize,
}

impl<'a> Builder<'a> {
    fn of(piece: &'a Piece, touches: Vec<f64>, settings: StepSettings) -> Result<Self, SolidFault> {
        let walls = Wall::all(piece);
        for wall in &walls {
            if let Some(bend) = wall.bend.filter(|b| b.radius - wall.radii[1] < LEAST_INSIDE) {
                return Err(SolidFault::TightBend(bend.radius, wall.radii[1]));
            }
        }
        let caps = ENDS.map(|end| Cap::of(piece, end));
        let openings = piece.holes.iter().map(|hole| Opening::of(piece, hole)).collect();
        let (skins, brep) = (Vec::new(), Brep::default());
        Ok(Builder { piece, touches, settings, walls, caps, openings, skins, brep })
    }

    /// The faces of the bore (0) or the outside (1); its rings from start to end.
    fn side(&mut self, side: usize) -> Result<Vec<Ring>, SolidFault> {
        let seams = self.seams(side)?;
        let count = self.walls.len();
        let mut rings = Vec::with_capacity(count + 1);
        for number in 0..=count {
            let mut clocks: Vec<f64> = Vec::new();
            for wall in [number.checked_sub(1), Some(number)].into_iter().flatten() {
                clocks.extend(seams.get(wall).into_iter().flatten());
            }
            let ring = match number {
                0 => self.cut_ring(End::Start, side, clocks)?,
                n if n == count => self.cut_ring(End::End, side, clocks)?,
                n => self.square_ring(self.walls[n].frame, self.walls[n].radii[side], clocks),
            };
            rings.push(ring);
        }
        for (number, clocks) in seams.iter().enumerate() {
            self.wall_faces(number, side, clocks, [&rings[number], &rings[number + 1]]);
        }
        Ok(rings)
    }

    /// Where each wall's surface is divided, ascending clocks.
    fn seams(&self, side: usize) -> Result<Vec<Vec<f64>>, SolidFault> {
        let last = self.walls.len() - 1;
        let mut chosen: Vec<Vec<f64>> = Vec::with_capacity(self.walls.len());
        for (number, wall) in self.walls.iter().enumerate() {
            let before = number.checked_sub(1).map(|n| [chosen[n][0], chosen[n][1]]);
            let after = self.walls.get(number + 1).and_then(Wall::own_seams);
            let ends = [(0, number == 0), (1, number == last)].into_iter().filter(|end| end.1);
            let corners = ends.flat_map(|(end, _)| &self.caps[end].clocks[side]).chain(&self.touches);
            let taken = Taken {
                spans: corners.map(|c| (*c, *c)).chain(self.open_clocks(number, side)).collect(),
                seams: before.into_iter().chain(after).flatten().collect(),
            };
            let own = wall.own_seams();
            let wished: Vec<[f64; 2]> = match own {
                Some(own) => vec![own],
                None => before.into_iter().chain(after).chain([[0.0, 0.5 * TAU]]).collect(),
            };
            let mut clocks = taken.seams(&wished).ok_or(SolidFault::NoSeam)?;
            clocks.sort_by(f64::total_cmp);
            chosen.push(clocks);
        }
        Ok(chosen)
    }

    /// The clocks that the holes of a wall open on one side.
    fn open_clocks(&self, number: usize, side: usize) -> impl Iterator<Item = (f64, f64)> {
        let from = self.walls[number].station;
        let to = self.walls.get(number + 1).map_or(f64::INFINITY, |w| w.station);
        let here = move |o: &&Opening| o.stations.1 > from && o.stations.0 < to;
        self.openings.iter().filter(here).map(move |o| o.clocks[side])
    }

    /// A ring of circle arcs square to the tube.
    fn square_ring(&mut self, frame: Frame, radius: f64, clocks: Vec<f64>) -> Ring {
        self.ring(
            clocks,
            |clock| frame.point(0.0, clock, radius),
            |ends, _| Ok(Curve::circle(frame, radius, ends)),
        )
        .unwrap_or_else(|_: SolidFault| Ring {
            clocks: Vec::new(),
            vertices: Vec::new(),
            edges: Vec::new(),
        })
    }

    /// The ring of a cut end.
    fn cut_ring(&mut self, end: End, side: usize, mut clocks: Vec<f64>) -> Result<Ring, SolidFault> {
        let (piece, number) = (self.piece, end as usize);
        clocks.extend(&self.caps[number].clocks[side]);
        let (base, from) = match end {
            End::Start => (piece.frame_at(0.0), 0.0),
            End::End => (piece.frame_at(piece.length()), piece.length()),
        };
        let wall = &self.walls[if number == 0 { 0 } else { self.walls.len() - 1 }];
        let point = |clock: f64| {
            let station = piece.edge(end, clock, DEPTHS[side]);
            base.point(station - from, clock, piece.radius(station, DEPTHS[side]))
        };
        if piece.cut(end).shape == Shape::Square {
            let station = piece.cut(end).station;
            let (frame, radius) = (piece.frame_at(station), piece.radius(station, DEPTHS[side]));
            return Ok(self.square_ring(frame, radius, clocks));
        }
        let skin = Surface::round(wall.frame, wall.radii[side], wall.slopes[side]);
        let mut spans = Vec::new();
        let clocks = merged(clocks);
        for (i, &clock) in clocks.iter().enumerate() {
            let turn = wrap_turn(clocks[(i + 1) % clocks.len()] - clock);
            let middle = clock + 0.5 * if turn == 0.0 { TAU } else { turn };
            let cut = self.caps[number].surface_at(side, wrap_turn(middle)).copied();
            let lost = || SolidFault::Open(format!("a cut has no surface at clock {middle:.3} rad"));
            spans.push(cut.ok_or_else(lost)?);
        }
        let tolerance = self.settings.tolerance;
        let kinks = piece.kinks(end, DEPTHS[side]);
        self.ring(clocks.clone(), point, |ends, (from, to)| {
            let index = clocks.iter().position(|c| *c == wrap_turn(from)).unwrap_or(0);
            let cut = &spans[index];
            for p in ends {
                let off = cut.distance(p).abs();
                if off > ON_CUT {
                    return Err(SolidFault::OffCut(p, off));
                }
            }
            if let Some(curve) = Curve::meeting(&skin, cut, ends) {
                return Ok(curve);
            }
            let spline = Spline::fit([&skin, cut], &point, &nodes(from, to, &kinks), tolerance);
            spline.map(Curve::Spline).map_err(SolidFault::Spline)
        })
    }

    /// A ring through the points at `clocks`; `curve` is given an edge's begin, middle and end, and its
    /// clocks.
    pub fn ring(
        &mut self,
        clocks: Vec<f64>,
        point: impl Fn(f64) -> DVec3,
        curve: impl Fn([DVec3; 3], (f64, f64)) -> Result<Curve, SolidFault>,
    ) -> Result<Ring, SolidFault> {
        let clocks = merged(clocks);
        let points: Vec<DVec3> = clocks.iter().map(|c| point(*c)).collect();
        let vertices: Vec<usize> = points.iter().map(|p| self.brep.vertex(*p)).collect();
        let mut edges = Vec::with_capacity(clocks.len());
        for (i, &from) in clocks.iter().enumerate() {
            let next = (i + 1) % clocks.len();
            let to = from + wrap_turn(clocks[next] - from);
            let ends = [points[i], point(0.5 * (from + to)), points[next]];
            edges.push(if vertices[i] == vertices[next] {
                None
            } else {
                self.brep.edge(vertices[i], vertices[next], curve(ends, (from, to))?)
            });
        }
        Ok(Ring { clocks, vertices, edges })
    }

    /// The faces of one wall on one side, between the rings at its ends.
    fn wall_faces(&mut self, number: usize, side: usize, seams: &[f64], rings: [&Ring; 2]) {
        let rises: Vec<Option<Use>> = seams.iter().map(|clock| self.seam(number, *clock, rings)).collect();
        for (i, &from) in seams.iter().enumerate() {
            let next = (i + 1) % seams.len();
            let mut edges = rings[0].arcs(from, seams[next]);
            edges.extend(rises[next]);
            edges.extend(reversed(&rings[1].arcs(from, seams[next])));
            edges.extend(rises[i].map(Use::back));
            if edges.is_empty() {
                continue;
            }
            let edges = if side == 1 { edges } else { reversed(&edges) };
            let surface = self.walls[number].surface(side, (from, seams[next]));
            let face = self.brep.faces.len();
            self.skins.push(Skin { wall: number, side, clocks: (from, seams[next]), face });
            self.brep.faces.push(Face { surface, outward: side == 1, loops: vec![edges] });
        }
    }

    /// The edge along a wall at a clock, downstream; `None` where its ends are one.
    fn seam(&mut self, number: usize, clock: f64, rings: [&Ring; 2]) -> Option<Use> {
        let [from, to] = rings.map(|ring| ring.vertices[ring.index(clock)]);
        let wall = &self.walls[number];
        let curve = match wall.bend {
            None => Curve::Line,
            Some(bend) => {
                let [begin, end] = [from, to].map(|v| self.brep.vertices[v]);
                let torus = wall.surface(0, (0.0, 0.0));
                let (height, across) = torus.cylindrical(begin);
                let frame = torus.frame().advanced(height);
                let rho = wall.frame.at.distance(begin);
                let middle = wall.middle(bend).point(0.0, clock, rho);
                Curve::circle(frame, across.length(), [begin, middle, end])
            }
        };
        self.brep.edge(from, to, curve)
    }

    /// The faces of a cut end, between the rings of bore and outside.
    fn close(&mut self, end: End, rings: [&Ring; 2]) -> Result<(), SolidFault> {
        let number = end as usize;
        let base = self.piece.frame_at(if number == 0 { 0.0 } else { self.piece.length() });
        let throughs: Vec<Option<Use>> = (0..self.caps[number].throughs.len())
            .map(|i| self.through(number, i, rings))
            .collect::<Result<_, _>>()?;
        let mut faces = Vec::new();
        for patch in &self.caps[number].patches {
            let uses = |part: &Part| match part {
                Part::Outside(rim) => rings[1].part(*rim),
                Part::Bore(rim) => reversed(&rings[0].part(*rim)),
                Part::Out(through) => throughs[*through].into_iter().collect(),
                Part::In(through) => throughs[*through].map(Use::back).into_iter().collect(),
            };
            let loops = patch.loops.iter().map(|parts| parts.iter().flat_map(uses).collect::<Vec<Use>>());
            let loops = loops.filter(|edges| !edges.is_empty());
            let downstream = end == End::End;
            let loops: Vec<Vec<Use>> =
                loops.map(|edges| if downstream { edges } else { reversed(&edges) }).collect();
            let Some(middle) = loops.first().map(|edges| self.middle_of(edges)) else { continue };
            let outward =
                self.looks_out(&patch.surface, &loops[0], if downstream { base.along } else { -base.along });
            faces.push(Face { surface: patch.surface.opened_opposite(middle), outward, loops });
        }
        self.brep.faces.extend(faces);
        Ok(())
    }

    /// An edge through the wall.
    fn through(&mut self, cap: usize, index: usize, rings: [&Ring; 2]) -> Result<Option<Use>, SolidFault> {
        let through = &self.caps[cap].throughs[index];
        let brep = &mut self.brep;
        let mut vertex = |foot: Foot| match foot {
            Foot::Bore(clock) => rings[0].vertices[rings[0].index(clock)],
            Foot::Outside(clock) => rings[1].vertices[rings[1].index(clock)],
            Foot::Within(point) => brep.vertex(point),
        };
        let (from, to) = (vertex(through.from), vertex(through.to));
        let [begin, end] = [from, to].map(|v| brep.vertices[v]);
        let [a, b] = &through.surfaces;
        if from == to {
            return Ok(None);
        }
        let curve = Curve::meeting(a, b, [begin, begin.midpoint(end), end]);
        Ok(brep.edge(from, to, curve.ok_or(SolidFault::Through(begin))?))
    }

    /// Whether a surface's normal looks out of the solid on the left of a loop. A plane may stand along the
    /// wall, so that its loop has to tell; other surfaces face the way that the end does, which is asked
    /// all along the loop, because at its corners wall lines may graze the surface.
    fn looks_out(&self, surface: &Surface, edges: &[Use], facing: DVec3) -> bool {
        let ends = |u: &Use| {
            let edge = &self.brep.edges[u.edge];
            (edge, self.brep.ends(edge))
        };
        if let Surface::Plane(frame) = surface {
            let turn = |u: &Use| {
                let (edge, ends) = ends(u);
                let points = edge.curve.points(ends, 5).into_iter().map(|p| p - frame.at);
                let points: Vec<DVec3> = points.collect();
                let sum: DVec3 = points.windows(2).map(|w| w[0].cross(w[1])).sum();
                if u.forward { sum } else { -sum }
            };
            return edges.iter().map(turn).sum::<DVec3>().dot(frame.along) > 0.0;
        }
        let points = edges.iter().flat_map(|u| {
            let (edge, ends) = ends(u);
            edge.curve.points(ends, 5)
        });
        points.map(|p| surface.normal(p).dot(facing)).sum::<f64>() > 0.0
    }

    /// The mean of a loop's vertices.
    fn middle_of(&self, edges: &[Use]) -> DVec3 {
        let points = edges.iter().map(|u| self.brep.vertices[self.brep.edges[u.edge].from]);
        points.sum::<DVec3>() / edges.len() as f64
    }
}

/// Clocks from one to another, a sixteenth of a turn apart at most, with the kinks among them.
pub fn nodes(from: f64, to: f64, kinks: &[f64]) -> Vec<f64> {
    let mut nodes = vec![from, to];
    let inside = |clock: &f64| *clock > from + SAME_CLOCK && *clock < to - SAME_CLOCK;
    nodes.extend(kinks.iter().flat_map(|k| [*k, k + TAU]).filter(inside));
    nodes.sort_by(f64::total_cmp);
    let mut fine = vec![from];
    for pair in nodes.windows(2) {
        let parts = ((pair[1] - pair[0]) / (TAU / 16.0)).ceil().max(1.0);
        fine.extend((1..=parts as u32).map(|i| pair[0] + (pair[1] - pair[0]) * f64::from(i) / parts));
    }
    fine
}

const ENDS: [End; 2] = [End::Start, End::End];

/// Depths in the wall of the bore and the outside.
pub const DEPTHS: [f64; 2] = [0.0, 1.0];

/// Least radius that the inside of a bend must have, mm.
const LEAST_INSIDE: f64 = 1e-3;

/// Vertices of a cut are at most this far off its surface, mm.
const ON_CUT: f64 = 1e-6;
