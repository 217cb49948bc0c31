//! The joint of two printed parts: a round spigot with one rib, and its socket.
//!
//! Both are made of flats: a pin of many sides and a rib with flat sides and top. Growing moves each flat along its
//! normal, so that spigot and socket are exactly as far apart as they are meant to be, in the mesh too.

use std::f64::consts::TAU;

use geom::DVec3;
use geom::math::{asin, cos, sin_cos, tan};
use plate::DVec2;
use spec::shop::Printer;
use tube::{Centreline, End};

use crate::profile::Profile;
use crate::sweep::limits;

/// A spigot: a round pin with one rib along it, so that it enters at one clock only. Its socket is the same
/// grown by `gap` on every side, and deeper by `gap`. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keyed {
    /// Radius of the pin at the cut, over the corners of its flats.
    pub radius: f64,
    /// How far it stands out of the cut.
    pub length: f64,
    /// Width of the rib at the cut, between its parallel sides.
    pub rib_width: f64,
    /// How far the rib stands out of the pin.
    pub rib_height: f64,
    /// Clock of the rib's middle, by the strand's scribe line.
    pub clock: f64,
    /// How much every side leans inward toward the tip; 0 where parts are put together along the strand.
    pub draft: f64,
    /// Room between spigot and socket, square to their surfaces.
    pub gap: f64,
}

impl Keyed {
    /// The spigot that suits a cut with a free circle of radius `room` (mm, see [`room`]), its rib at `clock`, its
    /// sides leaning by `draft` (rad).
    ///
    /// The pin has 0.6 of `room` and the rib 6 by 3 mm, less where the wall around the socket would fall under 3 mm
    /// or four nozzles (all common practice, no source). A leaning spigot has a wider rib, and is shorter where
    /// nothing would be left of its tip. Error: how much diameter is missing, mm.
    pub fn fitting(room: f64, clock: f64, draft: f64, printer: &Printer) -> Result<Keyed, f64> {
        let within = |room: f64| Keyed::longest(room, clock, draft, printer);
        if let Some(keyed) = within(room) {
            return Ok(keyed);
        }
        let (mut short, mut enough) = (room, room.max(1.0));
        while within(enough).is_none() {
            short = enough;
            enough *= 2.0;
        }
        while enough - short > 0.01 {
            let middle = 0.5 * (short + enough);
            if within(middle).is_some() { enough = middle } else { short = middle }
        }
        Err(2.0 * (enough - room))
    }

    /// The longest spigot for `room`; `None` where the least is too large.
    fn longest(room: f64, clock: f64, draft: f64, printer: &Printer) -> Option<Keyed> {
        let steps = (printer.spigot - LEAST_LENGTH).max(0.0) / SHORTER;
        let lengths = (0..=steps as u32).map(|k| printer.spigot - SHORTER * f64::from(k));
        lengths.filter_map(|length| Keyed::as_long(length, room, clock, draft, printer)).next()
    }

    /// The spigot of this length for `room`; `None` where there is none.
    fn as_long(length: f64, room: f64, clock: f64, draft: f64, printer: &Printer) -> Option<Keyed> {
        let gap = printer.fit_gap;
        let (grown, leant) = (gap / cos(draft), length * tan(draft));
        let wall = LEAST_WALL.max(NOZZLES * printer.nozzle);
        let least_rib = LEAST_RIB.max(2.0 * gap + printer.nozzle);
        let rib_height = (RIB_OF_ROOM * room).clamp(least_rib, RIB.max(least_rib));
        let rib_width = (2.0 * rib_height).max(rib_height + 2.0 * leant);
        let (reach, half) = (room - wall, 0.5 * rib_width + grown);
        if reach <= half {
            return None;
        }
        let most = (reach * reach - half * half).sqrt() - rib_height - grown;
        let radius = most.min(PIN_OF_ROOM * room);
        let stands = radius >= LEAST_PIN && rib_width <= 1.5 * radius && leant <= 0.5 * radius;
        stands.then_some(Keyed { radius, length, rib_width, rib_height, clock, draft, gap })
    }

    /// Depth of the socket, mm.
    pub fn depth(&self) -> f64 {
        self.length + self.gap
    }

    /// The spigot's section `along` mm from the cut: x toward clock 0, y toward clock 90, anticlockwise. Every
    /// section of the spigot and of the socket has the same corners in the same order.
    pub fn spigot(&self, along: f64) -> Vec<DVec2> {
        self.section(-along * tan(self.draft))
    }

    /// The socket's section `along` mm from the cut, as [`Keyed::spigot`].
    pub fn socket(&self, along: f64) -> Vec<DVec2> {
        self.section(self.gap / cos(self.draft) - along * tan(self.draft))
    }

    /// Volume of the spigot, mm3, exact.
    pub fn spigot_volume(&self) -> f64 {
        volume(self.length, |along| self.spigot(along))
    }

    /// Volume of the socket, mm3, exact.
    pub fn socket_volume(&self) -> f64 {
        volume(self.depth(), |along| self.socket(along))
    }

    /// Radius of the circle around its socket's mouth, mm.
    pub fn reach(&self) -> f64 {
        self.socket(0.0).iter().map(|p| p.length()).fold(0.0, f64::max)
    }

    /// The section at the cut with every side moved outward by `grown` mm.
    fn section(&self, grown: f64) -> Vec<DVec2> {
        let corners = self.corners();
        let count = corners.len();
        let (sin, cos) = sin_cos(self.clock);
        let outward = |k: usize| {
            let side = (corners[(k + 1) % count] - corners[k]).normalize();
            DVec2::new(side.y, -side.x)
        };
        let moved = |k: usize| {
            let (before, after) = (outward((k + count - 1) % count), outward(k));
            let corner = corners[k] + (before + after) * (grown / (1.0 + before.dot(after)));
            DVec2::new(corner.x * cos - corner.y * sin, corner.x * sin + corner.y * cos)
        };
        (0..count).map(moved).collect()
    }

    /// The corners of the section at the cut, the rib toward x.
    fn corners(&self) -> Vec<DVec2> {
        let flats = (TAU * self.radius / FLAT).clamp(LEAST_FLATS, MOST_FLATS);
        let from = asin(0.5 * self.rib_width / self.radius);
        let sides = ((TAU - 2.0 * from) * flats / TAU).ceil();
        let mut corners: Vec<DVec2> = (0..=sides as u32)
            .map(|k| sin_cos(from + (TAU - 2.0 * from) * f64::from(k) / sides))
            .map(|(sin, cos)| DVec2::new(cos, sin) * self.radius)
            .collect();
        let top = self.radius + self.rib_height;
        corners.push(DVec2::new(top, -0.5 * self.rib_width));
        corners.push(DVec2::new(top, 0.5 * self.rib_width));
        corners
    }
}

/// Radius of the largest circle around the tangent at `station` that stays in the strand for `depth` mm: upstream of
/// the cut for `End::End` (a socket at an end), downstream of it for `End::Start`. In mm; below 0 where there is none.
///
/// On a straight it is the least outside radius. In a bend it is less by how far the tangent leaves the line.
pub fn room(line: &Centreline, outside: &Profile, station: f64, end: End, depth: f64) -> f64 {
    let frame = line.frame_at(station);
    let sign = if end == End::End { -1.0 } else { 1.0 };
    let axis = |along: f64| -> DVec3 { frame.at + frame.along * (sign * along) };
    let free = |along: f64| {
        let at = station + sign * along;
        limits(outside, at).into_iter().fold(f64::INFINITY, f64::min)
            - axis(along).distance(line.frame_at(at).at)
    };
    let steps = (depth / ROOM_STEP).ceil().max(1.0);
    let mut stations: Vec<f64> = (0..=steps as u32).map(|k| depth * f64::from(k) / steps).collect();
    let corners = outside.points.iter().map(|p| sign * (p.0 - station));
    stations.extend(corners.filter(|along| *along > 0.0 && *along < depth));
    stations.into_iter().map(free).fold(f64::INFINITY, f64::min)
}

/// Volume, mm3, of a body whose section's area is quadratic along it (a prismatoid), by Simpson's rule.
fn volume(length: f64, section: impl Fn(f64) -> Vec<DVec2>) -> f64 {
    let area = |along: f64| area(&section(along));
    length / 6.0 * (area(0.0) + 4.0 * area(0.5 * length) + area(length))
}

/// Area of a polygon that runs anticlockwise, mm2.
fn area(corners: &[DVec2]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    0.5 * corners.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
}

/// The least wall around a socket, mm, and in nozzles (common practice, no source).
const LEAST_WALL: f64 = 3.0;
/// See [`LEAST_WALL`].
const NOZZLES: f64 = 4.0;

/// The pin's radius by that of the free circle (common practice, no source).
const PIN_OF_ROOM: f64 = 0.6;

/// The thinnest pin, radius in mm (common practice, no source).
const LEAST_PIN: f64 = 4.0;

/// The rib's height by the radius of the free circle, and its most and least, mm (common practice, no source).
const RIB_OF_ROOM: f64 = 0.2;
/// See [`RIB_OF_ROOM`].
const RIB: f64 = 3.0;
/// See [`RIB_OF_ROOM`].
const LEAST_RIB: f64 = 1.5;

/// The shortest spigot, mm (common practice, no source), and by how much shorter ones are tried.
const LEAST_LENGTH: f64 = 5.0;
/// See [`LEAST_LENGTH`].
const SHORTER: f64 = 0.5;

/// Width of a pin's flats, mm, and how many there are at least and at most.
const FLAT: f64 = 1.5;
/// See [`FLAT`].
const LEAST_FLATS: f64 = 24.0;
/// See [`FLAT`].
const MOST_FLATS: f64 = 96.0;

/// How far apart [`room`] looks, mm.
const ROOM_STEP: f64 = 0.5;
