//! Where a run's strand begins and ends.

use geom::math::{atan, sin_cos};
use geom::{DVec3, Frame};
use layout::flange_plate::{FlangePlate, PlateOf};
use layout::layout::{Leg, Merge, Place};
use spec::design::{From, To, Way};
use tube::merge::{LegCut, Outlet};
use tube::{Centreline, Cut, End, Piece, Shape, WallLine};

use super::keeps::STUB;
use super::{DEEP, OVERLAP, Whole};

/// The reach of a run's strand, in stations of the run, mm. An end that is cut to a plane is at its longest point.
pub(super) struct Reach {
    pub from: f64,
    pub to: f64,
    /// The planes to which its start and end are cut: a point, and the unit vector of the gas's travel through it.
    pub planes: [Option<(DVec3, DVec3)>; 2],
}

/// An end of a strand: a station of the run, and the plane to which it is cut.
type Limit = (f64, Option<(DVec3, DVec3)>);

impl Reach {
    pub fn of(whole: &Whole, run: usize) -> Reach {
        let [(from, start), (to, end)] = [whole.start(run), whole.end(run)];
        Reach { from, to, planes: [start, end] }
    }

    /// The line of the strand, whose station 0 is its start.
    pub fn line(&self, run: &layout::layout::Run) -> Centreline {
        run.centreline.reaching(self.from, self.to)
    }

    /// What the strand's ends are cut to, on its own line.
    pub fn cuts(&self, line: &Centreline) -> [Cut; 2] {
        let cut = |end: usize, station: f64, frame: Frame| match self.planes[end] {
            Some(plane) => plane_cut(frame, station, plane),
            None => Cut::square(station),
        };
        let length = line.length();
        [cut(0, 0.0, line.start), cut(1, length, line.end())]
    }
}

/// The cut of a tube to a plane, in stations of the tube; `frame` is the one at `station`, on a straight.
pub(super) fn plane_cut(frame: Frame, station: f64, (at, travel): (DVec3, DVec3)) -> Cut {
    let rate = frame.along.dot(travel);
    let lean = -(travel - frame.along * rate) / rate;
    let roll = if lean.length() > 0.0 { frame.clock_of(lean) } else { 0.0 };
    let axis = station + (at - frame.at).dot(travel) / rate;
    Cut { station: axis, roll, shape: Shape::Plane { tilt: atan(lean.length()) } }
}

impl Whole<'_> {
    /// The plate in or on which a run's end stands, with where the middle of its thickness is on the run, mm.
    pub(super) fn plate_at(&self, run: usize, end: End) -> Option<(&FlangePlate, f64)> {
        let stands = |plate: &&FlangePlate| {
            let PlateOf::Flange(flange) = plate.of else { return false };
            let at_start = !self.design.flanges[flange].ports.is_empty();
            at_start == (end == End::Start) && plate.openings.iter().any(|o| o.run == Some(run))
        };
        let plate = self.layout.plates.iter().find(stands)?;
        let face = if end == End::Start { 0.0 } else { self.layout.runs[run].length() };
        Some((plate, face + 0.5 * (plate.reach[0] + plate.reach[1])))
    }

    /// Whether a run's end stands at a transition.
    pub(super) fn has_transition(&self, run: usize, end: End) -> bool {
        self.plate_at(run, end).is_some_and(|(plate, _)| {
            let PlateOf::Flange(flange) = plate.of else { return false };
            self.layout.transitions.iter().any(|t| t.run == run && t.flange == flange)
        })
    }

    /// The station of its run at which a piece of a run's own begins, mm.
    pub(super) fn begin(&self, run: usize, piece: &Piece) -> f64 {
        let middle = 0.5 * piece.length();
        self.layout.runs[run].centreline.station_of(piece.frame_at(middle)) - middle
    }

    /// Where the mouth of the merge from which a run comes stands on it, mm: 0, or upstream of its cone.
    pub(super) fn mouth(&self, merge: usize) -> f64 {
        -self.design.merges[merge].cone.map_or(0.0, |cone| cone.length)
    }

    fn start(&self, run: usize) -> Limit {
        if let Some((_, middle)) = self.plate_at(run, End::Start) {
            let own = self.own_end(run, End::Start).0;
            return (if self.has_transition(run, End::Start) { own - OVERLAP } else { middle }, None);
        }
        match self.design.runs[run].from {
            From::Merge(merge) => match self.layout.merges[merge].way {
                Way::Trimmed => (self.mouth(merge) - OVERLAP, None),
                Way::Fitted => {
                    let into = self.rim(merge).map_or(0.0, |rim| rim.from);
                    (self.mouth(merge) + into, None)
                }
            },
            From::Branch(branch) => {
                let place = &self.layout.branches[branch].place;
                let radius = self.layout.runs[run].sections[0].section.outer();
                (self.foot(place, radius).from, None)
            }
            From::Port(_) => self.own_end(run, End::Start),
        }
    }

    fn end(&self, run: usize) -> Limit {
        let length = self.layout.runs[run].length();
        if let Some((_, middle)) = self.plate_at(run, End::End) {
            let own = self.own_end(run, End::End).0;
            return (if self.has_transition(run, End::End) { own + OVERLAP } else { middle }, None);
        }
        match self.design.runs[run].to {
            To::Leg { merge, .. } => {
                let merge = &self.layout.merges[merge];
                let Some(leg) = merge.legs.iter().find(|leg| leg.run == run) else {
                    return self.own_end(run, End::End);
                };
                if !self.is_in_line(run, leg) {
                    return (length + STUB, None);
                }
                let to = length + self.leg_length(merge, leg);
                (to, (merge.way == Way::Trimmed).then_some((merge.frame.at, merge.frame.along)))
            }
            To::Flange(_) | To::Host(_) | To::Open => self.own_end(run, End::End),
        }
    }

    /// Whether a leg goes on in line with the run that ends on it: one that closes with a gap does not.
    pub(super) fn is_in_line(&self, run: usize, leg: &Leg) -> bool {
        let closure = self.layout.runs[run].closure;
        closure.gap + closure.angle * self.layout.pieces[leg.piece].piece.length() < IN_LINE
    }

    /// Length of a leg's plain cylinder from its inlet face, mm: to the longest point of its cut at the mouth, or,
    /// square, to within the outlet.
    pub(super) fn leg_length(&self, merge: &Merge, leg: &Leg) -> f64 {
        let piece = &self.layout.pieces[leg.piece].piece;
        let apex = (merge.apex - leg.inlet.at).dot(leg.inlet.along);
        match piece.end.shape {
            Shape::Leg(cut) if merge.way == Way::Fitted => {
                // Its bore opens into the outlet's own, which begins where the bores meet on the axis.
                let open = merge.cluster.spike(merge.cluster.inner).max(merge.mouth + self.floor(merge));
                apex + landed(cut, piece.extremes(End::End, 1.0).longest.1 - apex, open)
            }
            _ => {
                let (s, c) = sin_cos(merge.cluster.convergence);
                apex + (merge.mouth + merge.cluster.outer * s) / c
            }
        }
    }

    /// The end of a run's own first or last piece: of a square or plane cut the cut itself, of a saddle, square,
    /// its shortest point.
    fn own_end(&self, run: usize, end: End) -> Limit {
        let parts = self.layout.runs[run].pieces.iter().map(|&i| &self.layout.pieces[i].piece);
        let reach = |piece: &Piece| match end {
            End::Start => -self.begin(run, piece),
            End::End => self.begin(run, piece) + piece.length(),
        };
        let Some(last) = parts.max_by(|a, b| reach(a).total_cmp(&reach(b))) else {
            return (if end == End::Start { 0.0 } else { self.layout.runs[run].length() }, None);
        };
        let begin = self.begin(run, last);
        let station = begin + if end == End::Start { 0.0 } else { last.length() };
        let Cut { station: at, roll, ref shape } = *last.cut(end);
        match shape {
            Shape::Plane { tilt } => {
                let frame = last.frame_at(at);
                let travel = frame.along - frame.outward(roll) * geom::math::tan(*tilt);
                (station, Some((frame.at, travel.normalize())))
            }
            Shape::Saddle(_) => {
                let short = [0.0, 1.0].map(|depth| last.extremes(end, depth).shortest.1);
                (begin + short[0].min(short[1]) - DEEP, None)
            }
            _ => (station, None),
        }
    }

    /// How a round thing of `radius` mm stands on the wall at `place`; stations along its own axis from where
    /// that pierces the wall's outside, outward, mm.
    pub(super) fn foot(&self, place: &Place, radius: f64) -> Foot {
        let host = &self.layout.pieces[place.host].piece;
        let hole = &host.holes[place.hole];
        let saddle = hole.saddle(host, 1.0);
        let meetings = |k: u32| {
            let clock = std::f64::consts::TAU * f64::from(k) / f64::from(AROUND);
            let line = WallLine { clock, rho: radius, slope: 0.0 };
            [End::End, End::Start].map(|end| tube::Saddle { end, ..saddle }.end_of(line))
        };
        let all: Vec<[f64; 2]> = (0..AROUND).map(meetings).collect();
        let most = |of: &dyn Fn(&[f64; 2]) -> f64| all.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        let (entered, left) = (most(&|m| m[0]), -most(&|m| -m[1]));
        let pierced = hole.rise(host, 1.0);
        // A tube as wide as its host touches it on both sides, abreast of its axis.
        let from = left - DEEP.min(0.5 * (left - entered));
        Foot { from: from - pierced, to: most(&|m| m[1]) - pierced }
    }
}

/// How far something reaches along its own axis where it stands on a wall, mm.
pub(super) struct Foot {
    /// Where it begins, inside the wall's own solid.
    pub from: f64,
    /// The furthest place of its edge on the wall.
    pub to: f64,
}

/// A leg whose end is further from the run's line than this is not in line with it, mm.
const IN_LINE: f64 = 0.015;

/// Places around a tube at which it is looked at.
const AROUND: u32 = 720;

/// Where a leg's plain cylinder, cut square, lies [`DEEP`] in the round outlet that its outside landed on at `longest`
/// at the latest, with all of its end downstream of `open` on the merge's axis, or else deepest; along the leg
/// from the apex, mm.
fn landed(cut: LegCut, longest: f64, open: f64) -> f64 {
    let Outlet::Round { from, radius, slope } = cut.outlet else { return longest };
    let (s, c) = sin_cos(cut.cluster.convergence);
    let rho = cut.cluster.outer;
    let depth = |along: f64| {
        let inside = |k: u32| {
            let (side, out) = sin_cos(std::f64::consts::TAU * f64::from(k) / f64::from(AROUND));
            let (x, y, z) = (rho * out * c - along * s, rho * side, along * c + rho * out * s);
            radius + slope * (z - from) - geom::math::hypot(x, y)
        };
        (0..AROUND).map(inside).fold(f64::INFINITY, f64::min)
    };
    // Beyond the apex it would come out on the other side.
    const STEPS: u32 = 32;
    let tried = (0..=STEPS).map(|k| longest * (1.0 - f64::from(k) / f64::from(STEPS)));
    let enough = |along: &f64| depth(*along) >= DEEP && along * c - rho * s >= open;
    let deepest = || tried.clone().max_by(|a, b| depth(*a).total_cmp(&depth(*b)));
    tried.clone().find(enough).or_else(deepest).unwrap_or(longest)
}
