//! A length of a strand as a closed mesh, with a spigot or a socket at its ends.
//!
//! The skin is rings square to the line, of the same clocks all along a strand, and at stations that do not depend on
//! where it is cut: so parts have the undivided header's own triangles. Faces at the ends are divided flat.

use std::f64::consts::TAU;

use geom::math::{cos, sin_cos, tan};
use geom::{DVec3, Frame};
use plate::DVec2;
use solids::extruded::divided;
use solids::rings::step_angle;
use solids::{Mesh, MeshFault};
use tube::{Centreline, Cut, Segment, Shape, Span, WallLine};

use crate::keyed::Keyed;
use crate::profile::{Profile, Side};
use crate::wheel::Wheel;

/// What is swept. Lengths in mm; stations on `line`, beyond whose ends it goes on straight.
#[derive(Clone, Debug)]
pub struct Sweep<'a> {
    /// The line.
    pub line: &'a Centreline,
    /// Outside radius; beyond its ends as at its ends.
    pub outside: &'a Profile,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What its start and end are like.
    pub tips: [Tip; 2],
    /// What is left empty in it.
    pub hollows: Vec<Hollow<'a>>,
    /// Its rings that have windows: those that are not wholly in it have none.
    pub wheels: Vec<Wheel>,
    /// Largest distance between the mesh and the true surface: half of it is spent around, half along.
    pub chord: f64,
}

/// What an end of a length of strand is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tip {
    /// Flat, square to the line.
    Square,
    /// Flat, tilted from square (rad), furthest downstream at the clock `roll` (rad); its middle at the end's station.
    Plane {
        /// Tilt from square, rad.
        tilt: f64,
        /// Clock of its point furthest downstream, rad.
        roll: f64,
    },
    /// Square, with a spigot standing out of it.
    Spigot(Keyed),
    /// Square, with a socket in it.
    Socket(Keyed),
}

/// A length that is left empty: closed at both ends, but open where it reaches an end of the sweep that is
/// [`Tip::Square`] or [`Tip::Plane`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hollow<'a> {
    /// Its radius.
    pub bore: &'a Profile,
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

impl Tip {
    /// The tip that a square or plane cut makes, with its station; `None` of other shapes.
    pub fn of(cut: &Cut) -> Option<(f64, Tip)> {
        match cut.shape {
            Shape::Square => Some((cut.station, Tip::Square)),
            Shape::Plane { tilt } => Some((cut.station, Tip::Plane { tilt, roll: cut.roll })),
            _ => None,
        }
    }

    fn is_flat(&self) -> bool {
        matches!(self, Tip::Square | Tip::Plane { .. })
    }
}

/// The closed mesh of a length of strand.
///
/// Errors: a ring that crosses the next one, as where the radius is larger than a bend's, or where a step or an end
/// stands too near to a mitre; faces that cross, as where a socket breaks through the wall.
pub fn swept(sweep: &Sweep) -> Result<Mesh, MeshFault> {
    let spread = Spread::of(sweep);
    let mut skin = Skin { spread, mesh: Mesh::default() };
    let rings = skin.rings(sweep.outside, [sweep.from, sweep.to], sweep.tips)?;
    let outer = skin.wheeled(&rings, sweep)?;
    let mut faces = outer.map(|ring| vec![ring]);
    for hollow in &sweep.hollows {
        let open = [
            sweep.tips[0].is_flat() && hollow.from - sweep.from < LEAST,
            sweep.tips[1].is_flat() && sweep.to - hollow.to < LEAST,
        ];
        let own = [hollow.from, hollow.to];
        let reach = [0, 1].map(|i| if open[i] { [sweep.from, sweep.to][i] } else { own[i] });
        let tips = [0, 1].map(|i| if open[i] { sweep.tips[i] } else { Tip::Square });
        let bores = skin.rings(hollow.bore, reach, tips)?;
        let ends = skin.tube(&bores, true);
        for (i, ring) in ends.into_iter().enumerate() {
            if open[i] {
                faces[i].push(ring);
            } else {
                skin.face(vec![ring], i == 1)?;
            }
        }
    }
    for (i, face) in faces.into_iter().enumerate() {
        skin.close(face, i, [sweep.from, sweep.to][i], sweep.tips[i])?;
    }
    skin.mesh.check()?;
    Ok(skin.mesh)
}

/// A hollow of a sweep as a solid of its own, to be taken out of what the sweep is united with; it has the points that
/// [`swept`] gives the hollow. Where it is open it reaches out of the sweep by 1 mm.
///
/// Errors as those of [`swept`].
pub fn cavity(sweep: &Sweep, hollow: &Hollow) -> Result<Mesh, MeshFault> {
    let beyond = |i: usize, station: f64| match sweep.tips[i] {
        Tip::Plane { tilt, .. } => OUT + limits(hollow.bore, station)[1 - i] * tan(tilt),
        _ => OUT,
    };
    let [start, end] = [hollow.from, hollow.to];
    let is_open = |i: usize| sweep.tips[i].is_flat() && ([start - sweep.from, sweep.to - end][i] < LEAST);
    let from = if is_open(0) { start - beyond(0, start) } else { start };
    let to = if is_open(1) { end + beyond(1, end) } else { end };
    let mut skin = Skin { spread: Spread::of(sweep), mesh: Mesh::default() };
    let rings = skin.rings(hollow.bore, [from, to], [Tip::Square; 2])?;
    let [first, last] = skin.tube(&rings, false);
    skin.face(vec![first], true)?;
    skin.face(vec![last], false)?;
    skin.mesh.check()?;
    Ok(skin.mesh)
}

/// A line with the places of its rings and columns.
struct Spread {
    spans: Vec<Span>,
    start: Frame,
    length: f64,
    /// Cosine and sine of every column's clock.
    clocks: Vec<(f64, f64, f64)>,
    /// Stations of the rings in bends, and of mitres.
    rings: Vec<f64>,
}

/// A ring in the making.
struct Ring {
    points: Vec<DVec3>,
    /// Its flat shape in the line's own frame, for faces.
    flat: Vec<DVec2>,
    /// Travel behind it.
    along: DVec3,
    /// Where it stands on the line.
    station: f64,
}

/// A closed loop of points of the mesh, with its flat shape.
struct Loop {
    first: u32,
    flat: Vec<DVec2>,
}

struct Skin {
    spread: Spread,
    mesh: Mesh,
}

impl Spread {
    fn of(sweep: &Sweep) -> Spread {
        let spans = sweep.line.spans();
        let widest = |from: f64, to: f64| {
            let inner = sweep.outside.points.iter().filter(|p| p.0 > from && p.0 < to).map(|p| p.1);
            let ends = [from, to].into_iter().flat_map(|s| limits(sweep.outside, s));
            inner.chain(ends).fold(0.0, f64::max)
        };
        let mut rings = Vec::new();
        for span in spans.iter().filter(|s| s.is_arc()) {
            let Segment::Arc { radius, angle, .. } = span.segment else { continue };
            let sagitta = step_angle(radius + widest(span.from, span.to), 0.5 * sweep.chord);
            let steps = if span.is_mitre() { 1.0 } else { (angle / sagitta).ceil().max(1.0) };
            let at = |k: u32| span.from + (span.to - span.from) * f64::from(k) / steps;
            rings.extend((0..=steps as u32).map(at));
        }
        let length = sweep.line.length();
        let columns = TAU / step_angle(widest(0.0, length), 0.5 * sweep.chord);
        let columns = 4.0 * (0.25 * columns).ceil();
        let clock = |k: u32| TAU * f64::from(k) / columns;
        let clocks = (0..columns as u32).map(clock).map(|c| (c, sin_cos(c).1, sin_cos(c).0)).collect();
        Spread { spans, start: sweep.line.start, length, clocks, rings }
    }

    /// The frame at a station; at a mitre that behind the turn, or, of the sweep's end, that ahead of it.
    fn frame(&self, station: f64, end: usize) -> Frame {
        if let (Some((mitre, _)), 1) = (self.mitre(station), end) {
            return mitre.frame;
        }
        match self.spans.iter().rev().find(|span| span.from <= station) {
            Some(span) if station <= self.length => span.frame_at(station - span.from),
            Some(span) => span.frame_at(span.to - span.from).advanced(station - span.to),
            None => self.start.advanced(station),
        }
    }

    /// The mitre at a station, with its angle.
    fn mitre(&self, station: f64) -> Option<(&Span, f64)> {
        self.spans.iter().find_map(|span| match span.segment {
            Segment::Arc { radius: 0.0, angle, .. } if (span.from - station).abs() < LEAST => {
                Some((span, angle))
            }
            _ => None,
        })
    }

    /// A ring of `radius` at `station`, in the mitre's plane where there is one.
    fn ring(&self, station: f64, radius: f64) -> Ring {
        let Some((mitre, angle)) = self.mitre(station) else {
            return self.leaning(station, &self.frame(station, 0), |_| (0.0, radius));
        };
        let shorter = radius * tan(0.5 * angle);
        let ring = self.leaning(station, &mitre.frame, |clock| (-shorter * cos(clock - mitre.plane), radius));
        Ring { along: mitre.frame_at(0.0).along, ..ring }
    }

    /// A ring at `station` whose points stand as far along `frame` and at the radius that `place` tells by clock.
    fn leaning(&self, station: f64, frame: &Frame, place: impl Fn(f64) -> (f64, f64)) -> Ring {
        let side = frame.side();
        let (mut points, mut flat) = (Vec::new(), Vec::new());
        for &(clock, cos, sin) in &self.clocks {
            let (ahead, radius) = place(clock);
            points.push(frame.at + frame.along * ahead + (frame.inside * cos + side * sin) * radius);
            flat.push(DVec2::new(cos, sin) * radius);
        }
        Ring { points, flat, along: frame.along, station }
    }

    /// The ring at an end.
    fn end_ring(&self, profile: &Profile, reach: [f64; 2], end: usize, tip: Tip) -> Ring {
        let station = reach[end];
        let at_end = |s: f64| limits(profile, s)[1 - end];
        let frame = self.frame(station, end);
        let Tip::Plane { tilt, roll } = tip else {
            return self.leaning(station, &frame, |_| (0.0, at_end(station)));
        };
        let inward = [1.0, -1.0][end] * 0.5 * (reach[1] - reach[0]).min(SLOPE_OVER);
        let slope = (limits(profile, station + inward)[end] - at_end(station)) / inward;
        let cut = Cut { station: 0.0, roll, shape: Shape::Plane { tilt } };
        self.leaning(station, &frame, |clock| {
            let ends = cut.end_of(WallLine { clock, rho: at_end(station), slope });
            (ends, at_end(station) + slope * ends)
        })
    }
}

impl Skin {
    /// The rings of a profile, from end to end.
    fn rings(&self, profile: &Profile, reach: [f64; 2], tips: [Tip; 2]) -> Result<Vec<Ring>, MeshFault> {
        let spread = &self.spread;
        let mut stations = turns(profile);
        stations.extend(&spread.rings);
        stations.retain(|s| *s > reach[0] + LEAST && *s < reach[1] - LEAST);
        stations.sort_by(f64::total_cmp);
        let mut rings = vec![spread.end_ring(profile, reach, 0, tips[0])];
        for near in stations.chunk_by(|a, b| b - a < LEAST) {
            let (first, last) = (near[0], near[near.len() - 1]);
            let radii = [limits(profile, first)[0], limits(profile, last)[1]];
            if (radii[0] - radii[1]).abs() < LEAST {
                rings.push(spread.ring(first, radii[0].max(radii[1])));
            } else {
                rings.extend(radii.map(|radius| spread.ring(first, radius)));
            }
        }
        rings.push(spread.end_ring(profile, reach, 1, tips[1]));
        for pair in rings.windows(2) {
            for (k, clock) in spread.clocks.iter().enumerate() {
                let by = -(pair[1].points[k] - pair[0].points[k]).dot(pair[0].along);
                if by > CROSSED {
                    return Err(MeshFault::Crossed { clock: clock.0, by });
                }
            }
        }
        Ok(rings)
    }

    /// Adds the outside of a sweep with the windows of its wheels, and gives its end loops.
    fn wheeled(&mut self, rings: &[Ring], sweep: &Sweep) -> Result<[Loop; 2], MeshFault> {
        let step = |station: f64| {
            let is_here = |ring: &Ring| (ring.station - station).abs() < LEAST;
            rings.windows(2).position(|pair| pair.iter().all(is_here))
        };
        let loops: Vec<u32> = rings.iter().map(|ring| self.points(&ring.points)).collect();
        let own = |k: usize| Loop { first: loops[k], flat: rings[k].flat.clone() };
        let mut flats = Vec::new();
        for wheel in sweep.wheels.iter().filter(|w| w.from > sweep.from && w.to < sweep.to) {
            let (Some(first), Some(last)) = (step(wheel.from), step(wheel.to)) else { continue };
            let mut faces = [first, last].map(|k| vec![own(k), own(k + 1)]);
            for window in wheel.windows(sweep.outside) {
                let [near, far] = [wheel.from, wheel.to].map(|s| self.flat(&window, s));
                self.band(near, far, window.len() as u32, true);
                [near, far].into_iter().zip(&mut faces).for_each(|(first, face)| {
                    face.push(Loop { first, flat: window.clone() });
                });
            }
            for (face, back) in faces.into_iter().zip([true, false]) {
                self.face(face, back)?;
            }
            flats.extend([first, last]);
        }
        let count = self.spread.clocks.len() as u32;
        for k in (1..loops.len()).filter(|k| !flats.contains(&(k - 1))) {
            self.band(loops[k - 1], loops[k], count, false);
        }
        Ok([own(0), own(loops.len() - 1)])
    }

    /// Adds the points of a flat shape that stands square across the line, and gives the first one's number.
    fn flat(&mut self, shape: &[DVec2], station: f64) -> u32 {
        let frame = self.spread.frame(station, 0);
        let side = frame.side();
        self.points(&shape.iter().map(|p| frame.at + frame.inside * p.x + side * p.y).collect::<Vec<_>>())
    }

    /// Adds the wall of a tube, its metal inside (or outside), and gives its end loops.
    fn tube(&mut self, rings: &[Ring], metal_outside: bool) -> [Loop; 2] {
        let loops: Vec<u32> = rings.iter().map(|ring| self.points(&ring.points)).collect();
        let count = self.spread.clocks.len() as u32;
        for pair in loops.windows(2) {
            self.band(pair[0], pair[1], count, metal_outside);
        }
        let end = |k: usize| Loop { first: loops[k], flat: rings[k].flat.clone() };
        [end(0), end(loops.len() - 1)]
    }

    /// Closes an end: its flat face, and the spigot or socket in it.
    fn close(&mut self, mut face: Vec<Loop>, end: usize, station: f64, tip: Tip) -> Result<(), MeshFault> {
        let frame = self.spread.frame(station, end);
        let side = frame.side();
        let out = [-1.0, 1.0][end];
        let (along, keyed) = match tip {
            Tip::Square | Tip::Plane { .. } => (0.0, None),
            Tip::Spigot(keyed) => (out * keyed.length, Some((keyed, true))),
            Tip::Socket(keyed) => (-out * keyed.depth(), Some((keyed, false))),
        };
        if let Some((keyed, spigot)) = keyed {
            let section = |s: f64| if spigot { keyed.spigot(s) } else { keyed.socket(s) };
            let (near, far) = (section(0.0), section(along.abs()));
            let count = near.len() as u32;
            let [first, last] = [(&near, 0.0), (&far, along)].map(|(flat, s)| {
                let place = |p: &DVec2| frame.at + frame.inside * p.x + side * p.y + frame.along * s;
                self.points(&flat.iter().map(place).collect::<Vec<_>>())
            });
            self.band(first, last, count, end == 0);
            face.push(Loop { first, flat: near });
            self.face(vec![Loop { first: last, flat: far }], end == 0)?;
        }
        self.face(face, end == 0)
    }

    /// A flat face between loops, seen from downstream, or (`back`) from upstream.
    fn face(&mut self, loops: Vec<Loop>, back: bool) -> Result<(), MeshFault> {
        let numbers: Vec<u32> =
            loops.iter().flat_map(|one| (0..one.flat.len() as u32).map(|k| one.first + k)).collect();
        let flats: Vec<Vec<DVec2>> = loops.into_iter().map(|one| one.flat).collect();
        for triangle in divided(&flats)? {
            let [a, b, c] = triangle.map(|k| numbers[k as usize]);
            self.mesh.triangles.push(if back { [a, c, b] } else { [a, b, c] });
        }
        Ok(())
    }

    /// The wall between two loops of `count` points, seen from outside where the second is further downstream.
    fn band(&mut self, near: u32, far: u32, count: u32, turned: bool) {
        for k in 0..count {
            let next = (k + 1) % count;
            let [a, b, c, d] = [near + k, near + next, far + next, far + k];
            let pair = if turned { [[a, c, b], [a, d, c]] } else { [[a, b, c], [a, c, d]] };
            self.mesh.triangles.extend(pair);
        }
    }

    fn points(&mut self, points: &[DVec3]) -> u32 {
        let first = self.mesh.points.len() as u32;
        self.mesh.points.extend(points);
        first
    }
}

/// The stations at which a profile steps or changes its slope, mm; it goes on straight beyond its ends.
fn turns(profile: &Profile) -> Vec<f64> {
    let points = &profile.points;
    let slope = |from: Option<&(f64, f64)>, to: Option<&(f64, f64)>| match (from, to) {
        (Some(a), Some(b)) => (b.1 - a.1) / (b.0 - a.0),
        _ => 0.0,
    };
    let turns = |k: &usize| {
        let before = k.checked_sub(1).and_then(|k| points.get(k));
        let [here, after] = [*k, k + 1].map(|k| points.get(k));
        // A step has no slope, or one that is not finite.
        let change = slope(before, here) - slope(here, after);
        !change.is_finite() || change.abs() > FLAT
    };
    (0..points.len()).filter(turns).map(|k| points[k].0).collect()
}

/// A profile's radius on both sides of a station, mm.
pub(crate) fn limits(profile: &Profile, station: f64) -> [f64; 2] {
    [Side::Upstream, Side::Downstream].map(|side| profile.radius_at(station, side))
}

/// Slopes that differ by less are one: 1e-6 mm over a metre.
const FLAT: f64 = 1e-9;

/// Rings nearer to each other along the line than this are one, and steps lower than it are none, mm: a hundred
/// times what single precision leaves of a header's coordinates.
const LEAST: f64 = 1e-3;

/// How far a cavity reaches out where it is open, mm.
const OUT: f64 = 1.0;

/// How far rings may cross each other by rounding, mm.
const CROSSED: f64 = 1e-6;

/// Over what length the slope under a plane cut is taken, mm.
const SLOPE_OVER: f64 = 1.0;
