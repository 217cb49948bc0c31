//! The result: how near a header comes to everything.

use distance::{Bounds, Tree};
use geom::DVec3;
use geom::angle::{to_degrees, wrap_turn};
use geom::unit::Units;
use scan::{Hole, Scan};
use spec::Finding;
use spec::design::Class;

use crate::bolts::BoltAccess;
use crate::drain::DrainLean;
use crate::ground::GroundHeight;
use crate::hole::Reached;
use crate::meeting::Meeting;
use crate::overlap::Overlap;
use crate::passage::Passage;
use crate::plugs::PlugAccess;
use crate::state::State;
use crate::subject::Kind;
use crate::torch::TorchAccess;

/// What was found of a header in its bay.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clearance {
    /// Each subject against each obstacle, subject by subject.
    pub rows: Vec<Row>,
    /// What came too near of what was left out of the scans as noise: subject by subject.
    pub noise: Vec<Row>,
    /// Each subject against each other one that it is not meant to meet, and runs that come back onto themselves.
    pub own: Vec<Row>,
    /// Each bolt of each flange that has a fastener: plate by plate, hole by hole.
    pub bolts: Vec<BoltAccess>,
    /// Each weld at a run's end that is made on the car.
    pub torches: Vec<TorchAccess>,
    /// Each subject against each obstacle on the way out, subject by subject; none where no way is given.
    pub way_out: Vec<Passage>,
    /// Each plug's way against the header, in the spec's order.
    pub plugs: Vec<PlugAccess>,
    /// The header's lowest place over the ground, where the spec says where that is.
    pub ground: Option<GroundHeight>,
    /// The parts that reach into each other, or into what they are bolted to, where they may touch.
    pub overlaps: Vec<Overlap>,
    /// The parts that reach through holes of scans: obstacle by obstacle, subject by subject.
    pub holes: Vec<Reached>,
    /// How the oil drain leans, where the spec has one.
    pub drain: Option<DrainLean>,
    /// What is known of the bay's scans: of obstacle `i` in place `i`, `None` of a plain body.
    pub scans: Vec<Option<ScanTold>>,
    /// Where parts are meant to meet, and over what length from there the distance that is wanted grows.
    pub meetings: Vec<Meeting>,
    /// How far a hot body's ends may be off because its run's misfit is spread along it, mm.
    pub spread: f64,
    /// What was noticed, gravest first, accepted failures as warnings.
    pub findings: Vec<Finding>,
}

/// How near one subject comes to one other thing, at worst.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The subject's name; a run and a merge may have the same one.
    pub subject: String,
    /// What the subject is.
    pub kind: Kind,
    /// What it is near to: an obstacle's or another subject's name.
    pub against: String,
    /// What the other subject is; `None` of an obstacle.
    pub other: Option<Kind>,
    /// What the obstacle is; `None` of the header's own parts.
    pub class: Option<Class>,
    /// The least distance in all states, mm: 0 where they touch, negative where one reaches into the other.
    pub distance: f64,
    /// The distance that is wanted there, mm.
    pub required: f64,
    /// Where on the subject, in that state, mm.
    pub at: DVec3,
    /// Where on the other, in that state, mm.
    pub there: DVec3,
    /// The station along the subject's tube, mm; `None` where it has none.
    pub station: Option<f64>,
    /// The clock from its scribe line, rad, clockwise seen looking downstream.
    pub clock: Option<f64>,
    /// The state that gave it.
    pub state: State,
    /// The distance cold and at rest, mm.
    pub cold: f64,
    /// How much nearer it may come, between the states that were looked at, than `distance` says, mm.
    pub within: f64,
    /// Whether one of the two is wholly inside the other.
    pub inside: bool,
    /// Whether a scan that is open somewhere goes around it on all sides, and shows its front there: a room, or a
    /// body whose triangles are wound the wrong way round.
    pub around: bool,
    /// How many rays from inside the subject say one of that, and of how many: of a scan.
    pub rays: Option<[u32; 2]>,
    /// Whether a scan that was seen from its front only is seen from behind here.
    pub behind: bool,
    /// Whether the nearest place lies where a scan's surface ends.
    pub on_rim: bool,
}

/// A scan where it stands in the car, ready to be asked.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Its points and triangles.
    pub tree: Tree,
    /// What its filter left out as noise.
    pub noise: Tree,
    /// What is known of it.
    pub told: ScanTold,
}

/// What is known of a scan that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ScanTold {
    /// How many points it has, triangles' corners among them.
    pub points: usize,
    /// How many triangles.
    pub triangles: usize,
    /// The corners of its box in the car, mm: least and largest x, y and z.
    pub bounds: [DVec3; 2],
    /// What the filter for noise left out.
    pub removed: Removed,
    /// Where its surface ends, the widest first.
    pub rims: Vec<Rim>,
}

/// How much a scan's filter left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Removed {
    /// Loose points.
    pub points: usize,
    /// Triangles.
    pub triangles: usize,
}

/// A loop of points where a scan's surface ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Rim {
    /// Its points in order, mm.
    pub points: Vec<DVec3>,
    /// The greatest distance between two of them, mm.
    pub across: f64,
    /// As [`Hole::facing`]: -1 about a hole in a flat sheet.
    pub facing: f64,
}

impl Placed {
    /// A scan where it stands, and what a filter left out of it as noise.
    pub fn of(scan: Scan, noise: Scan) -> Placed {
        let corners = scan.triangles.iter().flatten().chain(&scan.loose).map(|&i| scan.points[i as usize]);
        let bounds = Bounds::of(corners);
        let rim = |hole: &Hole| Rim {
            points: hole.points.iter().map(|&i| scan.points[i as usize]).collect(),
            across: hole.across,
            facing: hole.facing,
        };
        let told = ScanTold {
            points: scan.points.len(),
            triangles: scan.triangles.len(),
            bounds: [bounds.min, bounds.max],
            removed: Removed { points: noise.loose.len(), triangles: noise.triangles.len() },
            rims: scan.holes().iter().map(rim).collect(),
        };
        let [tree, noise] = [scan, noise].map(|s| Tree::new(s.points, s.triangles, s.loose));
        Placed { tree, noise, told }
    }
}

impl ScanTold {
    /// The greatest distance between two points of its widest rim, mm; 0 where it ends nowhere.
    pub fn widest(&self) -> f64 {
        self.rims.first().map_or(0.0, |rim| rim.across)
    }
}

impl Row {
    /// How messages call its subject: run three.
    pub fn words(&self) -> String {
        format!("{} {}", self.kind.noun(), self.subject)
    }

    /// How messages call what it is near to: run four, or an obstacle's name.
    pub fn against_words(&self) -> String {
        self.other.map_or_else(|| self.against.clone(), |kind| format!("{} {}", kind.noun(), self.against))
    }

    /// How much more room there is than is wanted, mm; below 0 where it is too near.
    pub fn margin(&self) -> f64 {
        self.distance - self.required
    }

    /// Where it is, in the unit of a spec: `312.0 mm from its start, clock 145 deg`, or the point. A tube that is
    /// cut to fit reaches past its start onto what it stands on: `31.7 mm before its start, where it is fitted on`.
    pub fn place(&self, units: Units) -> String {
        match (self.station, self.clock) {
            (Some(station), Some(clock)) => {
                let ahead = before_start(units, station);
                let from = match (self.kind, &ahead) {
                    (Kind::Merge(_), _) => "along its leg or cone",
                    (Kind::Bung(_), None) => "from its foot",
                    (Kind::Bung(_), Some(_)) => "before its foot, where it is fitted on",
                    (Kind::Fitting(_), None) => "from its run's start",
                    (Kind::Fitting(_), Some(_)) => "before its run's start",
                    (_, None) => "from its start",
                    (_, Some(_)) => "before its start, where it is fitted on",
                };
                let along = ahead.unwrap_or_else(|| units.written(station));
                let clock = to_degrees(wrap_turn(clock));
                format!("{along} {from}, clock {clock:.0} deg")
            }
            _ => {
                let [x, y, z] = self.at.to_array().map(|mm| units.written(mm));
                format!("x {x}, y {y}, z {z}")
            }
        }
    }
}

impl Clearance {
    /// The `count` tightest places against the bay: least margin first.
    pub fn tightest(&self, count: usize) -> Vec<&Row> {
        tightest(self.rows.iter(), count)
    }

    /// The `count` tightest places between the header's own parts where the whole distance that they need, `apart`
    /// mm, is wanted: least margin first. Where parts are meant to meet less is wanted, and they are left out.
    pub fn tightest_own(&self, count: usize, apart: f64) -> Vec<&Row> {
        tightest(self.own.iter().filter(|row| row.required >= apart), count)
    }
}

/// How far before its start a station is, in words; `None` where it is printed as at its start or behind it.
pub(crate) fn before_start(units: Units, station: f64) -> Option<String> {
    units.written(station).strip_prefix('-').map(str::to_owned)
}

fn tightest<'a>(rows: impl Iterator<Item = &'a Row>, count: usize) -> Vec<&'a Row> {
    let mut rows: Vec<&Row> = rows.collect();
    rows.sort_by(|a, b| a.margin().total_cmp(&b.margin()));
    rows.truncate(count);
    rows
}
