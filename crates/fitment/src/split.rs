//! A header divided into parts that the printer can make and that can be put together.

use geom::DVec3;
use spec::shop::Printer;
use tube::End;

use crate::assembly::{Apart, Removal, angle_between, draft};
use crate::candidate::{Candidate, Ground, Places, socket_need};
use crate::division::{Division, Joining, PartPlan, Stretch};
use crate::fault::Fault;
use crate::fits::{Extent, Room};
use crate::footing::Footings;
use crate::keyed::Keyed;
use crate::node::{Node, NodeKind};
use crate::search::{fewest, missing_lean};
use crate::sections::Course;
use crate::strand::Strand;
use crate::web::{Atom, Fitting, Header, Length, Web};

/// Divides a header into as few parts as were found to fit the printer's room, standing on a flat of theirs, and to go
/// together one by one. Cuts stand on straights, at the steel's joints where that makes no more parts of it, and in
/// bends only where nothing else helps.
///
/// Errors: every place at which the printer's room is too small and no cut is possible, with what is missing; or
/// parts that hold each other.
pub fn divided(strands: &[Strand], nodes: &[Node], printer: &Printer) -> Result<Division, Vec<Fault>> {
    let courses: Vec<Course> = strands.iter().map(Course::of).collect();
    let work = Work { header: Header { strands, nodes, courses }, printer, room: Room::of(printer) };
    let web = work.web()?;
    let mut fitting = Fitting::new(work.room, Footings::of(&work.header, &web, printer));
    let out = printer.spigot + printer.fit_gap;
    let part = fewest(&web, &mut fitting, out);
    let apart = web.taken_apart(&part, out);
    if apart.locked.is_empty() {
        return work.division(&web, &part, &apart);
    }
    let open = web.open(&part);
    let holds = |c: &&usize| {
        let (a, b) = web.sides[**c];
        apart.locked.contains(&part[a]) && apart.locked.contains(&part[b])
    };
    let joints = open.iter().enumerate().filter(|(_, c)| holds(c)).map(|(number, _)| number + 1).collect();
    Err(vec![Fault::Locked { joints, missing: missing_lean(&web, &part, &apart.locked) }])
}

/// A header, and the printer that it is divided for.
struct Work<'a> {
    header: Header<'a>,
    printer: &'a Printer,
    room: Room,
}

impl Work<'_> {
    /// The header cut wherever it may be. Within what is too large then, cuts stand at the very ends of straights too,
    /// where there is room for one end only at that which leaves less too large, and at last in bends.
    fn web(&self) -> Result<Web, Vec<Fault>> {
        let mut places: Vec<Places> =
            (0..self.header.strands.len()).map(|i| self.ground(i).on_straights(None)).collect();
        for (strand, ..) in self.large_lengths(&places) {
            places[strand] = self.ground(strand).on_straights(Some(End::Start));
        }
        for (strand, ..) in self.large_lengths(&places) {
            let mut other = places.clone();
            other[strand] = self.ground(strand).on_straights(Some(End::End));
            if self.large_lengths(&other).len() < self.large_lengths(&places).len() {
                places = other;
            }
        }
        for (strand, from, to) in self.large_lengths(&places) {
            places[strand] = self.ground(strand).in_bends(from, to, &places[strand]);
        }
        let web = self.web_of(&places);
        let large = self.too_large(&web);
        if large.is_empty() {
            return Ok(web);
        }
        Err(large.iter().map(|atom| self.fault(atom, &places)).collect())
    }

    fn ground(&self, strand: usize) -> Ground<'_> {
        let header = &self.header;
        Ground::new(strand, &header.strands[strand], &header.courses[strand], header.nodes, self.printer)
    }

    fn web_of(&self, places: &[Places]) -> Web {
        let all: Vec<Candidate> = places.iter().flat_map(|p| p.places.iter().cloned()).collect();
        Web::new(&self.header, &all)
    }

    /// The lengths of strands in what is too large, cut at these places.
    fn large_lengths(&self, places: &[Places]) -> Vec<Length> {
        self.too_large(&self.web_of(places)).into_iter().flat_map(|atom| atom.lengths).collect()
    }

    fn too_large(&self, web: &Web) -> Vec<Atom> {
        web.atoms.iter().filter(|a| a.extent.fit(self.room, &[]).missing > 0.0).cloned().collect()
    }

    /// Why an atom is too large: a node of its own accord, else lengths of strands on which no cut is possible. A
    /// printer that has what is missing holds all of the atom.
    fn fault(&self, atom: &Atom, places: &[Places]) -> Fault {
        let missing = atom.extent.lacks(self.printer, &[]);
        let large = atom.nodes.iter().map(|n| &self.header.nodes[*n]).filter(|node| {
            let blocks = node.blocks.iter().flat_map(|b| b.outside.points.iter().copied());
            let held = node.holds.iter().flat_map(|h| self.header.points((h.strand, h.from, h.to)));
            self.is_large(blocks.chain(held).collect())
        });
        let large: Vec<String> = large.map(node_words).collect();
        if !large.is_empty() {
            return Fault::BedTooSmall { what: large.join(" with "), missing };
        }
        let long = atom.lengths.iter().filter(|l| l.2 - l.1 > LEAST_LENGTH);
        let uncut = long.filter_map(|&length| self.uncut(length, &places[length.0], missing));
        uncut.min_by_key(|f| matches!(f, Fault::BedTooSmall { .. })).unwrap_or_else(|| {
            let strands = atom.lengths.iter().map(|l| format!("run {}", self.header.strands[l.0].name));
            let nodes = atom.nodes.iter().map(|n| node_words(&self.header.nodes[*n]));
            let what: Vec<String> = if atom.nodes.is_empty() { strands.collect() } else { nodes.collect() };
            Fault::BedTooSmall { what: what.join(" with "), missing }
        })
    }

    /// Why no cut stands on a length: what stands there is too large, the tube is too thin, its straights too short, or
    /// it has none. `room` is what the printer's room is missing.
    fn uncut(&self, length: Length, places: &Places, room: [f64; 3]) -> Option<Fault> {
        let (strand, from, to) = length;
        let (run, origin) = (self.header.strands[strand].name.clone(), self.header.strands[strand].origin);
        let mut keeps = self.header.strands[strand].keeps.iter().filter(|k| k.from < to && k.to > from);
        if let Some(kept) = keeps.find(|k| self.is_large(self.header.points((strand, k.from, k.to)))) {
            return Some(Fault::BedTooSmall { what: kept.what.clone(), missing: room });
        }
        let thin = places.thin.iter().filter(|t| t.0 > from && t.0 < to);
        if let Some(&(at, missing)) = thin.min_by(|a, b| a.1.total_cmp(&b.1)) {
            return Some(Fault::TubeTooThin { run, at: at - origin, missing });
        }
        let within = places.free.iter().map(|f| (f.0.max(from), f.1.min(to))).filter(|f| f.1 > f.0);
        if let Some((begin, end)) = within.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))) {
            let (longest, at) = (end - begin, begin - origin);
            let missing = socket_need(self.printer) - longest;
            return (missing > 0.0).then_some(Fault::StraightTooShort { run, longest, at, missing });
        }
        let what = format!("run {run} from {:.1} to {:.1} mm", from - origin, to - origin);
        self.is_large(self.header.points(length)).then_some(Fault::BedTooSmall { what, missing: room })
    }

    /// Whether what these points bound goes into the printer's room in no position.
    fn is_large(&self, points: Vec<DVec3>) -> bool {
        Extent::of(points).fit(self.room, &[]).missing > 0.0
    }

    /// The division, its parts in the order in which they are put together.
    fn division(&self, web: &Web, part: &[usize], apart: &Apart) -> Result<Division, Vec<Fault>> {
        let open = web.open(part);
        let order: Vec<&Removal> = apart.removals.iter().rev().collect();
        let place = |p: usize| order.iter().position(|r| r.part == p).unwrap_or(0);
        let mut joinings = Vec::with_capacity(open.len());
        let mut faults = Vec::new();
        for (number, &c) in open.iter().enumerate() {
            let (cut, (up, down)) = (&web.cuts[c], web.sides[c]);
            let later = if place(part[up]) > place(part[down]) {
                (part[up], -cut.along)
            } else {
                (part[down], cut.along)
            };
            let way = order[place(later.0)].way.unwrap_or(later.1);
            match Keyed::fitting(cut.radius, cut.clock, draft(angle_between(later.1, way)), self.printer) {
                Ok(keyed) => joinings.push(Joining {
                    number: number + 1,
                    strand: cut.strand,
                    station: cut.station,
                    steel: cut.steel,
                    in_bend: cut.in_bend,
                    spigot: cut.spigot,
                    keyed,
                }),
                Err(missing) => faults.push(self.thin(cut, missing)),
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let parts = order.iter().enumerate().map(|(at, removal)| PartPlan {
            mark: format!("P{}", at + 1),
            stretches: self.stretches(web, part, removal.part, &joinings),
            nodes: web
                .atoms
                .iter()
                .zip(part)
                .filter(|(_, p)| **p == removal.part)
                .flat_map(|(a, _)| a.nodes.clone())
                .collect(),
            put_in: removal.way.map(|way| -way),
            aside: removal.aside.map(|way| -way),
        });
        let mut touching: Vec<usize> = apart.touching.iter().map(|p| place(*p)).collect();
        touching.sort_unstable();
        Ok(Division { parts: parts.collect(), joinings, touching })
    }

    fn thin(&self, cut: &Candidate, missing: f64) -> Fault {
        let strand = &self.header.strands[cut.strand];
        Fault::TubeTooThin { run: strand.name.clone(), at: cut.station - strand.origin, missing }
    }

    /// A part's lengths of strands, joined where no cut is left between two.
    fn stretches(&self, web: &Web, part: &[usize], which: usize, joinings: &[Joining]) -> Vec<Stretch> {
        let atoms = web.atoms.iter().zip(part).filter(|(_, p)| **p == which);
        let mut lengths: Vec<(usize, f64, f64)> =
            atoms.flat_map(|(a, _)| a.lengths.iter().copied()).collect();
        lengths.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let at = |strand: usize, station: f64| {
            joinings.iter().position(|j| j.strand == strand && j.station == station)
        };
        let mut stretches: Vec<Stretch> = Vec::new();
        for (strand, from, to) in lengths {
            match stretches.last_mut() {
                Some(last) if last.strand == strand && last.to == from => last.to = to,
                _ => stretches.push(Stretch { strand, from, to, start: None, end: None }),
            }
        }
        for stretch in &mut stretches {
            stretch.start = at(stretch.strand, stretch.from);
            stretch.end = at(stretch.strand, stretch.to);
        }
        stretches
    }
}

/// What a node is, in words.
fn node_words(node: &Node) -> String {
    let kind = match node.kind {
        NodeKind::Flange(..) => "flange",
        NodeKind::Merge(_) => "merge",
        NodeKind::Branch(_) => "branch",
        NodeKind::Bung(_) => "bung",
        NodeKind::End(..) => "end of run",
    };
    format!("{kind} {}", node.name)
}

/// Lengths of strands below this are not named as too long, mm.
const LEAST_LENGTH: f64 = 20.0;
