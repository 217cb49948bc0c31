//! Where a strand may be cut.

use std::f64::consts::FRAC_PI_4;

use geom::{DVec3, Frame};
use spec::shop::Printer;
use tube::cut::Shape;
use tube::{Cut, End};

use crate::balls::{self, Ball};
use crate::keyed::{Keyed, room};
use crate::node::Node;
use crate::sections::{Course, narrowest};
use crate::strand::Strand;
use crate::variant::{FLOOR, mitres};

/// A place where a strand may be cut.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Candidate {
    /// Index of the strand.
    pub strand: usize,
    /// Where, mm.
    pub station: f64,
    /// Index of the steel's joint there.
    pub steel: Option<usize>,
    /// Whether it stands in a bend.
    pub in_bend: bool,
    /// Which end would carry the spigot.
    pub spigot: End,
    /// The point of the strand there.
    pub at: DVec3,
    /// Direction of the strand there, downstream.
    pub along: DVec3,
    /// Clock of the rib: the inside of a bend, where most wall is left, else the scribe line.
    pub clock: f64,
    /// The radius that its spigot and socket have at least, mm.
    pub radius: f64,
    /// Points around the tip of its spigot.
    pub tip: Vec<DVec3>,
    /// Radius and length of its spigot's pin, were it not to lean.
    pin: [f64; 2],
}

impl Candidate {
    /// Balls within its spigot, however much it leans: it keeps half its radius at least.
    pub(crate) fn pin_balls(&self) -> Vec<Ball> {
        let way = if self.spigot == End::End { self.along } else { -self.along };
        let frame_at = |station: f64| {
            let side = way.any_orthonormal_vector();
            Frame { at: self.at + way * station, along: way, inside: side }
        };
        balls::tube(frame_at, |_| 0.5 * self.pin[0], [0.0, self.pin[1]])
    }
}

/// The places of one strand, and what was in the way of others.
#[derive(Clone, Debug, Default)]
pub(crate) struct Places {
    /// The places, by station.
    pub places: Vec<Candidate>,
    /// Straights that are free of bends and keeps, from and to, mm.
    pub free: Vec<(f64, f64)>,
    /// Stations at which the tube is too thin for a joint, and how much diameter is missing, mm.
    pub thin: Vec<(f64, f64)>,
}

/// A strand while its places are looked for.
pub(crate) struct Ground<'a> {
    index: usize,
    strand: &'a Strand,
    course: &'a Course,
    printer: &'a Printer,
    /// Not to be cut, from and to.
    kept: Vec<(f64, f64)>,
    /// How much of the strand a socket takes.
    need: f64,
}

impl<'a> Ground<'a> {
    pub(crate) fn new(
        index: usize,
        strand: &'a Strand,
        course: &'a Course,
        nodes: &[Node],
        printer: &'a Printer,
    ) -> Ground<'a> {
        let holds = nodes.iter().flat_map(|n| &n.holds).filter(|h| h.strand == index);
        let keeps = strand.keeps.iter().map(|k| (k.from, k.to));
        let mut kept: Vec<(f64, f64)> = keeps.chain(holds.map(|h| (h.from, h.to))).collect();
        kept.extend(mitres(strand).into_iter().map(|[from, to]| (from, to)));
        let length = strand.line.length();
        kept.push((f64::NEG_INFINITY, end_margin(&strand.ends[0], strand)));
        kept.push((length - end_margin(&strand.ends[1], strand), f64::INFINITY));
        Ground { index, strand, course, printer, kept, need: socket_need(printer) }
    }

    /// The places on straights: at the steel's joints, then near the ends of every free straight and along it; where
    /// room is tight, before all others at its very ends, with the socket on the straight, first at the end that is told.
    pub(crate) fn on_straights(&self, tight: Option<End>) -> Places {
        let mut found = Places { free: self.free(), ..Places::default() };
        let long: Vec<(f64, f64)> = found.free.iter().copied().filter(|(a, b)| b - a >= self.need).collect();
        for (&(from, to), first) in long.iter().flat_map(|straight| tight.map(|first| (straight, first))) {
            let mut ends = [(from, End::End), (to, End::Start)];
            // Where there is room for one of the two only, the one beside what is kept.
            let kept = self.kept.iter().any(|k| k.0 == to);
            if kept != (first == End::End) {
                ends.reverse();
            }
            for (station, spigot) in ends {
                self.put(&mut found, station, spigot, self.steel_at(station));
            }
        }
        for (steel, joint) in self.strand.joints.iter().enumerate() {
            let ways = [(End::End, joint.station), (End::Start, joint.station)];
            let fits = ways.into_iter().find(|(spigot, station)| self.within(&long, *station, *spigot));
            if let Some((spigot, station)) = fits {
                self.put(&mut found, station, spigot, Some(steel));
            }
        }
        for (from, to) in long {
            let slack = to - from - self.need;
            let margin = AWAY.min(0.5 * slack);
            let steps = (slack / EVERY).ceil().max(1.0);
            for step in 0..=steps as usize {
                let station = from + margin + (slack - 2.0 * margin) * step as f64 / steps;
                self.put(&mut found, station, End::End, None);
            }
        }
        found.places.sort_by(|a, b| a.station.total_cmp(&b.station));
        found
    }

    /// The steel's joint at `station`.
    fn steel_at(&self, station: f64) -> Option<usize> {
        self.strand.joints.iter().position(|j| (j.station - station).abs() < NEAR)
    }

    /// Places in bends, between `from` and `to`, that keep clear of `taken`.
    pub(crate) fn in_bends(&self, from: f64, to: f64, taken: &Places) -> Places {
        let mut found = taken.clone();
        for span in self.course.spans().iter().filter(|s| s.is_arc() && !s.is_mitre()) {
            let steps = ((span.to - span.from) / self.need).floor().max(1.0);
            for step in 0..=steps as usize {
                let station = span.from + (span.to - span.from) * step as f64 / steps;
                let clear = !self.kept.iter().any(|k| k.0 < station + self.need && k.1 > station);
                let mitred = self
                    .course
                    .spans()
                    .iter()
                    .any(|s| s.is_mitre() && s.from > station - AWAY && s.from < station + self.need);
                if station > from && station < to && clear && !mitred {
                    self.put(&mut found, station, End::End, None);
                }
            }
        }
        found.places.sort_by(|a, b| a.station.total_cmp(&b.station));
        found
    }

    /// Straights less what is kept.
    fn free(&self) -> Vec<(f64, f64)> {
        let mut free: Vec<(f64, f64)> = Vec::new();
        for span in self.course.spans().iter().filter(|s| !s.is_arc()) {
            match free.last_mut() {
                Some(last) if last.1 == span.from && !self.turns_at(span.from) => last.1 = span.to,
                _ => free.push((span.from, span.to)),
            }
        }
        for &(from, to) in &self.kept {
            let less = |(a, b): (f64, f64)| [(a, b.min(from)), (a.max(to), b)];
            let apart = |r: &(f64, f64)| r.1 <= from || r.0 >= to;
            free = free.into_iter().flat_map(|r| if apart(&r) { [r, (0.0, 0.0)] } else { less(r) }).collect();
            free.retain(|(a, b)| b > a);
        }
        free.sort_by(|a, b| a.0.total_cmp(&b.0));
        free
    }

    fn turns_at(&self, station: f64) -> bool {
        self.course.spans().iter().any(|s| s.is_mitre() && s.from == station)
    }

    /// Whether a socket at `station` lies on one of the `free` straights.
    fn within(&self, free: &[(f64, f64)], station: f64, spigot: End) -> bool {
        let (from, to) = self.reach(station, spigot);
        free.iter().any(|(a, b)| from >= a - NEAR && to <= b + NEAR)
    }

    /// The length of the strand that a socket takes.
    fn reach(&self, station: f64, spigot: End) -> (f64, f64) {
        match spigot {
            End::End => (station, station + self.need),
            End::Start => (station - self.need, station),
        }
    }

    /// Adds a place where it is far enough from those found and the tube is thick enough.
    fn put(&self, found: &mut Places, station: f64, spigot: End, steel: Option<usize>) {
        let (from, to) = self.reach(station, spigot);
        let near = |c: &Candidate| {
            let other = self.reach(c.station, c.spigot);
            (station - c.station).abs() < APART || from.max(other.0) < to.min(other.1) + BETWEEN
        };
        if found.places.iter().any(near) {
            return;
        }
        let socket = if spigot == End::End { End::Start } else { End::End };
        let (line, outside) = (&self.strand.line, &self.strand.outside);
        let deep = room(line, outside, station, socket, self.printer.spigot + self.printer.fit_gap);
        let radius = deep.min(narrowest(outside, from - ROOT, to + ROOT));
        let bend =
            self.course.spans().iter().find(|s| s.is_arc() && s.from < to - NEAR && s.to > from + NEAR);
        let (in_bend, clock) = (bend.is_some(), bend.map_or(0.0, |s| s.plane));
        let keyed = match Keyed::fitting(radius, clock, 0.0, self.printer) {
            Ok(keyed) => keyed,
            Err(missing) => {
                found.thin.push((station, missing));
                return;
            }
        };
        let frame = self.course.frame_at(station);
        let out = if spigot == End::End { keyed.length } else { -keyed.length };
        let tip = (0..8).map(|k| frame.point(out, f64::from(k) * FRAC_PI_4, keyed.reach())).collect();
        let (strand, at, along) = (self.index, frame.at, frame.along);
        let pin = [keyed.radius, keyed.length];
        found.places.push(Candidate {
            pin,
            strand,
            station,
            steel,
            in_bend,
            spigot,
            at,
            along,
            clock,
            radius,
            tip,
        });
    }
}

/// How much of a strand a socket takes, with its floor, mm.
pub(crate) fn socket_need(printer: &Printer) -> f64 {
    printer.spigot + printer.fit_gap + FLOOR
}

/// How far from a strand's end it may be cut: further where that end is not square.
fn end_margin(cut: &Cut, strand: &Strand) -> f64 {
    match cut.shape {
        Shape::Square => APART,
        _ => APART + 2.0 * strand.outside.points.iter().map(|p| p.1).fold(0.0, f64::max),
    }
}

/// Two stations within this are one, mm.
const NEAR: f64 = 1e-6;

/// The least distance of two cuts, and of a cut from a strand's end, mm.
const APART: f64 = 10.0;

/// What is left between two sockets, mm.
const BETWEEN: f64 = 2.0;

/// How far from bends and keeps a cut stands where there is room, mm.
const AWAY: f64 = 3.0;

/// Along a free straight there is a place at least so often, mm.
const EVERY: f64 = 50.0;

/// So far beyond a cut the spigot is rooted, mm.
const ROOT: f64 = 2.0;
