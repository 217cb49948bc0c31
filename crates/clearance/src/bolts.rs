//! Whether each bolt of each flange is reached by its tool, cold and at rest.
//!
//! The tool goes on from the side of the tubes: at a head flange the studs stand in the head, and of other flanges
//! the side beyond is that of a part which is not made here, so of it nothing is known. Other nuts of the flange
//! do not count: a ring spanner is cranked, and passes over them. What fixed metal of the bay shows within the bolt's
//! own hole is its stud ([`Bolt::is_stud`]), on which the tool goes.

use geom::angle::{from_degrees, to_degrees};
use geom::{DVec3, Frame};
use layout::FlangePlate;
use layout::flange_plate::{PlacedHole, PlateOf};
use spec::design::{Fastener, ToolKind};
use spec::{Finding, Level};

use crate::body::Body;
use crate::header::Header;
use crate::subject::{Kind, Subject};
use crate::surroundings::{Nearby, Surroundings};
use crate::tools::{Bolt, STEPS};
use geom::threads::in_order;

/// How a bolt is reached.
#[derive(Clone, Debug, PartialEq)]
pub struct BoltAccess {
    /// The flange's name.
    pub flange: String,
    /// The bolt's number, from 1: that of its hole on the flange's sheet.
    pub bolt: usize,
    /// Where its axis leaves the plate on the tool's side, mm.
    pub at: DVec3,
    /// The unit direction of its axis, out of the plate.
    pub along: DVec3,
    /// What is done up, and by which tool.
    pub fastener: Fastener,
    /// Diameter of a socket for it, mm.
    pub socket: f64,
    /// What is nearest to the socket; `None`: nothing at all.
    pub beside: Option<Nearby>,
    /// How far a spanner swings at most without meeting anything, rad: 0 where its head does not go on, a whole
    /// turn where nothing is in the way.
    pub swing: f64,
    /// What stops the spanner there, at one or both ends of its swing.
    pub stops: Vec<Nearby>,
    /// Whether its tool reaches it.
    pub passes: bool,
}

/// Each bolt of each flange that has a fastener, plate by plate, hole by hole; found on so many threads.
pub(crate) fn bolts(threads: usize, around: &Surroundings) -> Vec<BoltAccess> {
    let plates = around.header.layout.plates.iter().enumerate();
    let all: Vec<_> = plates
        .flat_map(|(index, plate)| of_plate(around, plate).map(move |(number, bolt)| (index, number, bolt)))
        .collect();
    in_order(threads, all.len(), |task| {
        let (index, number, bolt) = &all[task];
        access(around, &around.header.layout.plates[*index], (*index, *number), *bolt)
    })
}

/// The bolts of a plate with their numbers; none where it is no flange's or has no fastener.
fn of_plate<'a>(
    around: &Surroundings,
    plate: &'a FlangePlate,
) -> impl Iterator<Item = (usize, Bolt)> + use<'a> {
    let wanted = match plate.of {
        PlateOf::Flange(flange) => Some(&around.header.design.flanges[flange]),
        _ => None,
    };
    let fastener = wanted.and_then(|wanted| wanted.fastener);
    let back = wanted.is_some_and(|wanted| wanted.ports.is_empty());
    let (station, along) =
        if back { (plate.reach[0], -plate.frame.along) } else { (plate.reach[1], plate.frame.along) };
    let bolt = move |(fastener, (number, hole)): (Fastener, (usize, &PlacedHole))| {
        let across = plate.frame.inside * hole.at.x + plate.frame.side() * hole.at.y;
        let at = plate.frame.at + across + plate.frame.along * station;
        (number + 1, Bolt { frame: Frame { at, along, ..plate.frame }, fastener, hole: hole.diameter })
    };
    let holes = move |fastener| plate.holes.iter().enumerate().map(move |hole| (fastener, hole));
    fastener.into_iter().flat_map(holes).map(bolt)
}

fn access(
    around: &Surroundings,
    plate: &FlangePlate,
    (index, number): (usize, usize),
    bolt: Bolt,
) -> BoltAccess {
    let own = |subject: &Subject, _: &Body| subject.kind == Kind::Flange(index);
    let beside = around.nearest_to_bolt(&bolt, &bolt.socket(), own, f64::INFINITY);
    let (swing, stops) = swing(around, own, &bolt);
    let by = [fits(&beside), swings(swing, &bolt.fastener)];
    let passes = match bolt.fastener.tool {
        Some(ToolKind::Socket) => by[0],
        Some(ToolKind::Spanner) => by[1],
        None => by[0] || by[1],
    };
    BoltAccess {
        flange: plate.name.clone(),
        bolt: number,
        at: bolt.frame.at,
        along: bolt.frame.along,
        fastener: bolt.fastener,
        socket: bolt.socket_diameter(),
        beside,
        swing,
        stops,
        passes,
    }
}

fn fits(beside: &Option<Nearby>) -> bool {
    beside.as_ref().is_none_or(|near| near.room >= 0.0)
}

fn swings(swing: f64, fastener: &Fastener) -> bool {
    swing >= fastener.swing - from_degrees(0.01)
}

/// The largest swing of a spanner between things that it meets, rad, and these.
fn swing(
    around: &Surroundings,
    own: impl Fn(&Subject, &Body) -> bool + Copy,
    bolt: &Bolt,
) -> (f64, Vec<Nearby>) {
    let whole = std::f64::consts::TAU;
    let met = |room: &Nearby| room.room < 0.0 || room.room < MET;
    if around.nearest_to_bolt(bolt, &bolt.turn(), own, MET).is_none() {
        return (whole, Vec::new());
    }
    if let Some(near) = around.nearest_to_bolt(bolt, &bolt.head(), own, MET).filter(met) {
        return (0.0, vec![near]);
    }
    let steps: Vec<Option<Nearby>> =
        (0..STEPS).map(|step| around.nearest_to_bolt(bolt, &bolt.swept(step), own, MET)).collect();
    let stopped: Vec<usize> = (0..STEPS).filter(|&step| steps[step].is_some()).collect();
    let Some(&first) = stopped.first() else { return (whole, Vec::new()) };
    let next = stopped.iter().skip(1).copied().chain([first + STEPS]);
    let free = stopped.iter().zip(next).map(|(&from, to)| (to - from - 1, from, to % STEPS));
    let (count, from, to) =
        free.reduce(|most, one| if one.0 > most.0 { one } else { most }).unwrap_or_default();
    let mut stops: Vec<Nearby> = [from, to].iter().filter_map(|&step| steps[step].clone()).collect();
    stops.dedup_by(|b, a| a.what == b.what);
    (whole * count as f64 / STEPS as f64, stops)
}

/// A tool that is nearer to something than this meets it, mm.
const MET: f64 = 1e-6;

impl BoltAccess {
    /// A failure where its tool does not reach it.
    pub(crate) fn finding(&self, header: &Header) -> Option<Finding> {
        if self.passes {
            return None;
        }
        let (message, value, limit) = match self.fastener.tool {
            Some(ToolKind::Socket) | None => (self.socket_words(header), self.room(), 0.0),
            Some(ToolKind::Spanner) => {
                let swings = [self.swing, self.fastener.swing].map(to_degrees);
                (self.spanner_words(header), Some(swings[0]), swings[1])
            }
        };
        Some(Finding {
            level: Level::Failure,
            code: "bolt-access",
            place: format!("{}, bolt {}", self.flange, self.bolt),
            message,
            value,
            limit: Some(limit),
        })
    }

    /// The room beside the socket, mm; below 0 where something reaches into it.
    pub fn room(&self) -> Option<f64> {
        self.beside.as_ref().map(|near| near.room)
    }

    /// Whether a tool would reach it that is not the one that is named for it.
    pub fn other_tool_passes(&self) -> bool {
        match self.fastener.tool {
            Some(ToolKind::Socket) => swings(self.swing, &self.fastener),
            Some(ToolKind::Spanner) => fits(&self.beside),
            None => false,
        }
    }

    fn socket_words(&self, header: &Header) -> String {
        let units = header.design.units;
        let short = units.written(-self.room().unwrap_or(0.0));
        let beside = self.beside.as_ref().map_or_else(String::new, |near| near.words(units));
        let mend = if self.other_tool_passes() {
            "a spanner would do: write tool = \"spanner\"".to_owned()
        } else {
            let [swing, wanted] = [self.swing, self.fastener.swing].map(whole_degrees);
            let spanner = if self.swing > 0.0 {
                format!("a spanner swings {swing} of {wanted} degrees")
            } else {
                let stops: Vec<String> = self.stops.iter().map(|near| near.words(units)).collect();
                format!("a spanner does not go on beside {}", stops.join(" and "))
            };
            format!("{spanner}: move the bolt or what is in its way")
        };
        format!("a socket of {} needs {short} more room beside {beside}; {mend}", units.written(self.socket))
    }

    fn spanner_words(&self, header: &Header) -> String {
        let units = header.design.units;
        let stops: Vec<String> = self.stops.iter().map(|near| near.words(units)).collect();
        let (swing, wanted) = (whole_degrees(self.swing), whole_degrees(self.fastener.swing));
        let what = if self.swing > 0.0 {
            let between = if stops.len() > 1 { "between" } else { "beside" };
            format!(
                "a spanner swings {swing} degrees at most (needs {wanted}), {between} {}",
                stops.join(" and ")
            )
        } else {
            format!("a spanner (swing {wanted} degrees) does not go on beside {}", stops.join(" and "))
        };
        let mend = if self.other_tool_passes() {
            "a socket would do: write tool = \"socket\""
        } else {
            "a socket does not go on either: move the bolt or what is in its way"
        };
        format!("{what}; {mend}")
    }
}

fn whole_degrees(angle: f64) -> String {
    format!("{:.0}", to_degrees(angle))
}
