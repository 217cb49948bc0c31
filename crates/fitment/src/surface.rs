//! The surface of what is not made yet, in small patches: of tubes, of blocks, and of cuts with their spigots.

use std::f64::consts::{PI, TAU};

use distance::{Bounds, Tree};
use geom::math::sin_cos;
use geom::{DVec3, Frame};
use solids::Mesh;
use spec::shop::Printer;
use tube::End;

use crate::candidate::Candidate;
use crate::keyed::Keyed;
use crate::pose::flats;
use crate::profile::Side;
use crate::web::{Header, Length};

/// A small piece of surface.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Patch {
    /// Its middle.
    pub at: DVec3,
    /// Outward, as long as its area, mm2.
    pub face: DVec3,
}

/// Lengths of strands and blocks that are one solid.
#[derive(Clone, Debug, Default)]
pub(crate) struct Surface {
    /// What of their surface does not lie within others of them.
    pub patches: Vec<Patch>,
    /// Sum of their volumes, mm3; what several of them take counts for each.
    pub volume: f64,
    /// Sum of each volume times its middle.
    pub moment: DVec3,
    /// Outward directions of the strands' own ends and of the blocks' larger flats.
    pub flats: Vec<DVec3>,
    /// Circles around the strands' lengths.
    rings: Vec<Ring>,
    /// Corners of the blocks.
    corners: Vec<DVec3>,
}

/// A circle around a strand.
#[derive(Clone, Copy, Debug)]
struct Ring {
    at: DVec3,
    along: DVec3,
    radius: f64,
}

/// A short piece of a strand, as a cylinder about its middle.
struct Disc {
    ring: Ring,
    half: f64,
}

impl Disc {
    fn holds(&self, point: DVec3) -> bool {
        let off = point - self.ring.at;
        let along = off.dot(self.ring.along);
        along.abs() <= self.half
            && (off - self.ring.along * along).length_squared() < (self.ring.radius - WITHIN).powi(2)
    }
}

impl Surface {
    /// The surface of lengths of strands and nodes.
    pub(crate) fn of(header: &Header, lengths: &[Length], nodes: &[usize]) -> Surface {
        let mut surface = Surface::default();
        let mut found: Vec<Vec<Patch>> = Vec::new();
        let mut discs: Vec<Vec<Disc>> = Vec::new();
        for length in lengths {
            let (patches, of) = surface.tube(header, *length);
            found.push(patches);
            discs.push(of);
        }
        let blocks: Vec<&Mesh> =
            nodes.iter().flat_map(|n| &header.nodes[*n].blocks).map(|b| &b.outside).collect();
        let solids: Vec<(Bounds, Tree)> = blocks.iter().map(|mesh| solid(mesh)).collect();
        for block in &blocks {
            found.push(surface.block(block));
        }
        for (own, patches) in found.into_iter().enumerate() {
            let visible = |patch: &Patch| {
                let tubes = discs.iter().enumerate().filter(|(i, _)| *i != own).flat_map(|(_, d)| d);
                let others = solids.iter().enumerate().filter(|(i, _)| i + lengths.len() != own);
                !tubes.into_iter().any(|d| d.holds(patch.at))
                    && !others.into_iter().any(|(_, s)| within(s, patch.at))
            };
            surface.patches.extend(patches.into_iter().filter(visible));
        }
        surface
    }

    /// How far it reaches along a direction, mm.
    pub(crate) fn reach(&self, way: DVec3) -> f64 {
        let ring = |r: &Ring| {
            let across = (1.0 - r.along.dot(way).powi(2)).max(0.0).sqrt();
            r.at.dot(way) + r.radius * across
        };
        let rings = self.rings.iter().map(ring);
        rings.chain(self.corners.iter().map(|p| p.dot(way))).fold(f64::NEG_INFINITY, f64::max)
    }

    /// A length of strand: its circles and weight are noted; its patches, with those of the strand's own ends, and its
    /// pieces are given back.
    fn tube(&mut self, header: &Header, (strand, from, to): Length) -> (Vec<Patch>, Vec<Disc>) {
        let (mut patches, mut discs) = (Vec::new(), Vec::new());
        let (outside, course) = (&header.strands[strand].outside, &header.courses[strand]);
        let ring = |frame: &Frame, radius| Ring { at: frame.at, along: frame.along, radius };
        let stations = stations(&outside.stations(), from, to);
        for (step, pair) in stations.windows(2).enumerate() {
            let frames = [pair[0], pair[1]].map(|s| course.frame_at(s));
            let radii =
                [outside.radius_at(pair[0], Side::Downstream), outside.radius_at(pair[1], Side::Upstream)];
            let half = 0.5 * (pair[1] - pair[0]);
            let middle = ring(&course.frame_at(pair[0] + half), 0.5 * (radii[0] + radii[1]));
            self.rings.extend([ring(&frames[0], radii[0]), ring(&frames[1], radii[1])]);
            // Turned from ring to ring, so that a tube lying down is not cut at the same clocks all along.
            let turned = (GOLDEN * step as f64).fract();
            for k in 0..AROUND {
                let clocks = [0.0, 1.0].map(|d| (f64::from(k) + d + turned) * TAU / f64::from(AROUND));
                patches.push(quad(&frames, radii, clocks, middle.at));
            }
            self.weighs(PI * middle.radius.powi(2) * 2.0 * half, middle.at);
            discs.push(Disc { ring: middle, half });
            let before = outside.radius_at(pair[0], Side::Upstream);
            if step > 0 && before != radii[0] {
                let out = if before > radii[0] { frames[0].along } else { -frames[0].along };
                let widths = [before.min(radii[0]), before.max(radii[0])];
                patches.extend(ring_face(&frames[0], widths, out));
            }
        }
        let length = header.strands[strand].line.length();
        for (is_end, station, out) in [(from <= 0.0, from, -1.0), (to >= length, to, 1.0)] {
            if is_end {
                let frame = course.frame_at(station);
                self.flats.push(frame.along * out);
                let side = if out < 0.0 { Side::Downstream } else { Side::Upstream };
                patches.extend(ring_face(&frame, [0.0, outside.radius_at(station, side)], frame.along * out));
            }
        }
        (patches, discs)
    }

    /// A block: its corners and weight are noted, its patches given back.
    fn block(&mut self, mesh: &Mesh) -> Vec<Patch> {
        self.corners.extend(&mesh.points);
        let origin = mesh.points.first().copied().unwrap_or_default();
        let mut patches = Vec::new();
        for corners in mesh.corners() {
            let [a, b, c] = corners.map(|p| p - origin);
            self.weighs(a.dot(b.cross(c)) / 6.0, origin + (a + b + c) * 0.25);
            let mut open = vec![corners];
            while let Some([a, b, c]) = open.pop() {
                let sides = [(a, b, c), (b, c, a), (c, a, b)];
                let longest =
                    sides.into_iter().max_by(|s, t| s.0.distance(s.1).total_cmp(&t.0.distance(t.1)));
                match longest.filter(|s| s.0.distance(s.1) > FINE) {
                    Some((a, b, c)) => open.extend([[a, 0.5 * (a + b), c], [0.5 * (a + b), b, c]]),
                    None => patches.push(Patch { at: (a + b + c) / 3.0, face: 0.5 * (b - a).cross(c - a) }),
                }
            }
        }
        let flats = flats(patches.iter().map(|p| p.face)).into_iter().filter(|f| f.length() > BROAD);
        self.flats.extend(flats.map(DVec3::normalize));
        patches
    }

    fn weighs(&mut self, volume: f64, middle: DVec3) {
        self.volume += volume;
        self.moment += middle * volume;
    }
}

/// What a cut adds to the surfaces on its two sides: to the one with the spigot and to the one with the socket. `radius`
/// is the strand's there, mm.
pub(crate) fn cut_faces(cut: &Candidate, radius: f64, printer: &Printer) -> [Vec<Patch>; 2] {
    let out = if cut.spigot == End::End { cut.along } else { -cut.along };
    let frame = Frame { at: cut.at, along: out, inside: out.any_orthonormal_vector() };
    let Ok(keyed) = Keyed::fitting(cut.radius, cut.clock, 0.0, printer) else {
        return [ring_face(&frame, [0.0, radius], out), ring_face(&frame, [0.0, radius], -out)];
    };
    let (pin, deep) = (keyed.radius, keyed.depth());
    let wall = |length: f64, inward: bool| {
        let frames = [frame, frame.advanced(length)];
        (0..AROUND).map(move |k| {
            let clocks = [0.0, 1.0].map(|d| (f64::from(k) + d) * TAU / f64::from(AROUND));
            let Patch { at, face } = quad(&frames, [pin; 2], clocks, frames[0].at.midpoint(frames[1].at));
            Patch { at, face: if inward { -face } else { face } }
        })
    };
    let mut spigot = ring_face(&frame, [pin, radius], out);
    spigot.extend(wall(keyed.length, false));
    spigot.extend(ring_face(&frame.advanced(keyed.length), [0.0, pin], out));
    let mut socket = ring_face(&frame, [pin, radius], -out);
    socket.extend(wall(deep, true));
    socket.extend(ring_face(&frame.advanced(deep), [0.0, pin], -out));
    [spigot, socket]
}

/// The patch between two rings and two clocks, facing away from `middle`.
fn quad(frames: &[Frame; 2], radii: [f64; 2], clocks: [f64; 2], middle: DVec3) -> Patch {
    let [a, b] = clocks.map(|clock| frames[0].point(0.0, clock, radii[0]));
    let [c, d] = clocks.map(|clock| frames[1].point(0.0, clock, radii[1]));
    let (at, face) = (0.25 * (a + b + c + d), 0.5 * (d - a).cross(c - b));
    Patch { at, face: if face.dot(at - middle) < 0.0 { -face } else { face } }
}

/// Stations from one to another, with those of `marked` between them, no further apart than [`STEP`].
fn stations(marked: &[f64], from: f64, to: f64) -> Vec<f64> {
    let mut stations = vec![from];
    for &next in marked.iter().filter(|s| **s > from && **s < to).chain([&to]) {
        let last = stations[stations.len() - 1];
        let steps = ((next - last) / STEP).ceil().max(1.0);
        stations.extend((1..=steps as usize).map(|k| last + (next - last) * k as f64 / steps));
    }
    stations
}

/// A flat ring between two radii, facing along `out`, in sectors.
fn ring_face(frame: &Frame, [within, radius]: [f64; 2], out: DVec3) -> Vec<Patch> {
    let area = PI * (radius * radius - within * within) / f64::from(AROUND);
    let (x, y) = (frame.inside, frame.along.cross(frame.inside));
    let at = |k: u32| {
        let (s, c) = sin_cos((f64::from(k) + 0.5) * TAU / f64::from(AROUND));
        frame.at + (x * c + y * s) * (within + (radius - within) * 2.0 / 3.0)
    };
    (0..AROUND).map(|k| Patch { at: at(k), face: out * area }).collect()
}

/// A block with its bounds.
fn solid(mesh: &Mesh) -> (Bounds, Tree) {
    let tree = Tree::new(mesh.points.clone(), mesh.triangles.clone(), Vec::new());
    (Bounds::of(mesh.points.iter().copied()), tree)
}

fn within((bounds, tree): &(Bounds, Tree), point: DVec3) -> bool {
    let inside = point.cmpge(bounds.min).all() && point.cmple(bounds.max).all();
    inside && {
        let votes = tree.inside(point);
        2 * votes.inside > votes.of
    }
}

/// How far apart rings are along a strand, mm.
const STEP: f64 = 8.0;

/// Patches around a ring.
const AROUND: u32 = 24;

/// The golden ratio less 1: multiples of it spread evenly.
const GOLDEN: f64 = 0.618_033_988_749_895;

/// The longest side of a block's patch, mm.
const FINE: f64 = 12.0;

/// How far a point has to be within a tube to be hidden by it, mm.
const WITHIN: f64 = 0.02;

/// The least area of a block's flat that a part is stood on, mm2: more than one facet of a tube has.
const BROAD: f64 = 400.0;
