//! The search for few parts: cuts are dropped as long as the parts fit and the whole can be put together, and no part
//! loses what it can stand on.
//!
//! Dropping a cut makes one part of two, and drops every other cut between the two with it. What is reached depends on
//! the order, so that several are tried; at the end no cut can be dropped, and no piece of a part is better
//! on its neighbour.

use crate::assembly::{MOST_DRAFT, angle_between, draft};
use crate::fits::Extent;
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
    /// Parts.
    parts: usize,
    /// Cuts where the steel has no joint.
    elsewhere: usize,
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
}

/// The best division found: the part of each atom, numbered from 0. Every atom has to fit by itself; parts are moved as
/// far as `out` to come together, mm.
pub(crate) fn fewest(web: &Web, fitting: &mut Fitting, out: f64) -> Vec<usize> {
    let mut best: Option<(Score, Vec<usize>)> = None;
    for order in orders(web) {
        let mut trial = Trial::whole(web, fitting);
        while trial.pass(web, fitting, &order) {}
        let score = score(web, fitting, &trial.part, out);
        if best.as_ref().is_none_or(|(least, _)| score < *least) {
            best = Some((score, trial.part));
        }
    }
    let part = best.map(|(_, part)| part).unwrap_or_default();
    numbered(&shifted(web, fitting, part, out))
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
    Score {
        locked: apart.locked.len(),
        in_bends: open.iter().filter(|c| web.cuts[**c].in_bend).count(),
        touching: apart.touching.len(),
        footless: (0..parts)
            .filter(|p| !fitting.stands(web, &numbers, *p, &extent(web, &numbers, *p)))
            .count(),
        parts,
        late: if at_engine(web, &numbers) > 1 { late } else { 0 },
        elsewhere: open.iter().filter(|c| web.cuts[**c].steel.is_none()).count(),
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
    /// Every atom a part.
    fn whole(web: &Web, fitting: &mut Fitting) -> Trial {
        let part: Vec<usize> = (0..web.atoms.len()).collect();
        let extent = |(i, atom): (usize, &Atom)| {
            let way = fitting.way(&part, i, &[], || atom.extent.clone());
            (atom.extent.clone(), way.unwrap_or(DVec3::NEG_Z))
        };
        let extents = web.atoms.iter().enumerate().map(extent).collect();
        Trial { part, extents }
    }

    /// Drops each cut in this order where that may be; whether one was dropped.
    fn pass(&mut self, web: &Web, fitting: &mut Fitting, order: &[usize]) -> bool {
        let mut locked = web.locked(&self.part);
        let mut dropped = false;
        for &cut in order {
            let (a, b) = (self.part[web.sides[cut].0], self.part[web.sides[cut].1]);
            if a == b {
                continue;
            }
            let (keep, gone) = (a.min(b), a.max(b));
            let part: Vec<usize> = self.part.iter().map(|p| if *p == gone { keep } else { *p }).collect();
            let joined = || self.extents[keep].0.joined(&self.extents[gone].0);
            let ways = [self.extents[keep].1, self.extents[gone].1];
            let Some(way) = fitting.way(&part, keep, &ways, joined) else { continue };
            let extent = joined();
            let mut stood =
                |part: &[usize], which: usize, extent: &Extent| fitting.stands(web, part, which, extent);
            let firm = stood(&self.part, keep, &self.extents[keep].0)
                || stood(&self.part, gone, &self.extents[gone].0);
            if firm && !stood(&part, keep, &extent) {
                continue;
            }
            let still = web.locked(&part);
            if still <= locked {
                (locked, dropped) = (still, true);
                self.part = part;
                self.extents[keep] = (extent, way);
            }
        }
        dropped
    }
}

/// Moves atoms to a part beside theirs for as long as that makes the division better.
fn shifted(web: &Web, fitting: &mut Fitting, mut part: Vec<usize>, out: f64) -> Vec<usize> {
    let mut best = score(web, fitting, &part, out);
    loop {
        let moves: Vec<(usize, usize)> = web
            .open(&part)
            .into_iter()
            .flat_map(|c| {
                let (a, b) = web.sides[c];
                [(a, part[b]), (b, part[a])]
            })
            .collect();
        let better = moves.into_iter().find_map(|(atom, to)| {
            let mut trial = part.clone();
            trial[atom] = to;
            let found = score(web, fitting, &trial, out);
            let holds = found < best && connected(web, &trial, part[atom]);
            (holds && fits(web, fitting, &trial, to) && fits(web, fitting, &trial, part[atom]))
                .then_some((found, trial))
        });
        match better {
            Some(found) => (best, part) = found,
            None => return part,
        }
    }
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
