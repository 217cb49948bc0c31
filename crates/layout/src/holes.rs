//! Holes in the pieces that branches and bungs go through.

use geom::Frame;
use spec::Design;
use spec::design::{On, Set};
use tube::{Body, End, Hole, HoleFault, Piece};

use crate::interruptions::TOUCHING;
use crate::layout::{Fault, Make, Merge, Part, Place, Run};
use crate::through::{Root, Through, host_name, host_words};

/// Cuts holes one after the other, so that each is held against those before it.
pub(crate) struct Driller<'a> {
    pub design: &'a Design,
    pub runs: &'a [Run],
    pub merges: &'a [Merge],
    pub pieces: &'a mut Vec<Part>,
    /// What stands on each piece's wall so far: piece, name, outline on its outside.
    pub outlines: Vec<(usize, String, Hole)>,
}

/// Stations and axes that are this near to each other are the same, mm.
const SAME: f64 = 1e-6;

impl Driller<'_> {
    /// Cuts the hole of `through` into the piece that it goes through.
    ///
    /// Errors: no single wall there; over a joint, a bend, a seam or another hole, with the distance that
    /// is missing.
    pub fn drill(&mut self, through: &Through, root: &Root) -> Result<Place, Fault> {
        let (host, station) = self.host(through, root)?;
        let piece = &self.pieces[host].piece;
        self.check_size(through, host, (root, station))?;
        let side = root.wall.frame_at(root.station).outward(root.hole.clock);
        let clock = piece.frame_at(station).clock_of(side);
        let hole = Hole { clock, ..root.hole }.piercing_at(piece, station);
        let outline = match through.set {
            Set::On => Hole { radius: through.radii[0], ..hole },
            Set::In => hole,
        };
        self.check_edges(through, host, hole, outline)?;
        self.check_neighbours(through, host, outline)?;
        self.check_covers(through, host, station, outline)?;
        self.outlines.push((host, through.what.clone(), outline));
        self.pieces[host].piece.holes.push(hole);
        Ok(Place {
            host,
            hole: self.pieces[host].piece.holes.len() - 1,
            at: through.at,
            clock: geom::angle::wrap_turn(root.hole.clock),
            angle: through.angle,
            offset: through.offset,
            set: through.set,
            frame: root.frame,
        })
    }

    /// The piece that it goes through, and the station on it at which its axis pierces the outside.
    fn host(&self, through: &Through, root: &Root) -> Result<(usize, f64), Fault> {
        let axis = root.wall.frame_at(root.station);
        let own: Vec<usize> = match through.on {
            On::Run(run) => self.runs[run].pieces.clone(),
            On::Leg { merge, leg } => self.merges[merge].legs.get(leg).map(|l| l.piece).into_iter().collect(),
            On::Cone(merge) => self.merges[merge].cone.into_iter().collect(),
        };
        let found = |i: usize| Some((i, station_on(&self.pieces[i].piece, axis)?));
        let found: Vec<(usize, f64)> = own.into_iter().filter_map(found).collect();
        let is_tube = |(piece, _): &&(usize, f64)| !matches!(self.pieces[*piece].make, Make::Whole(_));
        if let Some(tube) = found.iter().find(is_tube) {
            return Ok(*tube);
        }
        let message = match found.first() {
            Some((part, _)) => format!("stands on `{}`, which is bought whole", self.pieces[*part].mark),
            None => {
                let words = host_words(self.design, through.on);
                format!("{words} has no tube of its own at {:.2} mm", through.at)
            }
        };
        Err(through.fault(".at", "no-wall", message, "move it off the fitting, onto the tube"))
    }

    /// Holds the piece's outside against that of its run: where an end is formed they differ.
    fn check_size(&self, through: &Through, host: usize, (root, station): (&Root, f64)) -> Result<(), Fault> {
        let part = &self.pieces[host];
        let (is, run) = (part.piece.outer_radius(station), root.wall.outer_radius(root.station));
        if (is - run).abs() < SAME {
            return Ok(());
        }
        let message =
            format!("stands where `{}` is formed to {:.2} mm outside diameter", part.mark, 2.0 * is);
        Err(through.fault(".at", "no-wall", message, "move it off the formed end, onto the plain tube"))
    }

    /// Holds it against the ends, bends and seams of its host.
    fn check_edges(&self, through: &Through, host: usize, hole: Hole, outline: Hole) -> Result<(), Fault> {
        let piece = &self.pieces[host].piece;
        let mut faults = hole.faults(piece, &[0.0, 1.0]);
        if through.set == Set::On {
            faults.extend(outline.faults(piece, &[1.0]));
        }
        let worst = faults.into_iter().max_by(|a, b| missing(*a).total_cmp(&missing(*b)));
        let Some(fault) = worst else { return Ok(()) };
        let (mark, on) = (&self.pieces[host].mark, host_words(self.design, through.on));
        let (code, message) = match fault {
            HoleFault::IntoBend { by } if by < TOUCHING => ("into-bend", format!("touches a bend of {on}")),
            HoleFault::IntoBend { by } => {
                let by = up(by);
                ("into-bend", format!("reaches into a bend of {on}: {by:.2} mm of straight are missing"))
            }
            HoleFault::OverEnd { end, by } => {
                let end = if end == End::Start { "start" } else { "end" };
                ("over-joint", format!("{} the {end} of piece `{mark}` of {on}", reaches(by)))
            }
            HoleFault::IntoSeam { by } => {
                ("over-joint", format!("{} the seam of {on} with its neighbour", reaches(by)))
            }
            HoleFault::TooWide { largest } => {
                ("too-wide", format!("is too wide for {on}: the largest radius that fits is {largest:.2} mm"))
            }
            HoleFault::TooShallow { .. } => ("too-flat", format!("leans so far that it never leaves {on}")),
            HoleFault::Overlaps { by, .. } => ("over-hole", overlaps("another hole", by)),
        };
        Err(through.fault(".at", code, message, &mend("move it away", missing(fault))))
    }

    /// Holds it against what stands on the same piece already.
    fn check_neighbours(&self, through: &Through, host: usize, outline: Hole) -> Result<(), Fault> {
        for (_, other, standing) in self.outlines.iter().filter(|(piece, ..)| *piece == host) {
            if let Some(by) = outline.overlap(standing, &self.pieces[host].piece) {
                let message = format!("{} along {}", overlaps(other, by), host_name(self.design, through.on));
                return Err(through.fault(".at", "over-hole", message, &mend("move the two apart", by)));
            }
        }
        Ok(())
    }

    /// Holds it against other parts on the host's axis that cover its wall: sleeves, fittings.
    fn check_covers(&self, through: &Through, host: usize, station: f64, outline: Hole) -> Result<(), Fault> {
        let piece = &self.pieces[host].piece;
        let axis = piece.frame_at(station);
        let (first, last) = outline.stations(piece, 1.0);
        let others = self.pieces.iter().enumerate().filter(|(i, _)| *i != host);
        for (part, (from, to)) in others.flat_map(|(_, part)| stretches_on(part, axis)) {
            let by = to.min(last - station) - from.max(first - station);
            if by > SAME {
                let message = format!("{} `{}`, which covers the wall there", reaches(by), part.mark);
                return Err(through.fault(".at", "over-joint", message, &mend("move it away", by)));
            }
        }
        Ok(())
    }
}

/// How far something reaches over what follows.
fn reaches(by: f64) -> String {
    if by < TOUCHING { "touches".to_owned() } else { format!("reaches {:.2} mm over", up(by)) }
}

fn overlaps(other: &str, by: f64) -> String {
    if by < TOUCHING { format!("touches {other}") } else { format!("overlaps {other} by {:.2} mm", up(by)) }
}

/// Up to the next 0.01 mm: to move by what is printed has to be enough.
fn up(mm: f64) -> f64 {
    (100.0 * mm - 1e-6).ceil() / 100.0
}

/// What to do where two things are `by` mm into each other.
fn mend(how: &str, by: f64) -> String {
    if by < TOUCHING {
        format!("{how}, so that metal is left between")
    } else {
        format!("{how} by that much at least")
    }
}

/// What a fault lacks, mm.
fn missing(fault: HoleFault) -> f64 {
    match fault {
        HoleFault::IntoBend { by }
        | HoleFault::OverEnd { by, .. }
        | HoleFault::IntoSeam { by }
        | HoleFault::Overlaps { by, .. } => by,
        HoleFault::TooWide { .. } | HoleFault::TooShallow { .. } => f64::INFINITY,
    }
}

/// The straights of a piece: frame at the beginning, station there, length.
fn straights(piece: &Piece) -> Vec<(Frame, f64, f64)> {
    match &piece.body {
        Body::Cone { frame, length, .. } => vec![(*frame, 0.0, *length)],
        Body::Tube { centreline, .. } => {
            let spans = centreline.spans().into_iter().filter(|span| !span.is_arc());
            spans.map(|span| (span.frame, span.from, span.to - span.from)).collect()
        }
    }
}

/// Whether a point and a direction lie on an axis.
fn on_axis(frame: Frame, axis: Frame) -> bool {
    let away = axis.at - frame.at;
    frame.along.cross(away).length() < SAME && frame.along.cross(axis.along).length() < SAME
}

/// The station on a piece's straight at which `axis` stands.
fn station_on(piece: &Piece, axis: Frame) -> Option<f64> {
    straights(piece).into_iter().find_map(|(frame, from, length)| {
        let along = (axis.at - frame.at).dot(frame.along);
        (on_axis(frame, axis) && (-SAME..=length + SAME).contains(&along)).then_some(from + along)
    })
}

/// The part, and where its straights on `axis` begin and end along it, mm from it.
fn stretches_on(part: &Part, axis: Frame) -> Vec<(&Part, (f64, f64))> {
    let on = straights(&part.piece).into_iter().filter(|(frame, ..)| on_axis(*frame, axis));
    let ends = on.map(|(frame, _, length)| {
        [0.0, length].map(|station| (frame.advanced(station).at - axis.at).dot(axis.along))
    });
    ends.map(|[a, b]| (part, (a.min(b), a.max(b)))).collect()
}
