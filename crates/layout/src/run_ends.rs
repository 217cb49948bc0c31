//! Where a run begins, and what its end demands.

use geom::{DVec3, Frame};
use spec::Design;
use spec::design::{self, From, To};

use crate::layout::Fault;
use crate::merges::MergeFrame;
use crate::run_lines::Line;
use crate::through::{Root, Through};

/// The two ends of a run before its centreline is laid.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RunEnds {
    /// Where it begins, mm.
    pub at: DVec3,
    /// The unit direction in which it leaves.
    pub along: DVec3,
    /// Where it has to end; `None` where nothing demands it.
    pub demanded: Option<Frame>,
    /// Length from its end face to the merge tip, mm, where it ends on a leg.
    pub beyond: Option<f64>,
}

/// The axis of the branch at which `run` begins, on the laid `lines`; `None` where it begins elsewhere.
pub(crate) fn root(
    design: &Design,
    merges: &[MergeFrame],
    lines: &[Option<Line>],
    run: &design::Run,
) -> Result<Option<Root>, Fault> {
    match run.from {
        From::Branch(branch) => Through::branch(design, branch).root(design, merges, lines).map(Some),
        From::Port(_) | From::Merge(_) => Ok(None),
    }
}

/// Length from a run's end face to the merge tip, mm, where it ends on a leg.
pub(crate) fn beyond(merges: &[MergeFrame], run: &design::Run) -> Option<f64> {
    match run.to {
        To::Leg { merge, .. } => Some(merges[merge].cluster.tip() - merges[merge].inlet),
        _ => None,
    }
}

impl RunEnds {
    /// The ends of `run`, whose branch's axis is `root` if it begins at one.
    pub fn of(design: &Design, merges: &[MergeFrame], run: &design::Run, root: Option<&Root>) -> RunEnds {
        let (at, along) = match run.from {
            From::Port(port) => (design.ports[port].at, design.ports[port].along),
            From::Merge(merge) => {
                let cone = design.merges[merge].cone.map_or(0.0, |c| c.length);
                let frame = merges[merge].frame.advanced(cone);
                (frame.at, frame.along)
            }
            From::Branch(_) => root.map_or((DVec3::ZERO, DVec3::X), |r| (r.frame.at, r.frame.along)),
        };
        let demanded = match run.to {
            To::Leg { merge, leg } => Some(merges[merge].inlet(leg)),
            To::Flange(flange) => Frame::upright(design.flanges[flange].at, design.flanges[flange].along),
            To::Host(_) | To::Open => None,
        };
        RunEnds { at, along, demanded, beyond: beyond(merges, run) }
    }

    /// The frame in which the run starts, clock 0 toward `inside`; without one nearest to +z (else +x).
    pub fn start(&self, inside: Option<DVec3>) -> Option<Frame> {
        inside
            .and_then(|inside| Frame::new(self.at, self.along, inside))
            .or_else(|| Frame::upright(self.at, self.along))
    }
}
