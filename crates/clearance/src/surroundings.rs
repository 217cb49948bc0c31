//! All that may stand in the way of a tool or a hand: the header and the bay, cold and at rest.

use distance::{Bounds, Solid};
use geom::DVec3;
use geom::unit::Units;
use spec::design::Class;

use crate::against::Against;
use crate::body::Body;
use crate::clearance::before_start;
use crate::header::Header;
use crate::subject::Subject;
use crate::tools::Bolt;

/// What stands about a place.
pub(crate) struct Surroundings<'a> {
    /// The header.
    pub header: &'a Header<'a>,
    /// What the bay holds.
    obstacles: &'a [Against<'a>],
    /// The boxes of each subject's bodies.
    boxes: Vec<Vec<Bounds>>,
}

/// What stands in the way, or nearest to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearby {
    /// What it is, in words: `run three`, an obstacle's name.
    pub what: String,
    /// The room to it, mm: below 0 where it reaches into the tool's.
    pub room: f64,
    /// Where on it, mm.
    pub at: DVec3,
    /// The station along its tube, mm; `None` where it has none.
    pub station: Option<f64>,
}

impl<'a> Surroundings<'a> {
    /// A header, and what its bay holds.
    pub fn of(header: &'a Header<'a>, obstacles: &'a [Against<'a>]) -> Surroundings<'a> {
        let boxes = |subject: &Subject| subject.bodies.iter().map(|body| body.solid.bounds()).collect();
        Surroundings { header, obstacles, boxes: header.subjects.iter().map(boxes).collect() }
    }

    /// What is nearest to `tool`, if nearer than `below` mm: of the header but for what `skip` names, and of the
    /// bay. Of equals the header's first, then the spec's first obstacle.
    pub fn nearest(
        &self,
        tool: &Solid,
        skip: impl Fn(&Subject, &Body) -> bool,
        below: f64,
    ) -> Option<Nearby> {
        self.nearest_but(tool, skip, |_| false, below)
    }

    /// What is nearest to a tool of `bolt`, if nearer than `below` mm: of the header but for the plate that `skip`
    /// names, and of the bay but for what fixed metal shows of the bolt's own stud.
    pub fn nearest_to_bolt(
        &self,
        bolt: &Bolt,
        tool: &Solid,
        skip: impl Fn(&Subject, &Body) -> bool,
        below: f64,
    ) -> Option<Nearby> {
        self.nearest_but(tool, skip, |point| bolt.is_stud(point), below)
    }

    /// [`Surroundings::nearest`], but for what of fixed metal lies wholly where `stud` says.
    fn nearest_but(
        &self,
        tool: &Solid,
        skip: impl Fn(&Subject, &Body) -> bool,
        stud: impl Fn(DVec3) -> bool + Copy,
        below: f64,
    ) -> Option<Nearby> {
        let own = self.nearest_of_header(tool, skip, below);
        let below = own.as_ref().map_or(below, |own| own.room);
        self.nearest_obstacle(tool, below, stud).or(own)
    }

    /// What of the header is nearest to `tool`, but for what `skip` names, if nearer than `below` mm.
    pub fn nearest_of_header(
        &self,
        tool: &Solid,
        skip: impl Fn(&Subject, &Body) -> bool,
        below: f64,
    ) -> Option<Nearby> {
        let own = tool.bounds();
        let mut best: Option<Nearby> = None;
        for (subject, boxes) in self.header.subjects.iter().zip(&self.boxes) {
            for (body, bounds) in subject.bodies.iter().zip(boxes) {
                let below = best.as_ref().map_or(below, |best| best.room);
                let least = own.distance(bounds);
                if (least > 0.0 && least >= below) || skip(subject, body) {
                    continue;
                }
                if let Some(near) = tool.to_solid_below(&body.solid, below) {
                    best = Some(Nearby::of(subject, body, near.distance, near.there));
                }
            }
        }
        best
    }

    /// The obstacle nearest to `tool`, if nearer than `below` mm; of fixed metal what lies wholly where `skip` says
    /// does not count.
    fn nearest_obstacle(
        &self,
        tool: &Solid,
        below: f64,
        skip: impl Fn(DVec3) -> bool + Copy,
    ) -> Option<Nearby> {
        let tool = std::slice::from_ref(tool);
        let mut best: Option<Nearby> = None;
        for against in self.obstacles {
            let below = best.as_ref().map_or(below, |best| best.room);
            let found = match against.obstacle.class {
                Class::Fixed => against.barrier.nearest_but(tool, below, skip),
                _ => against.barrier.nearest(tool, below),
            };
            if let Some(found) = found {
                let (room, at) = (found.near.distance, found.near.there);
                best = Some(Nearby { what: against.obstacle.name.clone(), room, at, station: None });
            }
        }
        best
    }
}

impl Nearby {
    /// The place `at` of a body of the header, cold.
    pub(crate) fn of(subject: &Subject, body: &Body, room: f64, at: DVec3) -> Nearby {
        let station = body.line.map(|line| line.from + body.solid.to_point(at).station);
        Nearby { what: subject.words(), room, at, station }
    }

    /// It and where, in words: run three at 41.0 mm; run bypass 31.7 mm before its start.
    pub fn words(&self, units: Units) -> String {
        match self.station {
            Some(station) => match before_start(units, station) {
                Some(ahead) => format!("{} {ahead} before its start", self.what),
                None => format!("{} at {}", self.what, units.written(station)),
            },
            None => {
                let [x, y, z] = self.at.to_array().map(|mm| units.written(mm));
                format!("{} at x {x}, y {y}, z {z}", self.what)
            }
        }
    }
}
