//! Holes of scans that the header reaches through, cold and at rest.
//!
//! What stands in a hole nobody saw. A hole is a loop about which the surface goes on outward; the end of a tunnel,
//! the edge of a bowl and the outside of a sheet are none. It is taken as closed by a fan from its middle. Where a
//! body meets the fan that is certain to be unseen; a centreline that passes it leads to the other side of the surface.

use distance::{Bounds, Hit, Near, Solid, Tree};
use geom::DVec3;
use spec::design::Form;
use spec::{Finding, Level};

use crate::against::Against;
use crate::clearance::Rim;
use crate::header::{Header, bounds};
use crate::slice::Slice;
use crate::state::State;

/// A part that reaches through a hole of a scan.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// The part in words: run three.
    pub words: String,
    /// The obstacle's name.
    pub against: String,
    /// Whether behind its front is metal.
    pub one_sided: bool,
    /// How wide the hole is, mm.
    pub across: f64,
    /// Whether the part's centreline leads to its other side.
    pub through: bool,
    /// Where: on the centreline if that leads through, else on the part's outside, mm.
    pub at: DVec3,
    /// The station along the part's tube, mm; `None` where it has none.
    pub station: Option<f64>,
    /// The clock of a part that does not lead through, rad.
    pub clock: Option<f64>,
}

/// A hole that is closed by a fan.
pub(crate) struct Fan {
    tree: Tree,
    bounds: Bounds,
    across: f64,
}

/// About a hole the surface faces the other way than its fan at least as clearly: 53 degrees. At the end of a tunnel
/// it is square to it.
const FACING: f64 = -0.6;

/// Bodies that are this near to a fan meet it, mm.
const MET: f64 = 1e-3;

impl Fan {
    /// The fan of a rim that bounds a hole.
    pub fn of(rim: &Rim) -> Option<Fan> {
        if rim.facing > FACING {
            return None;
        }
        let count = rim.points.len() as u32;
        let middle = rim.points.iter().sum::<DVec3>() / f64::from(count);
        let triangles = (0..count).map(|k| [count, k, (k + 1) % count]).collect();
        let points: Vec<DVec3> = rim.points.iter().copied().chain([middle]).collect();
        let bounds = Bounds::of(points.iter().copied());
        Some(Fan { tree: Tree::new(points, triangles, Vec::new()), bounds, across: rim.across })
    }

    /// Where a subject meets it.
    fn met(&self, lengths: &[Slice], solids: &[Solid], whole: &Bounds) -> Option<Place> {
        if whole.distance(&self.bounds) > MET {
            return None;
        }
        let Hit { near, solid, .. } = self.tree.nearest(solids, MET)?;
        let through = (0..solids.len()).find_map(|k| self.passed(k, &lengths[k]));
        Some(Place { near, length: through.map_or(solid, |pass| pass.length), through })
    }

    /// Where the centreline of a length first passes it.
    fn passed(&self, length: usize, slice: &Slice) -> Option<Pass> {
        let corners = |triangle: &[u32; 3]| triangle.map(|corner| self.tree.points()[corner as usize]);
        let mut station = 0.0;
        for pair in centreline(&slice.solid).windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let shares = self.tree.triangles().iter().filter_map(|t| passed(corners(t), from, to));
            if let Some(share) = shares.reduce(f64::min) {
                let station = station + from.distance(to) * share;
                return Some(Pass { length, station, at: from + (to - from) * share });
            }
            station += from.distance(to);
        }
        None
    }
}

/// Where a subject meets a fan.
struct Place {
    near: Near,
    length: usize,
    through: Option<Pass>,
}

/// A centreline's passing of a fan: of which length, and where on it.
#[derive(Clone, Copy)]
struct Pass {
    length: usize,
    station: f64,
    at: DVec3,
}

/// The parts that reach through the holes of an obstacle's scan: of each part the hole that it leads through, or
/// reaches into deepest.
pub(crate) fn reached(header: &Header, against: &Against) -> Vec<Reached> {
    let (Some(scan), Form::Scan(file)) = (against.scan, &against.obstacle.form) else { return Vec::new() };
    let fans: Vec<Fan> = scan.told.rims.iter().filter_map(Fan::of).collect();
    let reached = (0..header.subjects.len()).filter_map(|subject| {
        let lengths = against.held(header, subject);
        let solids: Vec<Solid> = lengths.iter().map(|length| length.solid.clone()).collect();
        let whole = bounds(solids.iter());
        let met = fans.iter().filter_map(|fan| Some((fan, fan.met(&lengths, &solids, &whole)?)));
        let (fan, place) = met.min_by(|(_, a), (_, b)| {
            let later = a.through.is_none().cmp(&b.through.is_none());
            later.then(a.near.distance.total_cmp(&b.near.distance))
        })?;
        let Slice { body, line, .. } = lengths[place.length];
        let from = line.map(|line| line.from);
        let (at, station, clock) = match place.through {
            Some(pass) => (pass.at, from.map(|from| from + pass.station), None),
            None => {
                let on = header.place((subject, body), &place.near, from, &State::COLD);
                (place.near.on, on.map(|p| p.0), on.map(|p| p.1))
            }
        };
        Some(Reached {
            words: header.subjects[subject].words(),
            against: against.obstacle.name.clone(),
            one_sided: file.one_sided,
            across: fan.across,
            through: place.through.is_some(),
            at,
            station,
            clock,
        })
    });
    reached.collect()
}

impl Reached {
    /// A warning; where it leads behind what was seen from its front only, a failure.
    pub(crate) fn finding(&self, header: &Header) -> Finding {
        let units = header.design.units;
        let station = self.station.map(|station| format!("{}, ", units.written(station)));
        let clock = self.clock.map(|clock| {
            let degrees = geom::angle::to_degrees(geom::angle::wrap_turn(clock));
            format!("clock {degrees:.0} deg, ")
        });
        let [x, y, z] = self.at.to_array().map(|mm| units.written(mm));
        let place =
            format!("{}{}x {x}, y {y}, z {z}", station.unwrap_or_default(), clock.unwrap_or_default());
        let across = units.written(self.across);
        let goes = if self.through { "goes through" } else { "reaches into" };
        let failure = self.through && self.one_sided;
        let (level, unseen) = if failure {
            let unseen = "behind its front is metal, and nobody saw that here is none: lead it around, scan what the hole \
                          hides, or accept it where it is an opening on the car";
            (Level::Failure, unseen)
        } else {
            let unseen =
                "nobody saw whether there is metal: look there on the car, or scan what the hole hides";
            (Level::Warning, unseen)
        };
        Finding {
            level,
            code: "scan-hole",
            place: format!("{}, {}", self.words, self.against),
            message: format!(
                "{} {goes} a hole of {}, {across} across, at {place}: {unseen}",
                self.words, self.against
            ),
            value: Some(self.across),
            limit: None,
        }
    }
}

/// Points along a body's centreline; none of bodies without one.
fn centreline(solid: &Solid) -> Vec<DVec3> {
    match solid {
        Solid::Cylinder(c) => vec![c.frame.at, c.frame.advanced(c.length).at],
        Solid::Cone(c) => vec![c.frame.at, c.frame.advanced(c.length).at],
        Solid::Bend(b) => {
            let steps = (b.angle / STEP).ceil().max(1.0) as usize;
            (0..=steps).map(|k| b.frame.bent(b.clr, b.angle * k as f64 / steps as f64).at).collect()
        }
        Solid::Capsule(_) | Solid::Shell(_) => Vec::new(),
    }
}

/// From point to point along a bend, rad: the chord is within 0.01 mm of a centreline radius of 200 mm.
const STEP: f64 = 0.02;

/// Where a segment passes a triangle, as a share of it.
fn passed([a, b, c]: [DVec3; 3], from: DVec3, to: DVec3) -> Option<f64> {
    let normal = (b - a).cross(c - a);
    let (begin, end) = ((from - a).dot(normal), (to - a).dot(normal));
    if (begin < 0.0) == (end < 0.0) {
        return None;
    }
    let share = begin / (begin - end);
    let at = from + (to - from) * share;
    // No pass slips between two triangles.
    let least = -1e-9 * normal.length_squared();
    let within = [(a, b), (b, c), (c, a)].iter().all(|(p, q)| (*q - *p).cross(at - *p).dot(normal) >= least);
    within.then_some(share)
}
