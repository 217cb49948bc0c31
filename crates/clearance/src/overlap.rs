//! Parts that may touch, and reach into each other all the same: at the ports and flanges, cold and at rest.
//!
//! Where parts are meant to meet no distance is wanted of them, so that no row tells of them. There each is drawn in a
//! little on all sides; what still meets then reaches in by more than a touch.

use distance::Solid;
use geom::DVec3;
use layout::Transition;
use layout::flange_plate::PlateOf;
use spec::design::{From, To};
use spec::{Finding, Level};

use crate::against::{Against, STEP};
use crate::header::Header;
use crate::meeting::{Lead, Meeting, Member};
use crate::shell;
use crate::slice::{Slice, drawn_in, slices};
use crate::subject::Kind;

/// A part that reaches into something that it may touch.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlap {
    /// The part in words: flange left.
    pub words: String,
    /// The other in words: flange right, or an obstacle's name.
    pub other: String,
    /// How far it reaches in at least, mm: more than that.
    pub by: f64,
    /// Where, mm.
    pub at: DVec3,
}

/// Parts of the header that reach into each other by no more than this touch, mm: a plate's shell is up to 0.01 mm
/// too large.
const OWN: f64 = 0.1;

/// The engine's fixed metal may reach into what is bolted on it by this, mm: what a scan is off (common practice, no
/// source).
const BOLTED: f64 = 1.0;

/// Bodies that are this near meet, mm.
const MEET: f64 = 1e-6;

/// How near to its depth the search for it comes, mm.
const FINE: f64 = 0.05;

/// The parts of the header at each port and flange that reach into each other, though they may touch.
pub(crate) fn among(header: &Header) -> Vec<Overlap> {
    let mut found = Vec::new();
    for meeting in header.meetings.iter().filter(|meeting| meeting.mates) {
        let members: Vec<(usize, Vec<Slice>)> = meeting
            .members
            .iter()
            .map(|member| (member.subject, touching(header, meeting, member)))
            .collect();
        for (k, (a, first)) in members.iter().enumerate() {
            for (b, second) in &members[k + 1..] {
                if !together(header, header.subjects[*a].kind, header.subjects[*b].kind) {
                    found.extend(overlap(header, (*a, first), (*b, second)));
                }
            }
        }
    }
    found
}

/// The parts that are bolted to an obstacle and reach into it.
pub(crate) fn into(header: &Header, against: &Against) -> Vec<Overlap> {
    if !against.bolted() {
        return Vec::new();
    }
    let mates = header.meetings.iter().filter(|meeting| meeting.mates);
    let members = mates.flat_map(|meeting| meeting.members.iter().map(move |member| (meeting, member)));
    let into = |(meeting, member): (&Meeting, &Member)| {
        let subject = &header.subjects[member.subject];
        if on_host(header, subject.kind, member.lead) {
            return None;
        }
        let touching = touching(header, meeting, member);
        let solids = touching.iter().filter_map(|slice| drawn(header, subject.kind, slice, BOLTED));
        let solids: Vec<Solid> = solids.collect();
        let found = against.barrier.nearest_but(&solids, MEET, |at| in_hole(header, subject.kind, at));
        let swallowed = || against.barrier.swallows(&solids, true).is_some_and(|inside| inside.sure);
        let at = match found {
            Some(found) => found.near.there,
            None if swallowed() => crate::obstacle::middle(solids.first()?),
            None => return None,
        };
        Some(Overlap { words: subject.words(), other: against.obstacle.name.clone(), by: BOLTED, at })
    };
    members.filter_map(into).collect()
}

/// The lengths of a member that may touch others at a meeting.
fn touching(header: &Header, meeting: &Meeting, member: &Member) -> Vec<Slice> {
    let mut cuts = meeting.cuts(member, STEP);
    cuts.sort_by(f64::total_cmp);
    let bodies = header.subjects[member.subject].bodies.iter().enumerate();
    let all = bodies.flat_map(|(index, body)| slices(body, index, &cuts));
    all.filter(|slice| meeting.share(member, slice.line) <= 0.0).collect()
}

/// Where two subjects reach into each other, and by how much.
fn overlap(header: &Header, a: (usize, &[Slice]), b: (usize, &[Slice])) -> Option<Overlap> {
    let kinds = [a.0, b.0].map(|subject| header.subjects[subject].kind);
    let meet = |by: f64| {
        let [first, second] = [(kinds[0], a.1), (kinds[1], b.1)].map(|(kind, slices)| {
            let solids = slices.iter().filter_map(|slice| drawn(header, kind, slice, 0.5 * by));
            solids.collect::<Vec<Solid>>()
        });
        let mut pairs = first.iter().flat_map(|one| second.iter().map(move |other| (one, other)));
        pairs.find_map(|(one, other)| {
            let apart = one.bounds().distance(&other.bounds());
            // A tube is asked of a shell, not the other way round.
            let turned = matches!(one, Solid::Shell(_));
            let (one, other) = if turned { (other, one) } else { (one, other) };
            if apart > MEET { None } else { one.to_solid_below(other, MEET) }
        })
    };
    let mut at = meet(OWN)?.there;
    let (mut low, mut high) = (OWN, 2.0 * OWN);
    while let Some(near) = meet(high) {
        (low, high, at) = (high, 2.0 * high, near.there);
    }
    while high - low > FINE {
        let middle = 0.5 * (low + high);
        match meet(middle) {
            Some(near) => (low, at) = (middle, near.there),
            None => high = middle,
        }
    }
    let [words, other] = [a.0, b.0].map(|subject| header.subjects[subject].words());
    Some(Overlap { words, other, by: low, at })
}

/// A length of a subject drawn in by `by` mm on all sides; a plate and a transition across the gas by no more than
/// [`BOLTED`]. `None` where nothing is left.
fn drawn(header: &Header, kind: Kind, slice: &Slice, by: f64) -> Option<Solid> {
    let ends = by.min(BOLTED);
    match kind {
        Kind::Flange(index) => {
            let plate = &header.layout.plates[index];
            let mut part = plate.parts[slice.body].clone();
            // An outline with edges too short for that is taken as it is, where it is about a touch.
            let outer = &part.outline.outer;
            part.outline.outer = match outer.offset(-by) {
                Ok(inner) => inner,
                Err(_) if by <= BOLTED => outer.clone(),
                Err(_) => return None,
            };
            let [face, back] = plate.reach;
            let ends = ends.min(0.45 * (back - face).abs()) * (back - face).signum();
            let mut thin = plate.clone();
            thin.reach = [face + ends, back - ends];
            Some(shell::plate(&thin, &part))
        }
        Kind::Transition(index) => {
            let transition = &header.layout.transitions[index];
            let rings = transition.rings.clone().map(|ring| {
                let middle = ring.iter().copied().sum::<plate::DVec2>() / ring.len() as f64;
                ring.into_iter().map(|p| p - (p - middle).clamp_length_max(by)).collect()
            });
            let frame = transition.frame.advanced(ends);
            let length = transition.length - 2.0 * ends;
            Some(shell::transition(&Transition { rings, frame, length, ..transition.clone() }))
        }
        _ => drawn_in(&slice.solid, by),
    }
}

/// Whether a place is in a hole or an opening of a plate: a stud, or what the gas flows through.
fn in_hole(header: &Header, kind: Kind, at: DVec3) -> bool {
    let Kind::Flange(index) = kind else { return false };
    let plate = &header.layout.plates[index];
    let off = at - plate.frame.at;
    let flat = plate::DVec2::new(off.dot(plate.frame.inside), off.dot(plate.frame.side()));
    let holes = plate.holes.iter().map(|hole| &hole.through);
    holes.chain(plate.openings.iter().map(|opening| &opening.through)).any(|hole| hole.contains(flat))
}

/// The run that a run's tubes or a bought part belongs to.
fn run_of(header: &Header, kind: Kind) -> Option<usize> {
    match kind {
        Kind::Run(run) => Some(run),
        Kind::Fitting(piece) => header.layout.runs.iter().position(|run| run.pieces.contains(&piece)),
        _ => None,
    }
}

/// Whether it is the end of a run that is fitted onto a host: that is in it by its saddle.
fn on_host(header: &Header, kind: Kind, lead: Lead) -> bool {
    let run = run_of(header, kind).filter(|_| matches!(lead, Lead::Up(_)));
    run.is_some_and(|run| matches!(header.design.runs[run].to, To::Host(_)))
}

/// Whether two parts are made to stand in each other: a run, its flanges' plates and transitions.
fn together(header: &Header, a: Kind, b: Kind) -> bool {
    let flanges = |kind: Kind| match kind {
        Kind::Flange(plate) => match header.layout.plates[plate].of {
            PlateOf::Flange(flange) => vec![flange],
            PlateOf::Merge(_) => Vec::new(),
        },
        Kind::Transition(index) => vec![header.layout.transitions[index].flange],
        _ => run_of(header, kind).map_or_else(Vec::new, |run| flanges_of(header, run)),
    };
    let run = |kind: Kind| match kind {
        Kind::Transition(index) => Some(header.layout.transitions[index].run),
        _ => run_of(header, kind),
    };
    match (run(a), run(b)) {
        (Some(a), Some(b)) => a == b,
        _ => flanges(a).iter().any(|flange| flanges(b).contains(flange)),
    }
}

/// The flanges that a run begins or ends in.
fn flanges_of(header: &Header, run: usize) -> Vec<usize> {
    let design = header.design;
    let begin = match design.runs[run].from {
        From::Port(port) => design.flanges.iter().position(|flange| flange.ports.contains(&port)),
        _ => None,
    };
    let end = match design.runs[run].to {
        To::Flange(flange) => Some(flange),
        _ => None,
    };
    begin.into_iter().chain(end).collect()
}

impl Overlap {
    /// A failure: both cannot be there.
    pub(crate) fn finding(&self, header: &Header) -> Finding {
        let units = header.design.units;
        let [x, y, z] = self.at.to_array().map(|mm| units.written(mm));
        let message = format!(
            "{} reaches more than {} into {}, at x {x}, y {y}, z {z}: there they may touch, and no more; make it smaller, \
             or move one of them",
            self.words,
            units.written(self.by),
            self.other
        );
        Finding {
            level: Level::Failure,
            code: "overlap",
            place: format!("{}, {}", self.words, self.other),
            message,
            value: Some(-self.by),
            limit: Some(0.0),
        }
    }
}
