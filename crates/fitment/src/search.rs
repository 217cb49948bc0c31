//! The search for few parts that need little support: cuts are dropped as long as the parts fit and the whole can be put
//! together, no part loses what it can stand on, and no more support is needed than a part is worth.
//!
//! Dropping a cut makes one part of two, and drops every other cut between the two with it. What is reached depends on
//! the order, so that several are tried, each with support minded and not, and last the cut that saves most before all
//! others. Of the best, two neighbours at a time are made anew from their pieces; at the end no piece of a part is
//! better on its neighbour.

use std::collections::BTreeMap;

use crate::assembly::{MOST_DRAFT, angle_between, draft};
use crate::fits::Extent;
use crate::footing::Footing;
use crate::pose::NO_FOOT;
use crate::web::{Atom, Fitting, Web, numbered};
use geom::DVec3;

/// How good a division is; less is better, the first that differs counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Score {
    /// Parts that hold each other.
    locked: usize,
    /// Cuts in bends.
    in_bends: usize,
    /// Parts that touch others on their way in.
    touching: usize,
    /// Parts that cannot stand on a flat of theirs.
    footless: usize,
    /// Where several parts stand at the engine: those that are put onto others, and not the others onto them. A header
    /// with one flange is put together on the bench.
    late: usize,
    /// What parts, their support and cuts away from the steel's joints cost together, mm2 of support.
    burden: u64,
    /// Cuts.
    cuts: usize,
    /// How much all spigots lean together, in thousandths of a radian.
    lean: u64,
}

/// A division while it is looked for.
#[derive(Clone, Debug)]
struct Trial {
    /// The part of each atom: the number of one of its atoms.
    part: Vec<usize>,
    /// The extent of each part, and which way is down where it fits, by its number.
    extents: Vec<(Extent, DVec3)>,
    /// What hangs over of each part, and how it stands, as mm2 of support.
    costs: Vec<f64>,
}

/// The best division found: the part of each atom, numbered from 0. Every atom has to fit by itself; parts are moved as
/// far as `out` to come together, mm.
pub(crate) fn fewest(web: &Web, fitting: &mut Fitting, out: f64) -> Vec<usize> {
    let mut best: Option<(Score, Vec<usize>)> = None;
    let whole = Trial::of(web, fitting, (0..web.atoms.len()).collect());
    let mut consider = |trial: Trial, fitting: &mut Fitting| {
        let score = score(web, fitting, &trial.part, out);
        if best.as_ref().is_none_or(|(least, _)| score < *least) {
            best = Some((score, trial.part));
        }
    };
    for slack in [PART, ANYHOW] {
        for order in orders(web) {
            let mut trial = whole.clone();
            while trial.pass(web, fitting, &order, slack) {}
            consider(trial, fitting);
        }
    }
    for sway in sways(web.cuts.len()) {
        let mut trial = whole.clone();
        while trial.best_first(web, fitting, &sway) {}
        consider(trial, fitting);
    }
    let Some((mut best, mut part)) = best else { return Vec::new() };
    while let Some(better) = remade(web, fitting, &part, out).filter(|found| found.0 < best) {
        (best, part) = better;
    }
    numbered(&part)
}

/// How good this division is.
fn score(web: &Web, fitting: &mut Fitting, part: &[usize], out: f64) -> Score {
    let numbers = numbered(part);
    let open = web.open(&numbers);
    let apart = web.taken_apart(&numbers, out);
    let mut there = vec![true; numbers.iter().max().map_or(0, |m| m + 1)];
    let parts = there.len();
    let links = web.links(&numbers);
    let mut lean = 0.0;
    let mut late = 0;
    for removal in &apart.removals {
        for link in links.iter().filter(|l| there[l.upstream] && there[l.downstream]) {
            let opening = match (link.upstream == removal.part, link.downstream == removal.part) {
                (true, _) => -link.along,
                (_, true) => link.along,
                _ => continue,
            };
            lean += removal.way.map_or(0.0, |way| draft(angle_between(opening, way)));
        }
        let first = || web.first.iter().zip(&numbers).any(|(f, p)| *f && *p == removal.part);
        late += usize::from(removal.way.is_some() && first());
        there[removal.part] = false;
    }
    let footings: Vec<Footing> =
        (0..parts).map(|p| fitting.footing(web, &numbers, p, || extent(web, &numbers, p))).collect();
    let elsewhere = open.iter().filter(|c| web.cuts[**c].steel.is_none()).count();
    let support: f64 = footings.iter().map(|f| f.cost()).sum();
    Score {
        locked: apart.locked.len(),
        in_bends: open.iter().filter(|c| web.cuts[**c].in_bend).count(),
        touching: apart.touching.len(),
        footless: footings.iter().filter(|f| !f.stands).count(),
        late: if at_engine(web, &numbers) > 1 { late } else { 0 },
        burden: (support + PART * parts as f64 + ELSEWHERE * elsewhere as f64) as u64,
        cuts: open.len(),
        lean: (lean * 1000.0) as u64,
    }
}

/// How many parts hold a flange at which runs begin.
fn at_engine(web: &Web, part: &[usize]) -> usize {
    let mut held: Vec<usize> = part.iter().zip(&web.first).filter(|(_, f)| **f).map(|(p, _)| *p).collect();
    held.sort_unstable();
    held.dedup();
    held.len()
}

/// The least that a part would have to lean more than it may, rad; a quarter turn less what it may where nothing helps.
pub(crate) fn missing_lean(web: &Web, part: &[usize], locked: &[usize]) -> f64 {
    let links = web.links(part);
    let mut there = vec![false; part.iter().max().map_or(0, |m| m + 1)];
    locked.iter().for_each(|p| there[*p] = true);
    let angle = |p: &usize| crate::assembly::way_out(&crate::assembly::openings(*p, &links, &there));
    let least = locked.iter().filter_map(angle).map(|(_, a)| a).fold(std::f64::consts::FRAC_PI_2, f64::min);
    (least - MOST_DRAFT).max(0.0)
}

impl Trial {
    /// A division, parts numbered by one of their atoms.
    fn of(web: &Web, fitting: &mut Fitting, part: Vec<usize>) -> Trial {
        let extents = |(i, atom): (usize, &Atom)| {
            let extent = match part.iter().filter(|p| **p == i).count() {
                0 | 1 => atom.extent.clone(),
                _ => extent(web, &part, i),
            };
            let way = fitting.way(&part, i, &[], || extent.clone());
            (extent, way.unwrap_or(DVec3::NEG_Z))
        };
        let extents: Vec<(Extent, DVec3)> = web.atoms.iter().enumerate().map(extents).collect();
        let cost = |i: usize| match part.contains(&i) {
            true => fitting.footing(web, &part, i, || extents[i].0.clone()).cost(),
            false => 0.0,
        };
        let costs = (0..part.len()).map(cost).collect();
        Trial { part, extents, costs }
    }

    /// Drops each cut in this order where that may be and costs no more than `slack`; whether one was dropped.
    fn pass(&mut self, web: &Web, fitting: &mut Fitting, order: &[usize], slack: f64) -> bool {
        let mut locked = web.locked(&self.part);
        let mut dropped = false;
        for &cut in order {
            let Some(joined) = self.joined(web, fitting, cut) else { continue };
            if joined.more <= slack && self.take(web, &mut locked, joined) {
                dropped = true;
            }
        }
        dropped
    }

    /// Drops the cut that saves most, with what each is swayed by; whether one was dropped.
    fn best_first(&mut self, web: &Web, fitting: &mut Fitting, sway: &[f64]) -> bool {
        let mut locked = web.locked(&self.part);
        let joined =
            |cut: usize| self.joined(web, fitting, cut).map(|joined| (joined.more + sway[cut], joined));
        let mut found: Vec<(f64, Joined)> = web.open(&self.part).into_iter().filter_map(joined).collect();
        found.retain(|(_, joined)| joined.more <= PART);
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().any(|(_, joined)| self.take(web, &mut locked, joined))
    }

    /// The parts on both sides of a cut as one; none where they are one already, or do not fit together.
    fn joined(&self, web: &Web, fitting: &mut Fitting, cut: usize) -> Option<Joined> {
        let (a, b) = (self.part[web.sides[cut].0], self.part[web.sides[cut].1]);
        if a == b {
            return None;
        }
        let (keep, gone) = (a.min(b), a.max(b));
        let part: Vec<usize> = self.part.iter().map(|p| if *p == gone { keep } else { *p }).collect();
        let extent = || self.extents[keep].0.joined(&self.extents[gone].0);
        let ways = [self.extents[keep].1, self.extents[gone].1];
        let down = fitting.way(&part, keep, &ways, extent)?;
        let cost = fitting.footing(web, &part, keep, extent).cost();
        let between = |(a, b): (usize, usize)| self.part[a] != self.part[b] && part[a] == part[b];
        let dropped =
            web.cuts.iter().zip(&web.sides).filter(|(c, s)| c.steel.is_none() && between(**s)).count();
        let more = cost - self.costs[keep] - self.costs[gone] - ELSEWHERE * dropped as f64;
        Some(Joined { keep, gone, part, down, cost, more })
    }

    /// Makes two parts one, unless more parts hold each other then.
    fn take(&mut self, web: &Web, locked: &mut usize, joined: Joined) -> bool {
        let still = web.locked(&joined.part);
        let may = still <= *locked;
        if may {
            *locked = still;
            let extent = self.extents[joined.keep].0.joined(&self.extents[joined.gone].0);
            self.extents[joined.keep] = (extent, joined.down);
            self.costs[joined.keep] = joined.cost;
            self.part = joined.part;
        }
        may
    }
}

/// Two parts made one.
struct Joined {
    keep: usize,
    gone: usize,
    /// The part of each atom then.
    part: Vec<usize>,
    /// Which way is down where it fits.
    down: DVec3,
    /// What counts against it, mm2 of support.
    cost: f64,
    /// How much more that is than for the two and what is between them, but for the part that is saved.
    more: f64,
}

/// The best division of those in which two neighbours are made anew from their atoms, then atoms moved.
fn remade(web: &Web, fitting: &mut Fitting, part: &[usize], out: f64) -> Option<(Score, Vec<usize>)> {
    let mut pairs: Vec<(usize, usize)> = web.links(part).iter().map(|l| (l.upstream, l.downstream)).collect();
    pairs.iter_mut().for_each(|(a, b)| (*a, *b) = ((*a).min(*b), (*a).max(*b)));
    pairs.sort_unstable();
    pairs.dedup();
    let unswayed = vec![0.0; web.cuts.len()];
    let first = |p: usize| part.iter().position(|q| *q == p).unwrap_or(0);
    let anew = |(a, b): (usize, usize)| {
        let freed = |(atom, p): (usize, &usize)| if *p == a || *p == b { atom } else { first(*p) };
        let mut trial = Trial::of(web, fitting, part.iter().enumerate().map(freed).collect());
        while trial.best_first(web, fitting, &unswayed) {}
        shifted(web, fitting, trial.part, out)
    };
    pairs.into_iter().map(anew).min_by(|a, b| a.0.cmp(&b.0))
}

/// Moves atoms to a part beside theirs for as long as that makes the division better.
fn shifted(web: &Web, fitting: &mut Fitting, mut part: Vec<usize>, out: f64) -> (Score, Vec<usize>) {
    let mut best = score(web, fitting, &part, out);
    loop {
        let better = moves(web, &part).into_iter().find_map(|(atoms, to)| {
            let from = part[atoms[0]];
            let mut trial = part.clone();
            atoms.into_iter().for_each(|atom| trial[atom] = to);
            let found = score(web, fitting, &trial, out);
            let holds = found < best && connected(web, &trial, from);
            (holds && fits(web, fitting, &trial, to) && fits(web, fitting, &trial, from))
                .then_some((found, trial))
        });
        match better {
            Some(found) => (best, part) = found,
            None => return (best, part),
        }
    }
}

/// What can be moved to a part beside: each atom at a cut, and all atoms of a part at its cuts with another, as they may
/// hold each other one by one.
fn moves(web: &Web, part: &[usize]) -> Vec<(Vec<usize>, usize)> {
    let sides = web.open(part).into_iter().map(|c| web.sides[c]);
    let single: Vec<(usize, usize)> = sides.flat_map(|(a, b)| [(a, part[b]), (b, part[a])]).collect();
    let mut together: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for &(atom, to) in &single {
        let atoms = together.entry((part[atom], to)).or_default();
        if !atoms.contains(&atom) {
            atoms.push(atom);
        }
    }
    let alone = single.into_iter().map(|(atom, to)| (vec![atom], to));
    let several =
        together.into_iter().filter(|(_, atoms)| atoms.len() > 1).map(|((_, to), atoms)| (atoms, to));
    alone.chain(several).collect()
}

/// Whether the atoms of a part hang together.
fn connected(web: &Web, part: &[usize], which: usize) -> bool {
    let Some(first) = part.iter().position(|p| *p == which) else { return true };
    let mut reached = vec![false; part.len()];
    reached[first] = true;
    loop {
        let grown: Vec<usize> = web
            .sides
            .iter()
            .filter(|(a, b)| part[*a] == which && part[*b] == which && reached[*a] != reached[*b])
            .flat_map(|(a, b)| [*a, *b])
            .collect();
        if grown.is_empty() {
            return part.iter().zip(&reached).all(|(p, r)| *p != which || *r);
        }
        grown.into_iter().for_each(|i| reached[i] = true);
    }
}

fn fits(web: &Web, fitting: &mut Fitting, part: &[usize], which: usize) -> bool {
    !part.contains(&which) || fitting.way(part, which, &[], || extent(web, part, which)).is_some()
}

/// The extent of a part.
fn extent(web: &Web, part: &[usize], which: usize) -> Extent {
    let of = web.atoms.iter().zip(part).filter(|(_, p)| **p == which);
    Extent::of(of.flat_map(|(a, _)| a.extent.points.iter().copied()).collect())
}

/// Orders in which cuts are dropped: along and against the strands, from the flanges and from the merges evenly, each
/// with those in bends first and with those away from the steel's joints next or not, and some mixed ones.
fn orders(web: &Web) -> Vec<Vec<usize>> {
    let count = web.cuts.len();
    let along: Vec<usize> = (0..count).collect();
    let against: Vec<usize> = (0..count).rev().collect();
    let mut evenly = along.clone();
    evenly.sort_by(|a, b| web.cuts[*a].station.total_cmp(&web.cuts[*b].station));
    let back: Vec<usize> = evenly.iter().rev().copied().collect();
    let mut bases = vec![along, against, evenly, back];
    bases.extend((0..MIXED).map(|seed| mixed(count, seed)));
    let mut orders = Vec::new();
    for base in bases {
        for steel_last in [true, false] {
            let mut order = base.clone();
            order.sort_by_key(|c| (!web.cuts[*c].in_bend, steel_last && web.cuts[*c].steel.is_some()));
            orders.push(order);
        }
    }
    orders
}

/// By how much cuts are dropped later than what they save says, mm2 of support: not at all, then in mixed ways.
fn sways(count: usize) -> Vec<Vec<f64>> {
    let mut sways = vec![vec![0.0; count]];
    for seed in 0..SWAYS {
        let mut sway = vec![0.0; count];
        for (rank, cut) in mixed(count, seed).into_iter().enumerate() {
            sway[cut] = SWAY * rank as f64 / count as f64;
        }
        sways.push(sway);
    }
    sways
}

/// An order mixed by a linear congruence (D. Knuth's MMIX).
fn mixed(count: usize, seed: u64) -> Vec<usize> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        state >> 33
    };
    let mut keyed: Vec<(u64, usize)> = (0..count).map(|c| (next(), c)).collect();
    keyed.sort_unstable();
    keyed.into_iter().map(|(_, c)| c).collect()
}

/// How many mixed orders are tried.
const MIXED: u64 = 4;

/// How many times cuts are swayed.
const SWAYS: u64 = 12;

/// The most that a cut is swayed by, mm2 of support.
const SWAY: f64 = 0.5 * PART;

/// What a part more counts as, mm2 of area that needs support. A tube of 45 mm lying free needs it under a quarter of
/// its round, 35 mm2 along each mm: a joint more, with its fit and its glue, has to save 140 mm of that (common practice, no
/// source).
const PART: f64 = 5000.0;

/// What a cut away from the steel's joints counts as, mm2 of area that needs support: half of a part, so that the print
/// rehearses the assembly wherever that does not cost much (common practice, no source).
const ELSEWHERE: f64 = 2500.0;

/// Cuts are dropped whatever hangs over then, but no part that stands is lost for one that cannot.
const ANYHOW: f64 = 0.1 * NO_FOOT;
