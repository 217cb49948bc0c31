//! Where a header's parts go when they get hot.
//!
//! Growth goes from the fixed flanges outward: ports, flanges with ports and those said to be fixed stay where
//! they are, everything else is pushed by what it hangs on. A body at one temperature grows by a change of
//! scale, so that a run's point moves away from its start by [`layout::growth::grown`], exactly. Where two ways
//! disagree (two legs of one merge, or a merge between ports and a fixed turbine), each merge stands where the
//! runs' misfits are least: the sum of their squares over the runs' lengths, as of springs; a run with a slip
//! joint or bellows hardly pulls. What misfit is left is taken at the run's moving fittings, in equal parts, or
//! else spread evenly along the run. Bending and turning of parts is left out.
//!
//! Bodies stay exact: each is scaled and moved as a whole, where its middle goes. So where a misfit is spread,
//! a body's ends are off by at most [`Growth::spread`].

use geom::{DMat3, DVec3, Similarity};
use layout::Layout;
use layout::growth::{grown, hot};
use layout::layout::Branch;
use spec::Design;
use spec::design::{FittingPart, From, On, To};

use crate::affine::{Affine, least_squares};
use crate::body::{Along, Axis, Body};
use crate::moving::share;
use crate::subject::{Kind, Subject};

/// Where everything goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Growth {
    /// Of each subject and of each of its bodies: from cold to hot.
    pub bodies: Vec<Vec<Similarity>>,
    /// How far the ends of a body may be off because a run's misfit is spread along it, at most, mm.
    pub spread: f64,
}

impl Growth {
    /// The growth of the subjects of a layout.
    pub fn of(design: &Design, layout: &Layout, subjects: &[Subject]) -> Growth {
        let net = Net { design, layout };
        let settled = net.settled();
        let bodies =
            |subject: &Subject| subject.bodies.iter().map(|b| settled.body(subject.kind, b)).collect();
        Growth {
            bodies: subjects.iter().map(bodies).collect(),
            spread: subjects.iter().flat_map(|s| &s.bodies).map(|b| settled.spread(b)).fold(0.0, f64::max),
        }
    }
}

/// A header as a net of runs between merges, whose shifts are to be found.
#[derive(Clone, Copy)]
struct Net<'a> {
    design: &'a Design,
    layout: &'a Layout,
}

/// The net with its merges' shifts found.
struct Settled<'a> {
    net: Net<'a>,
    /// How far each merge's mouth moves, mm.
    merges: Vec<DVec3>,
}

/// How much less a run with a moving fitting pulls at a merge than one without.
const SOFT: f64 = 1e-6;

impl<'a> Net<'a> {
    fn settled(self) -> Settled<'a> {
        let mut equations = Vec::new();
        for run in 0..self.layout.runs.len() {
            let Some(misfit) = self.misfit(run) else { continue };
            let moving = self.layout.fittings.iter().any(|f| f.run == run && moves(f.part));
            let weight = if moving { SOFT } else { 1.0 } / self.layout.runs[run].length();
            equations.push((weight, misfit));
        }
        Settled { net: self, merges: least_squares(self.layout.merges.len(), &equations) }
    }

    /// Growth of each mm of a merge's legs: at the highest temperature of the runs that end on it.
    fn merge_growth(&self, merge: usize) -> f64 {
        let section = self.design.merges[merge].section;
        let runs = self.layout.merges[merge].legs.iter().map(|leg| hot(&self.design.runs[leg.run], section));
        section.alloy.growth(runs.fold(f64::NEG_INFINITY, f64::max))
    }

    /// Growth of each mm of a merge's cone, at the temperature of its outlet.
    fn cone_growth(&self, merge: usize) -> f64 {
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
        self.at(host, Some(place.host), place.at).plus((place.frame.at - axis) * growth)
    }

    /// Growth of each mm of a piece of a run.
    fn piece_growth(&self, run: usize, piece: usize) -> f64 {
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
            To::Flange(flange) => self.design.flanges[flange].fixed.then(still),
            To::Host(_) | To::Open => None,
        }
    }

    /// By how much a run, grown freely from its start, misses what it ends on.
    fn misfit(&self, run: usize) -> Option<Affine> {
        Some(self.end(run)?.less(&self.start(run)).plus(-self.grown(run, f64::INFINITY)))
    }

    /// Growth of a run from its start to a station, as far as it has metal.
    fn grown(&self, run: usize, station: f64) -> DVec3 {
        let laid = &self.layout.runs[run];
        grown(&self.design.runs[run], laid, station.clamp(0.0, laid.length()), None)
    }

    /// How far the point at a station of a run moves, on this piece.
    fn at(&self, run: usize, piece: Option<usize>, station: f64) -> Affine {
        let free = self.start(run).plus(self.grown(run, station));
        match self.misfit(run) {
            Some(misfit) => free.and(&misfit, share(self.design, self.layout, run, piece, station)),
            None => free,
        }
    }
}

/// Whether a fitting lets the two sides of its run move.
pub(crate) fn moves(part: FittingPart) -> bool {
    matches!(part, FittingPart::Slip(_) | FittingPart::Bellows(_))
}

impl Settled<'_> {
    /// Where a body goes.
    fn body(&self, kind: Kind, body: &Body) -> Similarity {
        let (net, layout) = (&self.net, self.net.layout);
        match (kind, body.line) {
            (_, Some(Along { axis: Axis::Run(run), from, to })) => {
                let station = 0.5 * (from + to);
                let growth = body.piece.map_or(0.0, |piece| net.piece_growth(run, piece));
                self.on_run(run, (body.piece, station), growth)
            }
            (Kind::Merge(merge), _) => {
                let is_cone = body.piece.is_some() && body.piece == layout.merges[merge].cone;
                let growth = if is_cone { net.cone_growth(merge) } else { net.merge_growth(merge) };
                scaled(growth, layout.merges[merge].frame.at, self.merges[merge])
            }
            (Kind::Bung(bung), _) => {
                let bung = &layout.bungs[bung];
                let growth = net.piece_growth(bung.run, bung.place.host);
                self.on_run(bung.run, (Some(bung.place.host), bung.place.at), growth)
            }
            (Kind::Transition(index), _) => {
                let transition = &layout.transitions[index];
                let run = transition.run;
                let growth = transition.section.alloy.growth(hot(&net.design.runs[run], transition.section));
                let at_end = net.design.runs[run].to == To::Flange(transition.flange);
                let length = layout.runs[run].length();
                let middle = 0.5 * transition.length;
                self.on_run(run, (None, if at_end { length - middle } else { middle }), growth)
            }
            (Kind::Flange(plate), _) => self.plate(plate),
            (Kind::Run(_) | Kind::Fitting(_), _) => scaled(0.0, DVec3::ZERO, DVec3::ZERO),
        }
    }

    /// Where a body at this station of a run goes.
    fn on_run(&self, run: usize, (piece, station): (Option<usize>, f64), growth: f64) -> Similarity {
        let moved = self.net.at(run, piece, station).value(&self.merges);
        scaled(growth, self.net.layout.runs[run].centreline.frame_at(station).at, moved)
    }

    /// Where a flange's plate goes: about the point from which it grows, which moves with the run that ends on
    /// it where the flange is not fixed.
    fn plate(&self, index: usize) -> Similarity {
        let plate = &self.net.layout.plates[index];
        let Some(wanted) = plate.wanted(self.net.design) else {
            return scaled(0.0, DVec3::ZERO, DVec3::ZERO);
        };
        let growth = plate.alloy.growth(wanted.growth.plate);
        let middle = plate.openings.iter().map(|o| o.centre).sum::<::plate::DVec2>();
        let middle = middle / plate.openings.len().max(1) as f64;
        let fixed = wanted.growth.fixed.unwrap_or(middle);
        let at = plate.frame.at + plate.frame.inside * fixed.x + plate.frame.side() * fixed.y;
        let run = plate.openings.iter().find_map(|o| o.run);
        let flange = match plate.of {
            layout::flange_plate::PlateOf::Flange(flange) => flange,
            layout::flange_plate::PlateOf::Merge(_) => return scaled(0.0, DVec3::ZERO, DVec3::ZERO),
        };
        match run {
            Some(run) if !self.net.design.flanges[flange].fixed => {
                let length = self.net.layout.runs[run].length();
                let last = self.net.layout.runs[run].pieces.last().copied();
                scaled(growth, at, self.net.at(run, last, length).value(&self.merges))
            }
            _ => scaled(growth, at, DVec3::ZERO),
        }
    }

    /// How far a body's ends are off because the misfit of its run is spread.
    fn spread(&self, body: &Body) -> f64 {
        let Some(Along { axis: Axis::Run(run), from, to }) = body.line else { return 0.0 };
        let Some(misfit) = self.net.misfit(run) else { return 0.0 };
        let share = |station| share(self.net.design, self.net.layout, run, body.piece, station);
        0.5 * (share(to) - share(from)).abs() * misfit.value(&self.merges).length()
    }
}

/// Every mm from `about` grows by `growth`, and `about` moves by `moved`.
fn scaled(growth: f64, about: DVec3, moved: DVec3) -> Similarity {
    Similarity {
        linear: DMat3::from_diagonal(DVec3::splat(1.0 + growth)),
        shift: moved - about * growth,
        scale: 1.0 + growth,
    }
}
