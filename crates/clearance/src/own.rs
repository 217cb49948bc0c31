//! A header's subjects against each other, and a run against itself.

use distance::{Bounds, Near, Solid};

use crate::against::STEP;
use crate::body::Axis;
use crate::clearance::Row;
use crate::header::{Header, bounds};
use crate::meeting::{TAPER, share};
use crate::slice::{Slice, slices};
use crate::state::State;
use crate::subject::Kind;

/// Rows are told of what has less room than this beyond what is wanted, mm.
pub const SHOWN: f64 = 20.0;

/// A header's subjects, cut where they meet.
pub(crate) struct Own<'a> {
    header: &'a Header<'a>,
    subjects: Vec<Vec<Length>>,
    boxes: Vec<Bounds>,
}

/// A length of a subject.
struct Length {
    slice: Slice,
    /// What share of the distance is wanted of it, at each place at which its subject meets others.
    shares: Vec<(usize, f64)>,
    /// Cold and hot.
    solids: [Solid; 2],
    boxes: [Bounds; 2],
}

/// The nearest of two subjects' lengths so far.
struct Nearest<'a> {
    lengths: [&'a Length; 2],
    near: Near,
    wanted: f64,
    hot: bool,
}

impl<'a> Own<'a> {
    /// The subjects of a header, cut.
    pub fn of(header: &'a Header<'a>) -> Own<'a> {
        let subjects: Vec<Vec<Length>> = (0..header.subjects.len()).map(|s| lengths(header, s)).collect();
        let all = |lengths: &Vec<Length>| bounds(lengths.iter().flat_map(|l| &l.solids));
        let boxes = subjects.iter().map(all).collect();
        Own { header, subjects, boxes }
    }

    /// Every two subjects that may come near to each other, and each run with itself.
    pub fn pairs(&self) -> Vec<[usize; 2]> {
        let reach = SHOWN + self.apart();
        let count = self.subjects.len();
        let is_run = |s: usize| matches!(self.header.subjects[s].kind, Kind::Run(_));
        let pairs = (0..count).flat_map(|a| (a..count).map(move |b| [a, b]));
        pairs
            .filter(|&[a, b]| if a == b { is_run(a) } else { self.boxes[a].distance(&self.boxes[b]) < reach })
            .collect()
    }

    fn apart(&self) -> f64 {
        self.header.design.shop.clearance.tubes
    }

    /// How near two subjects come to each other, where they are not meant to: the row of least margin, if that
    /// is less than [`SHOWN`].
    pub fn row(&self, [a, b]: [usize; 2]) -> Option<Row> {
        let mut best: Option<Nearest> = None;
        for (index, first) in self.subjects[a].iter().enumerate() {
            let others = if a == b { &self.subjects[b][index + 1..] } else { &self.subjects[b][..] };
            for second in others {
                let wanted = self.apart() * self.share(first, second);
                if wanted <= 0.0 {
                    continue;
                }
                for hot in [false, true] {
                    let margin = best.as_ref().map_or(SHOWN, |best| best.near.distance - best.wanted);
                    let near = between([first, second], hot, margin + wanted);
                    if let Some(near) = near {
                        best = Some(Nearest { lengths: [first, second], near, wanted, hot });
                    }
                }
            }
        }
        best.map(|best| self.told([a, b], &best))
    }

    fn told(&self, [a, b]: [usize; 2], best: &Nearest) -> Row {
        let header = self.header;
        let state = State { hot: best.hot, ..State::COLD };
        let slice = &best.lengths[0].slice;
        let place = header.place((a, slice.body), &best.near, slice.line.map(|l| l.from), &state);
        let cold =
            between(best.lengths, false, f64::INFINITY).map_or(best.near.distance, |near| near.distance);
        Row {
            subject: header.subjects[a].name.clone(),
            kind: header.subjects[a].kind,
            against: header.subjects[b].name.clone(),
            other: Some(header.subjects[b].kind),
            class: None,
            distance: best.near.distance,
            required: best.wanted,
            at: best.near.on,
            there: best.near.there,
            station: place.map(|p| p.0),
            clock: place.map(|p| p.1),
            state,
            cold,
            within: 0.0,
            inside: false,
            around: false,
            rays: None,
            behind: false,
            on_rim: false,
        }
    }

    /// What share of the distance is wanted between two lengths: 0 where they are meant to touch.
    fn share(&self, a: &Length, b: &Length) -> f64 {
        if let Some(share) = self.along_one_run(a, b) {
            return share;
        }
        let common = a.shares.iter().filter_map(|(place, share)| {
            let other = b.shares.iter().find(|(other, _)| other == place)?;
            Some(share.max(other.1))
        });
        common.fold(1.0, f64::min)
    }

    /// The share wanted between two lengths of one run: it grows with the way between them along it; lengths
    /// with at most one bend at and between them are never near by fault.
    fn along_one_run(&self, a: &Length, b: &Length) -> Option<f64> {
        let (a, b) = (a.slice.line?, b.slice.line?);
        let Axis::Run(run) = a.axis else { return None };
        if b.axis != a.axis {
            return None;
        }
        let (first, last) = if a.from <= b.from { (a, b) } else { (b, a) };
        let run = &self.header.layout.runs[run];
        let bends = run.bends().into_iter().filter(|(from, to)| *to > first.from && *from < last.to).count();
        let widest = run.sections.iter().map(|s| s.section.od).fold(0.0, f64::max);
        let share = share(last.from - first.to, TAPER * widest);
        Some(if bends < 2 { 0.0 } else { share })
    }
}

/// A subject, cut where it meets others.
fn lengths(header: &Header, subject: usize) -> Vec<Length> {
    let places = header.meetings.iter().enumerate().flat_map(|(place, meeting)| {
        let own = meeting.members.iter().filter(move |member| member.subject == subject);
        own.map(move |member| (place, meeting, member))
    });
    let places: Vec<_> = places.collect();
    let mut cuts: Vec<f64> =
        places.iter().flat_map(|(_, meeting, member)| meeting.cuts(member, STEP)).collect();
    cuts.sort_by(f64::total_cmp);
    let bodies = header.subjects[subject].bodies.iter().enumerate();
    let length = |slice: Slice| {
        let hot = slice.solid.carried(&header.growth.bodies[subject][slice.body]);
        let shares =
            places.iter().map(|(place, meeting, member)| (*place, meeting.share(member, slice.line)));
        let shares = shares.collect();
        let solids = [slice.solid.clone(), hot];
        let boxes = [solids[0].bounds(), solids[1].bounds()];
        Length { slice, shares, solids, boxes }
    };
    bodies.flat_map(|(index, body)| slices(body, index, &cuts)).map(length).collect()
}

/// The distance between two lengths, if it is less than `below` mm.
fn between([a, b]: [&Length; 2], hot: bool, below: f64) -> Option<Near> {
    let state = usize::from(hot);
    let boxes = a.boxes[state].distance(&b.boxes[state]);
    if boxes > 0.0 && boxes >= below {
        return None;
    }
    let (first, second) = (&a.solids[state], &b.solids[state]);
    // A tube is asked of a shell, not the other way round.
    let turned = matches!(first, Solid::Shell(_)) && !matches!(second, Solid::Shell(_));
    if !turned {
        return first.to_solid_below(second, below);
    }
    let near = second.to_solid_below(first, below)?;
    Some(Near { on: near.there, there: near.on, station: 0.0, ..near })
}
