//! Walls with holes: the strips of wall between neighbouring columns of a ring mesh, less the holes.
//!
//! A hole's edge has a point on every column that it crosses and more between them, so strips meet
//! point to point. Both edges are joined by the hole's own wall.

use std::collections::{BTreeMap, BTreeSet};

use geom::angle::{wrap_signed, wrap_turn};
use geom::{DVec3, Frame};
use tube::{End, Hole, Piece, Shape, WallLine};

use crate::mesh::{Mesh, MeshFault};
use crate::polygon::{Corner, triangles};
use crate::rings::{Clock, LEAST_GAP, Order, off_chord, step_angle};

/// The clocks, rad in `[0, TAU)`, between which a hole opens the outside and the bore: columns of a mesh.
pub(crate) fn flanks(piece: &Piece, hole: &Hole) -> Vec<f64> {
    let flanks = [0.0, 1.0].map(|depth| hole.flanks(piece, depth));
    flanks.iter().flat_map(|f| [f.least.1, f.largest.1]).map(wrap_turn).collect()
}

/// The holes of a piece on the columns of its mesh.
pub(crate) struct Holed<'a> {
    piece: &'a Piece,
    clocks: &'a [Clock],
    /// Stations of the rings between the piece's ends.
    stations: &'a [f64],
    openings: Vec<Opening>,
    /// Points of the edges, numbered from 0.
    points: Vec<DVec3>,
}

/// A hole: between which boundaries it stands, and its edges outside and at the bore.
struct Opening {
    /// The boundary before it.
    gap: usize,
    rims: [Rim; 2],
}

/// A hole's edge on one wall.
struct Rim {
    depth: f64,
    /// The columns that it touches, in the order of their clocks.
    columns: Vec<usize>,
    /// Its points from each of these columns to the next: the upstream side and the downstream side.
    sides: Vec<[Vec<Knot>; 2]>,
}

/// A point of an edge.
#[derive(Clone, Copy)]
struct Knot {
    /// Angle around the hole: on the upstream side 90 to 270 degrees, on the other -90 to 90.
    phi: f64,
    clock: f64,
    station: f64,
    point: u32,
}

/// Makes the edges of one hole.
struct Tracer<'a> {
    piece: &'a Piece,
    hole: &'a Hole,
    axis: Frame,
    depth: f64,
    chord: f64,
    /// Stations that the edge is kept between: those of the rings before and after.
    room: (f64, f64),
}

const UPSTREAM: usize = 0;
const DOWNSTREAM: usize = 1;

impl<'a> Holed<'a> {
    /// The holes of `piece` on the columns `clocks`, with rings at `stations` between the ends.
    pub(crate) fn of(
        piece: &'a Piece,
        chord: f64,
        clocks: &'a [Clock],
        stations: &'a [f64],
    ) -> Result<Self, MeshFault> {
        let mut holed = Holed { piece, clocks, stations, openings: Vec::new(), points: Vec::new() };
        for hole in &piece.holes {
            let (from, to) = hole.stations(piece, 1.0);
            let gap = stations.iter().filter(|s| **s < 0.5 * (from + to)).count();
            let room = (holed.bound(gap, 0.0, 1.0, NEAR), holed.bound(gap + 1, 0.0, 1.0, -NEAR));
            let tracer = |depth| Tracer { piece, hole, axis: hole.axis(piece), depth, chord, room };
            let rims =
                [tracer(1.0).rim(clocks, &mut holed.points)?, tracer(0.0).rim(clocks, &mut holed.points)?];
            holed.openings.push(Opening { gap, rims });
        }
        Ok(holed)
    }

    /// The quads that the holes open or touch, by ring and column.
    pub(crate) fn quads(&self, order: &Order) -> BTreeSet<(usize, usize)> {
        let mut quads = BTreeSet::new();
        for opening in &self.openings {
            for rim in &opening.rims {
                let ring = order.ring(rim.depth, opening.gap).min(order.ring(rim.depth, opening.gap + 1));
                let before = (rim.columns[0] + self.clocks.len() - 1) % self.clocks.len();
                quads.extend(rim.columns.iter().chain([&before]).map(|column| (ring, *column)));
            }
        }
        quads
    }

    /// Adds the triangles of the strips left open, and those of the holes' own walls. `corner` numbers
    /// the points of the mesh by depth, boundary and column.
    pub(crate) fn close(
        mut self,
        mesh: &mut Mesh,
        corner: impl Fn(f64, usize, usize) -> u32,
    ) -> Result<(), MeshFault> {
        let first = mesh.points.len() as u32;
        mesh.points.append(&mut self.points);
        for opening in &mut self.openings {
            for knot in opening.rims.iter_mut().flat_map(|r| r.sides.iter_mut().flatten().flatten()) {
                knot.point += first;
            }
            bridge(mesh, [&opening.rims[0], &opening.rims[1]].map(Rim::around));
        }
        let gaps: BTreeSet<usize> = self.openings.iter().map(|o| o.gap).collect();
        for gap in gaps {
            for wall in 0..2 {
                self.strips(mesh, gap, wall, &corner)?;
            }
        }
        Ok(())
    }

    /// The strips of one wall between two boundaries that holes open or touch.
    fn strips(
        &self,
        mesh: &mut Mesh,
        gap: usize,
        wall: usize,
        corner: &impl Fn(f64, usize, usize) -> u32,
    ) -> Result<(), MeshFault> {
        let count = self.clocks.len();
        let depth = [1.0, 0.0][wall];
        let rims: Vec<&Rim> = self.openings.iter().filter(|o| o.gap == gap).map(|o| &o.rims[wall]).collect();
        let mut strips: BTreeMap<usize, Vec<&[Vec<Knot>; 2]>> = BTreeMap::new();
        let mut touches: BTreeMap<usize, Vec<Knot>> = BTreeMap::new();
        for rim in rims {
            let (Some(start), Some(end)) = (rim.columns.first(), rim.columns.last()) else { continue };
            for (column, sides) in rim.columns.iter().zip(&rim.sides) {
                strips.entry(*column).or_default().push(sides);
            }
            let around = rim.around();
            touches.entry(*start).or_default().push(around[0]);
            touches.entry(*end).or_default().extend(rim.sides.last().and_then(|s| s[UPSTREAM].last()));
            strips.entry((start + count - 1) % count).or_default();
            strips.entry(*end).or_default();
        }
        for (column, mut sides) in strips {
            sides.sort_by(|a, b| a[UPSTREAM][0].station.total_cmp(&b[UPSTREAM][0].station));
            let next = (column + 1) % count;
            let strip = Strip {
                clock: self.clocks[column].angle,
                width: wrap_turn(self.clocks[next].angle - self.clocks[column].angle),
                rho: self.piece.line(0.0, depth).rho,
                touches: [column, next].map(|c| touches.get(&c).map_or(&[][..], Vec::as_slice)),
            };
            let boundary = |boundary: usize| {
                [(column, 0.0), (next, strip.width * strip.rho)].map(|(column, x)| {
                    let y = self.bound(boundary, self.clocks[column].angle, depth, 0.0);
                    Corner { x, y, point: corner(depth, boundary, column) }
                })
            };
            let mut below = boundary(gap).to_vec();
            for side in sides {
                strip.fill(mesh, depth, &below, &strip.corners(&side[UPSTREAM]))?;
                below = strip.corners(&side[DOWNSTREAM]);
            }
            strip.fill(mesh, depth, &below, &boundary(gap + 1))?;
        }
        Ok(())
    }

    /// The station of a boundary, `by` mm further; without bound where it is a cut that is not square
    /// and a distance is asked for.
    fn bound(&self, boundary: usize, clock: f64, depth: f64, by: f64) -> f64 {
        let end = match boundary {
            0 => End::Start,
            k if k > self.stations.len() => End::End,
            k => return self.stations[k - 1] + by,
        };
        let slanted = by != 0.0 && self.piece.cut(end).shape != Shape::Square;
        let free = if end == End::Start { f64::NEG_INFINITY } else { f64::INFINITY };
        if slanted { free } else { self.piece.edge(end, clock, depth) + by }
    }
}

impl Rim {
    /// Its points once around, by growing angle around the hole from its least clock.
    fn around(&self) -> Vec<Knot> {
        let mut around: Vec<Knot> = Vec::new();
        for side in &self.sides {
            around.extend(&side[UPSTREAM][..side[UPSTREAM].len() - 1]);
        }
        for side in self.sides.iter().rev() {
            let back = side[DOWNSTREAM].iter().skip(1).rev();
            around.extend(back.map(|k| Knot { phi: k.phi + std::f64::consts::TAU, ..*k }));
        }
        around
    }
}

impl Tracer<'_> {
    /// The edge on the columns `clocks`; its points are added to `points`.
    fn rim(&self, clocks: &[Clock], points: &mut Vec<DVec3>) -> Result<Rim, MeshFault> {
        let flanks = self.hole.flanks(self.piece, self.depth);
        let nearest = |clock: f64| {
            let off = |i: &usize| wrap_signed(clocks[*i].angle - clock).abs();
            (0..clocks.len()).min_by(|i, j| off(i).total_cmp(&off(j))).unwrap_or(0)
        };
        let (from, to) = (nearest(flanks.least.1), nearest(flanks.largest.1));
        let mut rim = Rim { depth: self.depth, columns: vec![from], sides: Vec::new() };
        let least = self.knot(flanks.least.0, points);
        let mut here = [least, Knot { phi: wrap_signed(least.phi), ..least }];
        while rim.columns.last() != Some(&to) || rim.sides.is_empty() {
            let column = (rim.columns.last().map_or(from, |c| c + 1)) % clocks.len();
            let there = if column == to {
                let last = self.knot(flanks.largest.0, points);
                [last, Knot { phi: wrap_signed(last.phi), ..last }]
            } else {
                self.crossing(clocks[column].angle, points)?
            };
            let sides = [UPSTREAM, DOWNSTREAM].map(|side| self.chain(here[side], there[side], points));
            rim.columns.push(column);
            rim.sides.push(sides);
            here = there;
        }
        Ok(rim)
    }

    /// Both points of the edge on a column.
    fn crossing(&self, angle: f64, points: &mut Vec<DVec3>) -> Result<[Knot; 2], MeshFault> {
        let clock = self.hole.clock + wrap_signed(angle - self.hole.clock);
        let span = self.hole.span(self.piece, clock, self.depth).ok_or(MeshFault::Undivided(clock))?;
        Ok([span.0, span.1].map(|station| {
            let phi = self.hole.phi_of(self.piece, station, clock, self.depth);
            let phi = if station == span.0 { wrap_turn(phi) } else { phi };
            let station = self.kept(station);
            points.push(self.piece.point(station, clock, self.depth));
            Knot { phi, clock, station, point: points.len() as u32 - 1 }
        }))
    }

    /// The points from one column to the next, both included, close enough for the chord error.
    fn chain(&self, from: Knot, to: Knot, points: &mut Vec<DVec3>) -> Vec<Knot> {
        let step = step_angle(self.hole.radius, 0.5 * self.chord);
        let mut chain = vec![from];
        let mut ahead = vec![to];
        while let (Some(&next), Some(&here)) = (ahead.last(), chain.last()) {
            let turn = (next.phi - here.phi).abs();
            let phi = 0.5 * (here.phi + next.phi);
            let [a, b] = [here, next].map(|k| points[k.point as usize]);
            let off = off_chord(self.place(phi).2, a, b);
            if turn > step || (off > 0.5 * self.chord && turn > 2.0 * LEAST_GAP) {
                ahead.push(self.knot(phi, points));
            } else {
                chain.push(next);
                ahead.pop();
            }
        }
        chain
    }

    fn knot(&self, phi: f64, points: &mut Vec<DVec3>) -> Knot {
        let (clock, station, point) = self.place(phi);
        points.push(point);
        Knot { phi, clock, station, point: points.len() as u32 - 1 }
    }

    /// Clock, station and point of the edge at an angle around the hole.
    fn place(&self, phi: f64) -> (f64, f64, DVec3) {
        let (clock, station) = self.hole.edge(self.piece, phi, self.depth);
        let kept = self.kept(station);
        if kept != station {
            return (clock, kept, self.piece.point(kept, clock, self.depth));
        }
        let line = WallLine { clock: phi, rho: self.hole.radius, slope: 0.0 };
        let rise = self.hole.saddle(self.piece, self.depth).end_of(line);
        (clock, station, self.axis.point(rise, phi, self.hole.radius))
    }

    /// A station kept clear of the rings before and after, where a hole touches a bend or an end.
    fn kept(&self, station: f64) -> f64 {
        station.clamp(self.room.0, self.room.1)
    }
}

/// A strip of wall between two columns.
struct Strip<'a> {
    clock: f64,
    width: f64,
    rho: f64,
    /// Points at which holes touch its two columns, from whichever side.
    touches: [&'a [Knot]; 2],
}

impl Strip<'_> {
    /// The points of an edge in the strip's plane, the ends exactly on its columns.
    fn corners(&self, chain: &[Knot]) -> Vec<Corner> {
        let last = chain.len() - 1;
        let place = |(i, knot): (usize, &Knot)| {
            let turn = match i {
                0 => 0.0,
                i if i == last => self.width,
                _ => wrap_signed(knot.clock - self.clock),
            };
            Corner { x: turn * self.rho, y: knot.station, point: knot.point }
        };
        chain.iter().enumerate().map(place).collect()
    }

    /// The triangles between two lines across the strip, `below` upstream of `above`.
    fn fill(&self, mesh: &mut Mesh, depth: f64, below: &[Corner], above: &[Corner]) -> Result<(), MeshFault> {
        let touching = |side: usize, from: Corner, to: Corner| {
            let mut between: Vec<Corner> = self.touches[side]
                .iter()
                .filter(|k| k.point != from.point && k.point != to.point)
                .filter(|k| k.station > from.y && k.station < to.y)
                .map(|k| Corner { x: from.x, y: k.station, point: k.point })
                .collect();
            between.sort_by(|a, b| a.y.total_cmp(&b.y));
            between
        };
        let ends = (below.first(), below.last(), above.first(), above.last());
        let (Some(&a), Some(&b), Some(&d), Some(&c)) = ends else { return Ok(()) };
        let mut polygon = below.to_vec();
        polygon.extend(touching(1, b, c));
        polygon.extend(above.iter().rev());
        polygon.extend(touching(0, a, d).iter().rev());
        let parts = triangles(&polygon).ok_or(MeshFault::Undivided(self.clock))?;
        mesh.triangles
            .extend(parts.into_iter().map(|[p, q, r]| if depth == 1.0 { [p, q, r] } else { [p, r, q] }));
        Ok(())
    }
}

/// The hole's own wall, between its edges outside and at the bore, each once around.
fn bridge(mesh: &mut Mesh, [outside, bore]: [Vec<Knot>; 2]) {
    let (mut i, mut j) = (0, 0);
    let phi = |rim: &[Knot], i: usize| rim.get(i).map_or(rim[0].phi + std::f64::consts::TAU, |k| k.phi);
    let point = |rim: &[Knot], i: usize| rim[i % rim.len()].point;
    while i < outside.len() || j < bore.len() {
        let (p, q) = (point(&outside, i), point(&bore, j));
        let outside_first = phi(&outside, i + 1) <= phi(&bore, j + 1);
        if j == bore.len() || (i < outside.len() && outside_first) {
            mesh.triangles.push([p, point(&outside, i + 1), q]);
            i += 1;
        } else {
            mesh.triangles.push([point(&bore, j + 1), q, p]);
            j += 1;
        }
    }
}

/// How near a hole's edge comes to a bend's first ring or a square end in the mesh, mm: a hole that
/// touches one would leave triangles without area.
const NEAR: f64 = 1e-4;
