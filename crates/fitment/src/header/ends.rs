//! Runs that end on bodies which are not printed: their ends, cut to those, as blocks.

use spec::design::To;
use tube::{End, Shape};

use super::keeps::STUB;
use super::merge::hold;
use super::{OVERLAP, Whole, full};
use crate::fault::Fault;
use crate::node::{Block, Node, NodeKind};
use crate::strand::Strand;

impl Whole<'_> {
    /// The fitted ends of runs, as nodes.
    pub(super) fn ends(&self, strands: &[Strand]) -> Vec<Result<Node, Fault>> {
        let runs = self.design.runs.iter().enumerate();
        runs.filter(|(_, run)| matches!(run.to, To::Host(_)))
            .filter_map(|(k, _)| self.fitted_end(k, strands))
            .collect()
    }

    fn fitted_end(&self, run: usize, strands: &[Strand]) -> Option<Result<Node, Fault>> {
        let strand = &strands[run];
        let mut parts = self.layout.runs[run].pieces.iter().map(|&i| &self.layout.pieces[i]);
        let part = parts.rfind(|part| matches!(part.piece.end.shape, Shape::Saddle(_)))?;
        let piece = &part.piece;
        let begin = self.begin(run, piece) + strand.origin;
        let length = strand.line.length();
        let from = length - OVERLAP - begin;
        let made = |depth: f64, from: f64, beyond: f64| {
            let radius = piece.line(0.0, depth).rho;
            let fitted = full::Fitted { cut: &piece.end, frame: piece.frame_at(from), from, radius, beyond };
            fitted.mesh(self.chord).map_err(Fault::mesh(format!("piece {}", part.mark)))
        };
        let node = made(1.0, from, 0.0).and_then(|outside| {
            let bores = vec![made(0.0, from - STUB, STUB)?];
            Ok(Node {
                name: strand.name.clone(),
                kind: NodeKind::End(run, End::End),
                holds: vec![hold(strand, length - STUB, length)],
                blocks: vec![Block { mark: part.mark.clone(), outside, bores }],
            })
        });
        Some(node)
    }
}
