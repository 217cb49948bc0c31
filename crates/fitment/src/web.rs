//! A header cut at every place where it may be cut: its least parts, and what lies between them.

use std::collections::BTreeMap;

use geom::DVec3;
use geom::math::{cos, tan};
use tube::cut::Shape;
use tube::{Cut, End};

use crate::assembly::{Apart, Link, MOST_DRAFT, taken_apart, unhindered};
use crate::balls::{self, Balls};
use crate::candidate::Candidate;
use crate::fits::{Extent, Room};
use crate::footing::{Footing, Footings};
use crate::node::{Node, NodeKind};
use crate::passage::{Body, past};
use crate::profile::Side;
use crate::sections::{Course, points_around};
use crate::strand::Strand;

/// A length of a strand: its index, from, to, mm.
pub(crate) type Length = (usize, f64, f64);

/// A header before it is cut.
pub(crate) struct Header<'a> {
    pub strands: &'a [Strand],
    pub nodes: &'a [Node],
    /// The spans of each strand.
    pub courses: Vec<Course>,
}

impl Header<'_> {
    /// Points around a length of a strand.
    pub(crate) fn points(&self, length: Length) -> Vec<DVec3> {
        let (strand, from, to) = length;
        points_around(&self.strands[strand], &self.courses[strand], from, to)
    }

    /// Balls within lengths of strands and nodes' blocks.
    fn balls(&self, lengths: &[Length], nodes: &[usize]) -> Balls {
        let mut balls = Vec::new();
        for &(strand, from, to) in lengths {
            let (course, outside) = (&self.courses[strand], &self.strands[strand].outside);
            let [start, end] = &self.strands[strand].ends;
            // A slanting end cuts into the tube.
            let lean = |end: &Cut| match end.shape {
                Shape::Plane { tilt } => outside.radius_at(end.station, Side::Downstream) * tan(tilt),
                _ => 0.0,
            };
            let reach = [lean(start), self.strands[strand].line.length() - lean(end)];
            let (from, to) = (from.max(reach[0]), to.min(reach[1]));
            if to > from {
                let radius = |station: f64| outside.radius_at(station, Side::Downstream);
                balls.extend(balls::tube(|station| course.frame_at(station), radius, [from, to]));
            }
        }
        let blocks = nodes.iter().flat_map(|n| &self.nodes[*n].blocks);
        balls.extend(blocks.flat_map(|block| balls::lattice(&block.outside)));
        Balls::of(balls)
    }
}

/// What cannot be divided any further.
#[derive(Clone, Debug)]
pub(crate) struct Atom {
    /// Its lengths of strands.
    pub lengths: Vec<Length>,
    /// Indices of its nodes.
    pub nodes: Vec<usize>,
    /// What bounds it.
    pub extent: Extent,
    /// Its balls, when it is moved past others.
    balls: Balls,
}

/// Atoms, and the cuts between two of them.
#[derive(Clone, Debug)]
pub(crate) struct Web {
    pub atoms: Vec<Atom>,
    pub cuts: Vec<Candidate>,
    /// The atoms upstream and downstream of each cut.
    pub sides: Vec<(usize, usize)>,
    /// The balls of each cut's spigot.
    spigots: Vec<Balls>,
    /// Whether an atom holds the start of a run on a flange: there putting together begins.
    pub first: Vec<bool>,
}

impl Web {
    /// The web of all `places`, by strand and station; those that would part nothing are left out.
    pub(crate) fn new(header: &Header, places: &[Candidate]) -> Web {
        let lengths = lengths(header.strands, places);
        let mut group: Vec<usize> = (0..lengths.len()).collect();
        let of_hold = |strand: usize, middle: f64| {
            lengths.iter().position(|l| l.0 == strand && l.1 <= middle && middle <= l.2)
        };
        let held: Vec<Vec<usize>> = header
            .nodes
            .iter()
            .map(|n| n.holds.iter().filter_map(|h| of_hold(h.strand, 0.5 * (h.from + h.to))).collect())
            .collect();
        for held in &held {
            for pair in held.windows(2) {
                let (keep, drop) = (group[pair[0]], group[pair[1]]);
                group.iter_mut().filter(|g| **g == drop).for_each(|g| *g = keep);
            }
        }
        let (mut cuts, mut sides, mut at) = (Vec::new(), Vec::new(), 0);
        for pair in 0..lengths.len().saturating_sub(1) {
            if lengths[pair].0 == lengths[pair + 1].0 {
                if group[pair] != group[pair + 1] {
                    cuts.push(places[at].clone());
                    sides.push((group[pair], group[pair + 1]));
                }
                at += 1;
            }
        }
        let spigots = cuts.iter().map(|cut| Balls::of(cut.pin_balls())).collect();
        let mut web = Web { atoms: Vec::new(), cuts, sides, spigots, first: Vec::new() };
        web.gather(header, &lengths, &group, &held);
        web
    }

    /// The atoms, from the lengths of strands, the group of each, and the lengths that each node holds.
    fn gather(&mut self, header: &Header, lengths: &[Length], group: &[usize], held: &[Vec<usize>]) {
        let mut names: Vec<usize> = group.to_vec();
        names.sort_unstable();
        names.dedup();
        let number = |g: usize| names.binary_search(&g).unwrap_or(0);
        self.sides.iter_mut().for_each(|s| *s = (number(s.0), number(s.1)));
        let mut kinds: Vec<(Vec<Length>, Vec<usize>)> = vec![Default::default(); names.len()];
        for (length, g) in lengths.iter().zip(group) {
            let lengths = &mut kinds[number(*g)].0;
            match lengths.last_mut() {
                Some(last) if last.0 == length.0 && last.2 == length.1 => last.2 = length.2,
                _ => lengths.push(*length),
            }
        }
        for (node, held) in held.iter().enumerate() {
            match held.first() {
                Some(length) => kinds[number(group[*length])].1.push(node),
                None => kinds.push((Vec::new(), vec![node])),
            }
        }
        for (atom, (lengths, of)) in kinds.into_iter().enumerate() {
            self.first.push(of.iter().any(|n| begins(&header.nodes[*n])));
            let extent = Extent::of(self.points(header, atom, &lengths, &of));
            let balls = header.balls(&lengths, &of);
            self.atoms.push(Atom { lengths, nodes: of, extent, balls });
        }
    }

    /// Points around an atom's lengths of strands, of its nodes' blocks, and around its spigots.
    fn points(&self, header: &Header, atom: usize, lengths: &[Length], nodes: &[usize]) -> Vec<DVec3> {
        let mut points: Vec<DVec3> = lengths.iter().flat_map(|l| header.points(*l)).collect();
        let blocks = nodes.iter().flat_map(|n| &header.nodes[*n].blocks);
        points.extend(blocks.flat_map(|b| &b.outside.points));
        for (cut, sides) in self.cuts.iter().zip(&self.sides) {
            let of = if cut.spigot == End::End { sides.0 } else { sides.1 };
            points.extend(cut.tip.iter().filter(|_| of == atom));
        }
        points
    }

    /// The cuts between different parts, by index.
    pub(crate) fn open(&self, part: &[usize]) -> Vec<usize> {
        (0..self.cuts.len()).filter(|c| part[self.sides[*c].0] != part[self.sides[*c].1]).collect()
    }

    /// How many parts hold each other, whatever else they touch.
    pub(crate) fn locked(&self, part: &[usize]) -> usize {
        let numbers = numbered(part);
        let count = numbers.iter().max().map_or(0, |m| m + 1);
        taken_apart(&vec![0; count], &self.links(&numbers), &unhindered).locked.len()
    }

    /// How the parts, numbered from 0, are taken apart: those furthest from the flanges at the engine first, each moved
    /// past the others as far as `out`.
    pub(crate) fn taken_apart(&self, part: &[usize], out: f64) -> Apart {
        let links = self.links(part);
        let bodies = self.bodies(part);
        let passes = |moved: usize, way: DVec3, there: &[bool]| {
            let still = (0..there.len()).filter(|p| there[*p] && *p != moved);
            let still: Vec<Body> = still.flat_map(|p| bodies[p].iter().copied()).collect();
            past(&bodies[moved], &still, way, out / cos(MOST_DRAFT))
        };
        taken_apart(&self.ranks(part, &links), &links, &passes)
    }

    /// The bodies of each part: its atoms and its spigots.
    fn bodies(&self, part: &[usize]) -> Vec<Vec<Body<'_>>> {
        let mut bodies = vec![Vec::new(); part.iter().max().map_or(0, |m| m + 1)];
        for (atom, of) in self.atoms.iter().enumerate() {
            bodies[part[atom]].push(Body { balls: &of.balls, atom, stands_in: None });
        }
        for cut in self.open(part) {
            let (up, down) = self.sides[cut];
            let (atom, other) = if self.cuts[cut].spigot == End::End { (up, down) } else { (down, up) };
            bodies[part[atom]].push(Body { balls: &self.spigots[cut], atom, stands_in: Some(other) });
        }
        bodies
    }

    /// The joints between parts that are numbered `part` by atom, in the order of [`Web::open`].
    pub(crate) fn links(&self, part: &[usize]) -> Vec<Link> {
        let link = |c: usize| {
            let (a, b) = self.sides[c];
            Link { upstream: part[a], downstream: part[b], along: self.cuts[c].along }
        };
        self.open(part).into_iter().map(link).collect()
    }

    /// How many joints each part is away from a flange at which runs begin.
    fn ranks(&self, part: &[usize], links: &[Link]) -> Vec<usize> {
        let count = part.iter().max().map_or(0, |m| m + 1);
        let mut ranks = vec![usize::MAX; count];
        for (atom, first) in self.first.iter().enumerate() {
            if *first {
                ranks[part[atom]] = 0;
            }
        }
        if let (true, Some(first)) = (ranks.iter().all(|r| *r > 0), ranks.first_mut()) {
            *first = 0;
        }
        for rank in 0..count {
            for link in links {
                for (a, b) in [(link.upstream, link.downstream), (link.downstream, link.upstream)] {
                    if ranks[a] == rank {
                        ranks[b] = ranks[b].min(rank + 1);
                    }
                }
            }
        }
        ranks
    }
}

/// Parts numbered from 0 without gaps, by their first atom.
pub(crate) fn numbered(part: &[usize]) -> Vec<usize> {
    let mut seen: Vec<usize> = Vec::new();
    let mut number = |p: usize| match seen.iter().position(|s| *s == p) {
        Some(at) => at,
        None => {
            seen.push(p);
            seen.len() - 1
        }
    };
    part.iter().map(|p| number(*p)).collect()
}

/// What fits, remembered: what holds a part that does not fit does not fit either, and what is held by one that fits
/// does.
pub(crate) struct Fitting {
    room: Room,
    footings: Footings,
    fits: Vec<(Members, DVec3)>,
    larger: Vec<Members>,
    known: BTreeMap<Members, Footing>,
}

/// Atoms of a part, one bit each.
type Members = Vec<u64>;

impl Fitting {
    pub(crate) fn new(room: Room, footings: Footings) -> Fitting {
        Fitting { room, footings, fits: Vec::new(), larger: Vec::new(), known: BTreeMap::new() }
    }

    /// The down of a position in which the atoms of part `which` fit; `extent` is asked for where that is not known.
    /// `ways` are tried first.
    pub(crate) fn way(
        &mut self,
        part: &[usize],
        which: usize,
        ways: &[DVec3],
        extent: impl FnOnce() -> Extent,
    ) -> Option<DVec3> {
        let members = members(part, which);
        if self.larger.iter().any(|l| holds(&members, l)) {
            return None;
        }
        if let Some((_, way)) = self.fits.iter().find(|(f, _)| holds(f, &members)) {
            return Some(*way);
        }
        let fit = extent().fit(self.room, ways);
        if fit.missing > 0.0 {
            self.larger.push(members);
            return None;
        }
        self.fits.push((members, fit.down));
        Some(fit.down)
    }

    /// How part `which` stands best where it fits. Where it fits on no flat it is leant until it fits: the most that hangs
    /// over in any direction.
    pub(crate) fn footing(
        &mut self,
        web: &Web,
        part: &[usize],
        which: usize,
        extent: impl FnOnce() -> Extent,
    ) -> Footing {
        let members = members(part, which);
        if let Some(known) = self.known.get(&members) {
            return *known;
        }
        let (room, stands) = (self.room, self.footings.stands(web, part, which));
        let mut on_flat = stands.iter().filter(|s| s.footing.stands && s.height <= room.height).peekable();
        let found = on_flat.peek().is_some().then(extent).and_then(|extent| {
            on_flat
                .find(|s| extent.standing(room, s.down, f64::INFINITY).is_some_and(|fit| fit.missing <= 0.0))
        });
        let overhang = stands.iter().map(|s| s.footing.overhang).fold(0.0, f64::max);
        let fallen = Footing { overhang, stands: false, steady: false };
        let footing = found.map_or(fallen, |stand| stand.footing);
        self.known.insert(members, footing);
        footing
    }
}

/// The atoms of part `which`.
fn members(part: &[usize], which: usize) -> Members {
    let mut members = vec![0; part.len().div_ceil(64)];
    (0..part.len()).filter(|i| part[*i] == which).for_each(|i| members[i / 64] |= 1 << (i % 64));
    members
}

/// Whether `all` has every atom of `some`.
fn holds(all: &Members, some: &Members) -> bool {
    all.iter().zip(some).all(|(a, s)| a & s == *s)
}

/// Every strand's lengths between its places.
fn lengths(strands: &[Strand], places: &[Candidate]) -> Vec<Length> {
    let mut lengths = Vec::new();
    for (index, strand) in strands.iter().enumerate() {
        let mut from = 0.0;
        for place in places.iter().filter(|p| p.strand == index) {
            lengths.push((index, from, place.station));
            from = place.station;
        }
        lengths.push((index, from, strand.line.length()));
    }
    lengths
}

/// Whether runs begin at this node: a flange that holds a strand's start.
fn begins(node: &Node) -> bool {
    matches!(node.kind, NodeKind::Flange(..)) && node.holds.iter().any(|h| h.from <= 1.0)
}
