//! Whether the header gets out of the car: cold and at rest, along straight moves, past all that the bay holds.
//!
//! A part that moves by 1 mm comes nearer to nothing by more than 1 mm. So from a place with so much more room than
//! the least so far it moves on by that and by 1 mm more (or a tenth of the least room), and nothing between comes
//! nearer by more than half of that unseen. What touches at the start (a plate on its head) counts where it gets nearer
//! than it was; a plate, of which no depth is known, once it has parted.

use distance::Solid;
use geom::{DVec3, Similarity};
use spec::{Finding, Level};

use crate::against::Against;
use crate::header::Header;
use crate::surroundings::Nearby;

/// How one part of a header passes one obstacle on the way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The part's name.
    pub subject: String,
    /// The part in words: run three.
    pub words: String,
    /// The obstacle, with the least room on the way, mm, and where on it that is; 0 where they touch from the start
    /// and get no nearer.
    pub near: Nearby,
    /// In which move that is, from 1, and how far along it, mm.
    pub place: (usize, f64),
    /// Where the part first meets the obstacle; `None`: nowhere, it passes.
    pub met: Option<(usize, f64)>,
}

/// How a part of the header passes an obstacle; `None` where no way out is given.
pub(crate) fn passage(header: &Header, subject: usize, against: &Against) -> Option<Passage> {
    let subject = &header.subjects[subject];
    let bodies: Vec<Solid> = subject.bodies.iter().map(|body| body.solid.clone()).collect();
    let mut track: Option<Track> = None;
    let mut offset = DVec3::ZERO;
    for (number, one) in header.design.bay.way_out.iter().enumerate() {
        let mut along = 0.0;
        loop {
            let moved = Similarity { shift: offset + one.along * along, ..Similarity::scaling(1.0) };
            let moved: Vec<Solid> = bodies.iter().map(|body| body.carried(&moved)).collect();
            let near = against.barrier.nearest(&moved, f64::INFINITY)?.near;
            let seen = Seen { room: near.distance, at: near.there, place: (number + 1, along) };
            let track = track.get_or_insert_with(|| Track::from(seen));
            track.take(seen);
            if along >= one.distance {
                break;
            }
            along = (along + track.step(seen.room)).min(one.distance);
        }
        offset += one.along * one.distance;
    }
    let Track { least, met, .. } = track?;
    let near = Nearby { what: against.obstacle.name.clone(), room: least.room, at: least.at, station: None };
    Some(Passage { subject: subject.name.clone(), words: subject.words(), near, place: least.place, met })
}

/// How near a part is at a place of its way.
#[derive(Clone, Copy, Debug)]
struct Seen {
    room: f64,
    at: DVec3,
    place: (usize, f64),
}

/// What was seen of a way so far.
#[derive(Clone, Copy, Debug)]
struct Track {
    /// The nearest; once they have met, since then.
    least: Seen,
    /// How near they were at the start, while they have not parted.
    touching: Option<f64>,
    met: Option<(usize, f64)>,
}

/// Far from everything it moves by this share of the least room instead.
const SHARE: f64 = 0.1;

/// How far a part moves at least from place to place, mm; [`MET_STEP`] once it has met the obstacle.
const STEP: f64 = 1.0;

/// See [`STEP`]: from then on only how deep it reaches in is of interest.
const MET_STEP: f64 = 5.0;

/// Parts that are this near at the start touch, and may scrape each other by as much, mm.
const SCRAPE: f64 = 0.5 * STEP;

impl Track {
    fn from(start: Seen) -> Track {
        let touching = (start.room <= SCRAPE).then_some(start.room.min(0.0));
        Track { least: start, touching, met: None }
    }

    fn take(&mut self, seen: Seen) {
        if seen.room > SCRAPE {
            self.touching = None;
        }
        // Of a plate that reaches into something no depth is known: its room there is 0.
        let meets = match self.touching {
            Some(room) => seen.room < room - SCRAPE,
            None => seen.room <= 0.0,
        };
        if self.met.is_none() && meets {
            self.met = Some(seen.place);
            self.least = seen;
        } else if seen.room < self.least.room {
            self.least = seen;
        }
    }

    /// How far it may move on from where it has so much room, mm.
    fn step(&self, room: f64) -> f64 {
        match self.met {
            Some(_) => room - self.least.room + MET_STEP,
            None => {
                let least = self.least.room.max(self.touching.unwrap_or(0.0)).min(room);
                // Whole steps, so that places are whole mm.
                ((room - least + STEP.max(SHARE * least)) / STEP).floor() * STEP
            }
        }
    }
}

impl Passage {
    /// Whether the part passes.
    pub fn passes(&self) -> bool {
        self.met.is_none()
    }

    /// A failure where it does not.
    pub(crate) fn finding(&self, header: &Header) -> Option<Finding> {
        let (number, along) = self.met?;
        let units = header.design.units;
        let message = format!(
            "on the way out {} meets {} {} along move {number}, and reaches {} into it {} along move {}: change the moves, \
             or make the header in parts",
            self.words,
            self.near.what,
            units.written(along),
            units.written(-self.near.room),
            units.written(self.place.1),
            self.place.0
        );
        Some(Finding {
            level: Level::Failure,
            code: "way-out",
            place: format!("{}, {}", self.subject, self.near.what),
            message,
            value: Some(self.near.room),
            limit: Some(0.0),
        })
    }
}
