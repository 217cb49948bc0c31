//! Merges: what of the strands belongs to them, and where the bores of a hollow print meet.

use geom::math::{cos, sin};
use layout::layout::{Leg, Merge};
use solids::{MeshFault, MeshSettings};
use spec::design::{From, To, Way};
use tube::merge::Cluster;
use tube::{Body, Cut, End, Piece};

use super::keeps::STUB;
use super::reach::{Reach, plane_cut};
use super::{OVERLAP, Whole, full};
use crate::fault::Fault;
use crate::node::{Block, Hold, Node, NodeKind};
use crate::profile::{Profile, Side};
use crate::strand::Strand;

impl Whole<'_> {
    /// The merges as nodes.
    ///
    /// The outside of a merge is that of its legs' plain cylinders, ended at the mouth or in the outlet: what a
    /// leg has beyond the plane between it and a neighbour lies in the neighbour, as long as it is upstream of the
    /// apex. (The squared distances of a point p from two axes through the apex, of directions u and v, differ by
    /// `(p.(v - u)) (p.(v + u))`.)
    pub(super) fn merges(&self, strands: &[Strand]) -> Vec<Result<Node, Fault>> {
        let node = |(index, merge): (usize, &Merge)| {
            let mut blocks: Vec<Block> =
                self.rim_block(index)?.into_iter().chain(self.filling(index)?).collect();
            for leg in merge.legs.iter().filter(|leg| !self.is_in_line(leg.run, leg)) {
                blocks.push(self.leg_block(merge, leg)?);
            }
            let outlet = &strands[merge.outlet];
            let mut holds = vec![hold(outlet, 0.0, self.outlet_until(index) + outlet.origin)];
            holds.extend(merge.legs.iter().map(|leg| {
                let strand = &strands[leg.run];
                let length = strand.line.length();
                hold(strand, (self.leg_from(index, leg.run) + strand.origin).min(length - STUB), length)
            }));
            Ok(Node { name: merge.name.clone(), kind: NodeKind::Merge(index), holds, blocks })
        };
        self.layout.merges.iter().enumerate().map(node).collect()
    }

    /// Station of a merge's outlet's run up to which the run is one with the legs, mm.
    pub(super) fn outlet_until(&self, index: usize) -> f64 {
        let (mouth, merge) = (self.mouth(index), &self.layout.merges[index]);
        let landed = merge.legs.iter().map(|leg| {
            let piece = &self.layout.pieces[leg.piece].piece;
            let tip = piece.edge_point(End::End, piece.extremes(End::End, 1.0).longest.0, 1.0);
            (tip - merge.frame.at).dot(merge.frame.along)
        });
        // The plain cylinders of a fitted merge's legs end square, further in.
        let square = merge.legs.iter().filter(|_| merge.way == Way::Fitted).map(|leg| {
            let end = leg.inlet.at + leg.inlet.along * self.leg_length(merge, leg) - merge.frame.at;
            end.dot(merge.frame.along) + merge.cluster.outer * sin(merge.cluster.convergence)
        });
        let rim = self.rim(index).map_or(0.0, |rim| rim.to);
        mouth + landed.chain(square).fold(rim, f64::max) + STUB
    }

    /// The rim of a fitted merge's outlet, where the outlet begins in the void upstream of the spike; `None` where it
    /// begins in full metal, or where the merge is trimmed.
    pub(super) fn rim(&self, merge: usize) -> Option<Rim> {
        let merge = &self.layout.merges[merge];
        let spike = -merge.spike_depth();
        let first = self.layout.runs[merge.outlet].pieces.first();
        let piece = merge.cone.or(first.copied())?;
        let part = &self.layout.pieces[piece];
        if merge.way == Way::Trimmed || spike < 0.0 {
            return None;
        }
        let ends = [0.0, 1.0].map(|depth| part.piece.extremes(End::Start, depth).shortest.1);
        let begin = (part.piece.frame_at(0.0).at - merge.frame.at).dot(merge.frame.along);
        let to = (begin + ends[0].max(ends[1])).max(spike + STUB) + STUB;
        Some(Rim { piece, from: spike + STUB, to, begin })
    }

    /// The wall of an outlet's rim, as it is cut, as a block.
    fn rim_block(&self, merge: usize) -> Result<Option<Block>, Fault> {
        let Some(rim) = self.rim(merge) else { return Ok(None) };
        let part = &self.layout.pieces[rim.piece];
        let mut piece = part.piece.clone();
        let length = rim.to - rim.begin;
        match &mut piece.body {
            Body::Tube { centreline, .. } => *centreline = centreline.between(0.0, length),
            Body::Cone { start_od, end_od, length: all, .. } => {
                *end_od = *start_od + (*end_od - *start_od) * length / *all;
                *all = length;
            }
        }
        piece.end = Cut::square(length);
        piece.holes.clear();
        piece.forms = [None; 2];
        let outside = solids::piece_mesh(&piece, MeshSettings { chord: self.chord })
            .map_err(Fault::mesh(format!("piece {}", part.mark)))?;
        Ok(Some(Block { mark: part.mark.clone(), outside, bores: Vec::new() }))
    }

    /// What fills the room for gas between a rim's wall and the legs' valleys, upstream of where the outlet is full:
    /// a ring that leaves the void open. `None` where the legs reach the wall.
    fn filling(&self, index: usize) -> Result<Option<Block>, Fault> {
        let Some(rim) = self.rim(index) else { return Ok(None) };
        let (merge, part) = (&self.layout.merges[index], &self.layout.pieces[rim.piece]);
        let (from, to) = (STUB - rim.begin, rim.from + OVERLAP - rim.begin);
        let radius = |station: f64| part.piece.outer_radius(station) - 0.5 * part.piece.wall();
        // Downstream of the spike neighbours always meet (`Cluster::valley_radius`).
        let valley = merge.cluster.valley_radius(merge.mouth + rim.from, merge.cluster.outer);
        let apart = || MeshFault::Modeller("its legs do not meet where its outlet begins".to_owned());
        let valley = valley.ok_or_else(apart).map_err(Fault::mesh(format!("merge {}", merge.name)))?;
        let wall = radius(to) - (valley - STUB);
        if wall < part.piece.wall() || to - from < STUB {
            return Ok(None);
        }
        let body = Body::Cone {
            frame: part.piece.frame_at(from),
            start_od: 2.0 * radius(from),
            end_od: 2.0 * radius(to),
            length: to - from,
            wall,
            alloy: part.piece.alloy(),
        };
        let ring = Piece {
            body,
            start: Cut::square(0.0),
            end: Cut::square(to - from),
            holes: Vec::new(),
            forms: [None; 2],
        };
        let outside = solids::piece_mesh(&ring, MeshSettings { chord: self.chord })
            .map_err(Fault::mesh(format!("piece {}", part.mark)))?;
        Ok(Some(Block { mark: part.mark.clone(), outside, bores: Vec::new() }))
    }

    /// A leg that is not in line with its run, filled, as a block.
    fn leg_block(&self, merge: &Merge, leg: &Leg) -> Result<Block, Fault> {
        let part = &self.layout.pieces[leg.piece];
        let length = self.leg_length(merge, leg);
        let cut = match merge.way {
            Way::Trimmed => plane_cut(leg.inlet, 0.0, (merge.frame.at, merge.frame.along)),
            Way::Fitted => Cut::square(length),
        };
        let made = |depth: f64| {
            let radius = part.piece.line(0.0, depth).rho;
            full::Fitted { cut: &cut, frame: leg.inlet, from: 0.0, radius, beyond: 0.0 }
                .mesh(self.chord)
                .map_err(Fault::mesh(format!("piece {}", part.mark)))
        };
        Ok(Block { mark: part.mark.clone(), outside: made(1.0)?, bores: vec![made(0.0)?] })
    }

    /// The outside of the strand of a merge's outlet: along its rim, which is a block, it fills that from within.
    pub(super) fn outlet_outside(&self, run: usize, reach: &Reach, outside: Profile) -> Profile {
        let From::Merge(index) = self.design.runs[run].from else { return outside };
        let Some(rim) = self.rim(index) else { return outside };
        let half = 0.5 * self.layout.pieces[rim.piece].piece.wall();
        let until = self.mouth(index) + rim.to - OVERLAP - reach.from;
        let inner = outside.slice(0.0, until).points.into_iter().map(|(s, r)| (s, r - half));
        let rest = outside.slice(until, outside.reach().1);
        Profile { points: inner.chain(rest.points).collect() }
    }

    /// Station of a run from which it is one with the other legs of the merge that it ends on, mm.
    pub(super) fn leg_from(&self, merge: usize, run: usize) -> f64 {
        let merge = &self.layout.merges[merge];
        self.abreast(merge, run, merge.cluster.first_contact(merge.cluster.outer).along_leg) - STUB
    }

    /// Station of a run of the place `along` mm from the apex on the leg that it ends on.
    fn abreast(&self, merge: &Merge, run: usize, along: f64) -> f64 {
        let inlet = merge.legs.iter().find(|leg| leg.run == run).map_or(merge.frame, |leg| leg.inlet);
        self.layout.runs[run].length() + along - (inlet.at - merge.apex).dot(inlet.along)
    }

    /// The bore of a run's strand as a hollow print has it, from that of its pieces: at merges it begins and ends
    /// so that a wall is left wherever the steel is hammered or welded shut.
    pub(super) fn bore(&self, run: usize, reach: &Reach, bore: Profile) -> Profile {
        let wanted = &self.design.runs[run];
        let mut bore = bore;
        if let From::Merge(index) = wanted.from {
            bore = self.outlet_bore(index, reach, bore);
        }
        if let To::Leg { merge, .. } = wanted.to {
            let merge = &self.layout.merges[merge];
            let in_line = merge.legs.iter().any(|leg| leg.run == run && self.is_in_line(run, leg));
            if merge.way == Way::Trimmed && in_line {
                let Cluster { convergence, inner, .. } = merge.cluster;
                let rim = merge.mouth - self.floor(merge) - inner * sin(convergence);
                let end = self.abreast(merge, run, rim / cos(convergence)) - reach.from;
                bore = bore.slice(bore.reach().0, end);
            }
        }
        bore
    }

    /// Of a trimmed merge a throat through the legs' lobes, then the outlet's own bore a floor behind the mouth; of a
    /// fitted one the own bore from where the legs' bores meet on the axis.
    fn outlet_bore(&self, index: usize, reach: &Reach, bore: Profile) -> Profile {
        let merge = &self.layout.merges[index];
        let Cluster { convergence, inner, outer, .. } = merge.cluster;
        let mouth = self.mouth(index) - reach.from;
        let (end, floor) = (bore.reach().1, self.floor(merge));
        let spike = |rho: f64| mouth + merge.cluster.spike(rho) - merge.mouth;
        if merge.way == Way::Fitted {
            return bore.slice(spike(inner).max(mouth + floor).min(end - STUB), end);
        }
        let own = (mouth + floor).min(end - STUB);
        let first = (spike(outer) + floor).max(mouth - floor - 2.0 * inner * sin(convergence));
        let behind = bore.slice(own, end);
        // Legs that do not meet at the mouth have no lobes in common for a throat to go through.
        let Some(valley) = merge.cluster.valley_radius(merge.mouth, outer) else { return behind };
        let throat = (valley - floor).min(behind.radius_at(own, Side::Downstream));
        if first > own - STUB || throat < STUB {
            return behind;
        }
        let first = first.max(STUB - OVERLAP);
        Profile { points: [vec![(first, throat), (own, throat)], behind.points].concat() }
    }

    /// The thickness of what closes a hollow print where the steel is closed, mm: the legs' wall, but not less than
    /// the printer lays well.
    pub(super) fn floor(&self, merge: &Merge) -> f64 {
        let walls = merge.legs.iter().map(|leg| self.layout.pieces[leg.piece].piece.wall());
        walls.fold(FLOOR_LINES * self.design.shop.printer.nozzle, f64::max)
    }
}

/// The rim of a fitted outlet. Distances downstream of the mouth, mm.
pub(super) struct Rim {
    /// Index of the piece of which it is.
    pub piece: usize,
    /// Where the outlet is full: a little downstream of the spike.
    pub from: f64,
    /// Where its rim is round again.
    pub to: f64,
    /// Where the piece's own station 0 is.
    begin: f64,
}

/// The thinnest floor in widths of the nozzle (common practice, no source).
const FLOOR_LINES: f64 = 4.0;

/// A length of a strand, in its own stations.
pub(super) fn hold(strand: &Strand, from: f64, to: f64) -> Hold {
    let length = strand.line.length();
    Hold { strand: strand.run, from: from.clamp(0.0, length), to: to.clamp(0.0, length) }
}
