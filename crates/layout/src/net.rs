//! How far the nodes of a header move when it gets hot: a net of springs.
//!
//! Growth goes from the fixed flanges outward: ports, flanges with ports and those said to be fixed stay where
//! they are, everything else is pushed by what it hangs on. A body at one temperature grows by a change of
//! scale, so that a run's point moves away from its start by [`grown`], exactly. Where two ways
//! disagree (two legs of one merge, or a merge between ports and a fixed turbine), each merge stands where the
//! runs' misfits are least: the sum of their squares over the runs' lengths, as of springs; a run with a slip
//! joint or bellows hardly pulls. What misfit is left is taken at the run's moving fittings, in equal parts, or
//! else spread evenly along the run. Bending and turning of parts is left out.

use geom::DVec3;
use spec::Design;
use spec::design::{FittingPart, From, On, To};

use crate::affine::{Affine, least_squares};
use crate::growth::{grown, hot};
use crate::layout::{Branch, Layout};
use crate::share::share;

/// A header as a net of runs between merges, hot, with the shifts of its merges found.
#[derive(Clone, Debug)]
pub struct Net<'a> {
    design: &'a Design,
    layout: &'a Layout,
    /// Whether all that runs end on stays, also flanges and hosts that nothing is said of.
    firm: bool,
    /// How far each merge's mouth moves, mm.
    merges: Vec<DVec3>,
}

/// How much less a run with a moving fitting pulls at a merge than one without.
const SOFT: f64 = 1e-6;

impl<'a> Net<'a> {
    /// The net of a layout, where what is not said to be fixed moves with what ends on it.
    pub fn of(design: &'a Design, layout: &'a Layout) -> Net<'a> {
        Net { design, layout, firm: false, merges: Vec::new() }.settled()
    }

    /// The net of a layout, where flanges and hosts on which runs end all stay: what fittings have to take at most.
    pub fn firm(design: &'a Design, layout: &'a Layout) -> Net<'a> {
        Net { design, layout, firm: true, merges: Vec::new() }.settled()
    }

    fn settled(mut self) -> Net<'a> {
        let mut equations = Vec::new();
        for run in 0..self.layout.runs.len() {
            let Some(misfit) = self.affine_misfit(run) else { continue };
            let weight = if self.moving(run) > 0 { SOFT } else { 1.0 } / self.layout.runs[run].length();
            equations.push((weight, misfit));
        }
        self.merges = least_squares(self.layout.merges.len(), &equations);
        self
    }

    /// How far a merge's mouth moves, mm.
    pub fn merge(&self, merge: usize) -> DVec3 {
        self.merges[merge]
    }

    /// How far the point at a station of a run moves, mm; at a fitting, as a part of this piece.
    pub fn at(&self, run: usize, piece: Option<usize>, station: f64) -> DVec3 {
        self.affine_at(run, piece, station).value(&self.merges)
    }

    /// By how much a run, grown freely from its start, misses what it ends on, mm; `None`: that moves with it.
    pub fn misfit(&self, run: usize) -> Option<DVec3> {
        Some(self.affine_misfit(run)?.value(&self.merges))
    }

    /// Which share of a run's misfit has been taken up at a station, on this piece: 0 at its start, 1 at its end.
    pub fn share(&self, run: usize, piece: Option<usize>, station: f64) -> f64 {
        share(self.design, self.layout, run, piece, station)
    }

    /// How many fittings of a run move.
    pub fn moving(&self, run: usize) -> usize {
        self.layout.fittings.iter().filter(|f| f.run == run && moves(f.part)).count()
    }

    /// Growth of each mm of a merge's legs: at the highest temperature of the runs that end on it.
    pub fn merge_growth(&self, merge: usize) -> f64 {
        let section = self.design.merges[merge].section;
        let runs = self.layout.merges[merge].legs.iter().map(|leg| hot(&self.design.runs[leg.run], section));
        section.alloy.growth(runs.fold(f64::NEG_INFINITY, f64::max))
    }

    /// Growth of each mm of a merge's cone, at the temperature of its outlet.
    pub fn cone_growth(&self, merge: usize) -> f64 {
        let laid = &self.layout.merges[merge];
        let section = self.design.merges[merge].cone.map(|cone| cone.section);
        section.map_or(0.0, |s| s.alloy.growth(hot(&self.design.runs[laid.outlet], s)))
    }

    /// Where a point of a merge goes whose metal grows by `growth` from the mouth.
    fn of_merge(&self, merge: usize, growth: f64, point: DVec3) -> Affine {
        let laid = &self.layout.merges[merge];
        Affine::node(self.layout.merges.len(), merge).plus((point - laid.frame.at) * growth)
    }

    /// How far a run's start moves.
    fn start(&self, run: usize) -> Affine {
        let at = self.layout.runs[run].centreline.start.at;
        match self.design.runs[run].from {
            From::Port(_) => Affine::zero(self.layout.merges.len()),
            From::Merge(merge) => self.of_merge(merge, self.cone_growth(merge), at),
            From::Branch(branch) => {
                let laid = &self.layout.branches[branch];
                match self.design.branches[branch].on {
                    On::Run(host) => self.beside(host, laid),
                    On::Leg { merge, .. } => self.of_merge(merge, self.merge_growth(merge), at),
                    On::Cone(merge) => self.of_merge(merge, self.cone_growth(merge), at),
                }
            }
        }
    }

    /// How far a branch's foot on a run's outside moves.
    fn beside(&self, host: usize, branch: &Branch) -> Affine {
        let place = &branch.place;
        let axis = self.layout.runs[host].centreline.frame_at(place.at).at;
        let growth = self.piece_growth(host, place.host);
        self.affine_at(host, Some(place.host), place.at).plus((place.frame.at - axis) * growth)
    }

    /// Growth of each mm of a piece of a run.
    pub fn piece_growth(&self, run: usize, piece: usize) -> f64 {
        let alloy = self.layout.pieces[piece].piece.alloy();
        alloy.growth(self.design.runs[run].hot.unwrap_or(alloy.hot))
    }

    /// How far what a run ends on moves; `None`: it moves with the run.
    fn end(&self, run: usize) -> Option<Affine> {
        let still = || Affine::zero(self.layout.merges.len());
        match self.design.runs[run].to {
            To::Leg { merge, .. } => {
                let legs = &self.layout.merges[merge].legs;
                let leg = legs.iter().find(|leg| leg.run == run)?;
                Some(self.of_merge(merge, self.merge_growth(merge), leg.inlet.at))
            }
            To::Flange(flange) => (self.firm || self.design.flanges[flange].fixed).then(still),
            To::Host(_) => self.firm.then(still),
            To::Open => None,
        }
    }

    fn affine_misfit(&self, run: usize) -> Option<Affine> {
        Some(self.end(run)?.less(&self.start(run)).plus(-self.grown(run, f64::INFINITY)))
    }

    /// Growth of a run from its start to a station, as far as it has metal.
    fn grown(&self, run: usize, station: f64) -> DVec3 {
        let laid = &self.layout.runs[run];
        grown(&self.design.runs[run], laid, station.clamp(0.0, laid.length()), None)
    }

    fn affine_at(&self, run: usize, piece: Option<usize>, station: f64) -> Affine {
        let free = self.start(run).plus(self.grown(run, station));
        match self.affine_misfit(run) {
            Some(misfit) => free.and(&misfit, self.share(run, piece, station)),
            None => free,
        }
    }
}

/// Whether a fitting lets the two sides of its run move.
pub(crate) fn moves(part: FittingPart) -> bool {
    matches!(part, FittingPart::Slip(_) | FittingPart::Bellows(_))
}
