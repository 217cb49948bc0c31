//! What stands on walls: branches, and bungs as blocks.

use geom::Frame;
use layout::layout::Place;
use layout::layout::{Branch, Bung, Owner};
use tube::Hole;

use super::keeps::STUB;
use super::merge::hold;
use super::{Whole, full};
use crate::fault::Fault;
use crate::node::{Block, Hold, Node, NodeKind};
use crate::strand::Strand;
use crate::variant::FLOOR;

impl Whole<'_> {
    /// The branches, then the bungs, as nodes.
    pub(super) fn walls(&self, strands: &[Strand]) -> Vec<Result<Node, Fault>> {
        let branches = self.layout.branches.iter().enumerate().map(|(k, b)| Ok(self.branch(k, b, strands)));
        let bungs = self.layout.bungs.iter().enumerate().map(|(k, b)| self.bung(k, b, strands));
        branches.chain(bungs).collect()
    }

    fn branch(&self, index: usize, branch: &Branch, strands: &[Strand]) -> Node {
        let own = &strands[branch.run];
        let radius = self.layout.runs[branch.run].sections[0].section.outer();
        let to = self.foot(&branch.place, radius).to + STUB + own.origin;
        let mut holds: Vec<Hold> =
            self.host_hold(&branch.place, radius, BEHIND, strands).into_iter().collect();
        holds.push(hold(own, 0.0, to));
        Node { name: branch.name.clone(), kind: NodeKind::Branch(index), holds, blocks: Vec::new() }
    }

    fn bung(&self, index: usize, bung: &Bung, strands: &[Strand]) -> Result<Node, Fault> {
        let part = &self.layout.pieces[bung.piece];
        let section = part.piece.section();
        let [outer, inner] = section.map_or([0.5 * part.piece.od(); 2], |s| [s.outer(), s.inner()]);
        let axis = bung.place.frame;
        let (from, to) = (self.foot(&bung.place, outer).from, (bung.face - axis.at).dot(axis.along));
        let made = |(from, to): (f64, f64), radius: f64| {
            let frame = Frame { at: axis.at + axis.along * from, ..axis };
            full::cylinder(&frame, to - from, radius, self.chord)
                .map_err(Fault::mesh(format!("piece {}", part.mark)))
        };
        let outside = made((from, to), outer)?;
        let bores = vec![made((from - STUB, to + STUB), inner)?];
        let block = Block { mark: part.mark.clone(), outside, bores };
        Ok(Node {
            name: self.design.bungs[bung.bung].name.clone(),
            kind: NodeKind::Bung(index),
            holds: self.host_hold(&bung.place, outer, STUB, strands).into_iter().collect(),
            blocks: vec![block],
        })
    }

    /// The length of the host's strand on which something of `radius` mm stands, and into which it reaches inside the
    /// host, which is further where it leans; `beyond` mm more at both ends.
    fn host_hold(&self, place: &Place, radius: f64, beyond: f64, strands: &[Strand]) -> Option<Hold> {
        let piece = &self.layout.pieces[place.host].piece;
        let run = self.run_of(place.host)?;
        let strand = &strands[run];
        let outline = Hole { radius, ..piece.holes[place.hole] };
        let (from, to) = outline.stations(piece, 1.0);
        let (host, axis) = (piece.frame_at(0.5 * (from + to)), place.frame);
        let rate = axis.along.dot(host.along);
        let foot = axis.advanced(self.foot(place, radius).from).at;
        let middle = 0.5 * (from + to) + (foot - host.at).dot(host.along);
        let half = radius * (1.0 - rate * rate).max(0.0).sqrt();
        let at = |station: f64| strand.line.station_of(piece.frame_at(station));
        Some(hold(strand, at(from.min(middle - half)) - beyond, at(to.max(middle + half)) + beyond))
    }

    /// The run on whose strand a piece is.
    fn run_of(&self, piece: usize) -> Option<usize> {
        if let Owner::Run(run) = self.layout.pieces[piece].owner {
            return Some(run);
        }
        self.layout.merges.iter().find_map(|merge| {
            let leg = merge.legs.iter().find(|leg| leg.piece == piece).map(|leg| leg.run);
            leg.or_else(|| (merge.cone == Some(piece)).then_some(merge.outlet))
        })
    }
}

/// What a branch's host has beyond where the branch stands, mm: a hollow print's floor, and how far the branch's bore
/// reaches out of its foot.
const BEHIND: f64 = FLOOR + STUB;
