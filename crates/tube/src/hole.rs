//! A round hole through a piece's wall.
//!
//! Along the branch's axis t is measured from its foot, outward; phi around it from the host's travel
//! made square to it (u = sin(angle) along - cos(angle) outward), right-handed about the branch's
//! travel, so that phi = 90 degrees looks away from the offset. In the host's coordinates at the foot,
//! the point at t and phi is
//!
//!   axial    t cos(angle) + r cos(phi) sin(angle)
//!   outward  t sin(angle) - r cos(phi) cos(angle)
//!   sideways offset - r sin(phi)
//!
//! and on a host of radius R, t = (sqrt(R^2 - sideways^2) + r cos(phi) cos(angle)) / sin(angle):
//! elementary, and the same as a branch's saddle onto its host, which is how it is computed.

use std::f64::consts::{PI, TAU};
use std::fmt;

use geom::angle::to_degrees;
use geom::math::{atan2, cos, hypot, sin, sin_cos};
use geom::{DVec3, Frame, quadrature};

use crate::cut::{Cut, End, Shape, WallLine};
use crate::piece::{ACCURACY, Body, Piece};
use crate::round::{curve_length, lowest};
use crate::saddle::Saddle;

/// A round hole through a piece's wall, cut by a cylinder about a branch's axis. On a straight of a
/// tube, or on a cone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Station on the piece's axis of the foot, where the branch's axis passes abreast of it, mm. It
    /// may lie outside the straight, or the piece, that the hole is in. See [`Hole::piercing_at`].
    pub station: f64,
    /// Clock of the outward direction in the plane of which the branch leans, rad.
    pub clock: f64,
    /// Angle between the branch's travel and the piece's travel, rad; in (0, PI); PI / 2 is square; a
    /// small one leaves forward.
    pub angle: f64,
    /// Distance of the branch's axis from the piece's axis, mm, toward `along x outward(clock)`.
    pub offset: f64,
    /// Radius of the hole's cylinder, mm.
    pub radius: f64,
}

/// Why a hole cannot be cut where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleFault {
    /// Wider than the host lets it be: the largest radius at this offset, mm; 0 or less when the offset
    /// alone is too large.
    TooWide {
        /// Largest radius that fits, mm.
        largest: f64,
    },
    /// The branch leans so far that it never leaves its host: the least angle, rad.
    TooShallow {
        /// Angle that it must exceed, rad.
        least: f64,
    },
    /// It reaches into a bend.
    IntoBend {
        /// By how much along the axis, mm.
        by: f64,
    },
    /// It reaches over the piece's cut end.
    OverEnd {
        /// Which end.
        end: End,
        /// By how much along the axis, mm.
        by: f64,
    },
    /// On a merge's leg: it reaches over the seam with a neighbour.
    IntoSeam {
        /// By how much along the leg's axis, mm.
        by: f64,
    },
    /// It overlaps another hole of the piece.
    Overlaps {
        /// The other hole's number, from 0.
        other: usize,
        /// By how much along the axis they have to move apart, mm.
        by: f64,
    },
}

/// The smallest and the largest clock of a hole's edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flanks {
    /// Angle around the branch, and clock, where the clock is least, rad.
    pub least: (f64, f64),
    /// The same where it is largest.
    pub largest: (f64, f64),
}

impl Hole {
    /// The same hole, moved along `piece` so that its axis pierces the outside at station `at` mm.
    ///
    /// The foot lies `sqrt(R^2 - offset^2) / tan(angle)` upstream, R being the outside radius at `at`.
    pub fn piercing_at(self, piece: &Piece, at: f64) -> Hole {
        let radius = piece.outer_radius(at);
        let height = (radius * radius - self.offset * self.offset).max(0.0).sqrt();
        let (s, c) = sin_cos(self.angle);
        Hole { station: at - height * c / s, ..self }
    }

    /// The foot, with the branch's travel outward; clock 0 (phi = 0) along the host's travel made square.
    pub fn axis(&self, piece: &Piece) -> Frame {
        let ground = self.ground(piece);
        let foot = ground.frame.advanced(self.station - ground.station).turned(self.clock);
        let (s, c) = sin_cos(self.angle);
        Frame {
            at: foot.at + foot.side() * self.offset,
            along: foot.along * c + foot.inside * s,
            inside: foot.along * s - foot.inside * c,
        }
    }

    /// The host's surface at `depth` in its wall, in the coordinates of [`Hole::axis`]: what a branch's
    /// start cut is, with its origin at the foot and its zero along phi = 0.
    pub fn saddle(&self, piece: &Piece, depth: f64) -> Saddle {
        let line = piece.line(self.clock, depth);
        let (s, c) = sin_cos(self.angle);
        Saddle {
            at: DVec3::new(0.0, self.offset, 0.0),
            along: DVec3::new(s, 0.0, c),
            radius: line.rho + line.slope * self.station,
            slope: line.slope,
            end: End::Start,
        }
    }

    /// The start cut of a branch on this hole's axis, at station `foot` mm of the branch: onto the
    /// outside (`depth` 1) or the bore (0). `frame` is the branch's own at its start.
    pub fn branch_cut(&self, piece: &Piece, depth: f64, foot: f64, frame: Frame) -> Cut {
        let roll = frame.clock_of(self.axis(piece).inside);
        Cut { station: foot, roll, shape: Shape::Saddle(self.saddle(piece, depth)) }
    }

    /// Distance along the branch's axis from its foot to where the axis pierces the wall at `depth`, mm.
    pub fn rise(&self, piece: &Piece, depth: f64) -> f64 {
        self.saddle(piece, depth).end_of(WallLine { clock: 0.0, rho: 0.0, slope: 0.0 })
    }

    /// The hole's edge on the wall at `depth` (0 bore, 1 outside) and `phi` around the branch: clock
    /// (rad, within half a turn of [`Hole::clock`]) and station (mm).
    pub fn edge(&self, piece: &Piece, phi: f64, depth: f64) -> (f64, f64) {
        self.place(&self.saddle(piece, depth), phi)
    }

    /// The point of that edge in space.
    pub fn edge_point(&self, piece: &Piece, phi: f64, depth: f64) -> DVec3 {
        let line = WallLine { clock: phi, rho: self.radius, slope: 0.0 };
        self.axis(piece).point(self.saddle(piece, depth).end_of(line), phi, self.radius)
    }

    /// Angles around the branch, rad, at which the edge at `depth` has a corner or turns sharpest.
    pub fn kinks(&self, piece: &Piece, depth: f64) -> Vec<f64> {
        self.saddle(piece, depth).kinks(self.radius, 0.0)
    }

    /// Stations (mm) and clocks (rad, about [`Hole::clock`]) between which it opens the wall, bore and
    /// outside together.
    pub fn extent(&self, piece: &Piece) -> ((f64, f64), (f64, f64)) {
        let mut extent = ((f64::INFINITY, f64::NEG_INFINITY), (f64::INFINITY, f64::NEG_INFINITY));
        for depth in [0.0, 1.0] {
            let (stations, flanks) = (self.stations(piece, depth), self.flanks(piece, depth));
            let wider = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
            extent = (wider(extent.0, stations), wider(extent.1, (flanks.least.1, flanks.largest.1)));
        }
        extent
    }

    /// The smallest and the largest station of the edge at `depth`, mm.
    pub fn stations(&self, piece: &Piece, depth: f64) -> (f64, f64) {
        let (saddle, kinks) = (self.saddle(piece, depth), self.kinks(piece, depth));
        let station = |phi: f64| self.place(&saddle, phi).1;
        (station(lowest(station, &kinks)), station(lowest(|phi| -station(phi), &kinks)))
    }

    /// Where the clock of the edge at `depth` is least and largest. On a tube at phi = 90 and 270 degrees.
    pub fn flanks(&self, piece: &Piece, depth: f64) -> Flanks {
        let saddle = self.saddle(piece, depth);
        let clock = |phi: f64| self.place(&saddle, phi).0;
        let quarters = [0.5 * PI, 1.5 * PI];
        let [least, largest] = match piece.body {
            Body::Tube { .. } => quarters,
            Body::Cone { .. } => [lowest(clock, &quarters), lowest(|phi| -clock(phi), &quarters)],
        };
        Flanks { least: (least, clock(least)), largest: (largest, clock(largest)) }
    }

    /// The stations between which the wall line at `clock` and `depth` is open, mm; `None` where the
    /// hole does not reach it.
    pub fn span(&self, piece: &Piece, clock: f64, depth: f64) -> Option<(f64, f64)> {
        let around = clock - self.clock;
        let line = piece.line(around, depth);
        let line = WallLine { rho: line.rho + line.slope * self.station, ..line };
        let (s, c) = sin_cos(self.angle);
        // The hole's cylinder is round to the host's lines as the host is to the branch's.
        let cylinder = Saddle {
            at: DVec3::new(0.0, self.offset, 0.0),
            along: DVec3::new(s, 0.0, c),
            radius: self.radius,
            slope: 0.0,
            end: End::Start,
        };
        let (from, to) = cylinder.meetings(line).filter(|_| cos(around) > 0.0)?;
        Some((self.station + from, self.station + to))
    }

    /// The angle around the branch, rad in `(-PI, PI]`, of the wall's point at `station`, `clock` and `depth`.
    pub fn phi_of(&self, piece: &Piece, station: f64, clock: f64, depth: f64) -> f64 {
        let line = piece.line(clock - self.clock, depth);
        let rho = line.rho + line.slope * station;
        let ((s, c), (side, out)) = (sin_cos(self.angle), sin_cos(line.clock));
        atan2(self.offset - rho * side, (station - self.station) * s - rho * out * c)
    }

    /// How far outside the hole's cylinder the wall's point at `station`, `clock` and `depth` is, mm;
    /// negative where it is cut away.
    pub fn clearance(&self, piece: &Piece, station: f64, clock: f64, depth: f64) -> f64 {
        let line = piece.line(clock - self.clock, depth);
        let rho = line.rho + line.slope * station;
        let ((s, c), (side, out)) = (sin_cos(self.angle), sin_cos(line.clock));
        hypot(rho * side - self.offset, (station - self.station) * s - rho * out * c) - self.radius
    }

    /// Length of the edge at `depth`, mm, to [`ACCURACY`].
    pub fn edge_length(&self, piece: &Piece, depth: f64) -> f64 {
        let (saddle, mut breaks) = (self.saddle(piece, depth), self.kinks(piece, depth));
        breaks.extend([0.0, TAU]);
        breaks.sort_by(f64::total_cmp);
        let rise = |phi| saddle.end_of(WallLine { clock: phi, rho: self.radius, slope: 0.0 });
        let step = |a: f64, b: f64| hypot(rise(b) - rise(a), self.radius * (b - a));
        breaks.windows(2).map(|w| curve_length(&step, (w[0], w[1]), ACCURACY)).sum()
    }

    /// Volume that it takes out of the wall, mm3, to [`ACCURACY`].
    pub fn volume(&self, piece: &Piece) -> f64 {
        let [bore, outside] = [0.0, 1.0].map(|depth| self.saddle(piece, depth));
        self.over_disc(|line| outside.end_of(line) - bore.end_of(line))
    }

    /// Area that it takes out of the outside, mm2, to [`ACCURACY`].
    pub fn outside_area(&self, piece: &Piece) -> f64 {
        self.skin_area(piece, 1.0)
    }

    /// Area that it takes out of the wall's surface at `depth`, mm2, to [`ACCURACY`]: the disc over the
    /// cosine between the branch and the surface's normal.
    pub(crate) fn skin_area(&self, piece: &Piece, depth: f64) -> f64 {
        let surface = self.saddle(piece, depth);
        let stretch = hypot(1.0, surface.slope);
        let (s, c) = sin_cos(self.angle);
        self.over_disc(|line| {
            let point = self.local(line, surface.end_of(line));
            let normal = point.x / hypot(point.x, point.y) * s - surface.slope * c;
            stretch / normal
        })
    }

    /// Area of its own wall, mm2, to [`ACCURACY`]: its circumference times its height, around.
    pub(crate) fn wall_area(&self, piece: &Piece) -> f64 {
        let [bore, outside] = [0.0, 1.0].map(|depth| self.saddle(piece, depth));
        let height = |phi: f64| {
            let line = WallLine { clock: phi, rho: self.radius, slope: 0.0 };
            self.radius * (outside.end_of(line) - bore.end_of(line))
        };
        let mut breaks = self.kinks(piece, 0.0);
        breaks.extend(self.kinks(piece, 1.0));
        breaks.extend([0.0, TAU]);
        breaks.sort_by(f64::total_cmp);
        quadrature::integrate_pieces(&height, &breaks, ACCURACY * TAU * self.radius * piece.wall())
    }

    /// The largest radius that the wall at `depth` holds at this offset, mm: every line of the hole's
    /// cylinder has to cross the plane square to its lean, through the host's axis, inside the wall.
    ///
    /// On a tube `R - |offset|`; on a cone that grows by k, `(R - |offset|) / sqrt(1 + (k / sin(angle))^2)`
    /// with R at the foot.
    pub fn largest_radius(&self, piece: &Piece, depth: f64) -> f64 {
        let line = piece.line(0.0, depth);
        let radius = line.rho + line.slope * self.station;
        (radius - self.offset.abs()) / hypot(1.0, line.slope / sin(self.angle))
    }

    /// Why its cylinder cannot go through the wall of `piece` at each of `depths`: both for a hole, the
    /// outside alone for the outline of a tube that is set on. Not against other holes.
    pub fn faults(&self, piece: &Piece, depths: &[f64]) -> Vec<HoleFault> {
        let slope = piece.line(0.0, 1.0).slope.abs();
        let least = geom::math::atan(slope);
        if self.angle <= least || self.angle >= PI - least {
            return vec![HoleFault::TooShallow { least }];
        }
        let largest = depths.iter().map(|d| self.largest_radius(piece, *d)).fold(f64::INFINITY, f64::min);
        if self.radius > largest + TOUCH {
            return vec![HoleFault::TooWide { largest }];
        }
        let ground = self.ground(piece);
        let mut bend: f64 = 0.0;
        for &depth in depths {
            let (first, last) = self.stations(piece, depth);
            bend = bend.max(ground.from - first).max(last - ground.to);
        }
        let in_bend = (bend > TOUCH).then_some(HoleFault::IntoBend { by: bend });
        let ends = [End::Start, End::End].into_iter().filter_map(|end| self.end_fault(piece, depths, end));
        in_bend.into_iter().chain(ends).collect()
    }

    /// By how much the two holes have to move apart along the axis so that metal stays between them, mm.
    ///
    /// At every clock that both open, the one that is upstream has to end before the other begins.
    pub fn overlap(&self, other: &Hole, piece: &Piece) -> Option<f64> {
        let middle = |hole: &Hole| hole.stations(piece, 1.0).0 + hole.stations(piece, 1.0).1;
        let (up, down) = if middle(self) <= middle(other) { (self, other) } else { (other, self) };
        let nearest = ((down.clock - up.clock) / TAU).round();
        let mut worst = f64::NEG_INFINITY;
        for depth in [0.0, 1.0] {
            for turn in [nearest - 1.0, nearest, nearest + 1.0] {
                worst = worst.max(overlap_at(
                    piece,
                    depth,
                    up,
                    &Hole { clock: down.clock - TAU * turn, ..*down },
                ));
            }
        }
        (worst > -LEAST_WEB).then_some(worst + LEAST_WEB)
    }

    /// How far it reaches over the metal's edge at `end`, if it leaves no metal there.
    fn end_fault(&self, piece: &Piece, depths: &[f64], end: End) -> Option<HoleFault> {
        let mut worst = (f64::NEG_INFINITY, 0.0, 0.0);
        for &depth in depths {
            let saddle = self.saddle(piece, depth);
            let room = |phi: f64| {
                let (clock, station) = self.place(&saddle, phi);
                let edge = piece.edge(end, clock, depth);
                if end == End::Start { station - edge } else { edge - station }
            };
            let phi = lowest(room, &self.kinks(piece, depth));
            if -room(phi) > worst.0 {
                worst = (-room(phi), self.place(&saddle, phi).0, depth);
            }
        }
        let (past, clock, depth) = worst;
        if past <= -LEAST_WEB {
            return None;
        }
        let by = past + LEAST_WEB;
        let cut = piece.cut(end);
        let seam = match &cut.shape {
            Shape::Leg(leg) => {
                let phi = geom::angle::wrap_signed(clock - cut.roll).abs();
                phi >= leg.seam_begin(piece.line(0.0, depth).rho)
            }
            _ => false,
        };
        Some(if seam { HoleFault::IntoSeam { by } } else { HoleFault::OverEnd { end, by } })
    }

    /// The stations between which the straight that it stands on lies on `piece`, mm.
    pub fn straight(&self, piece: &Piece) -> (f64, f64) {
        let ground = self.ground(piece);
        (ground.from.max(0.0), ground.to.min(piece.length()))
    }

    /// The straight that it stands on: the one nearest to where its axis pierces the outside.
    fn ground(&self, piece: &Piece) -> Ground {
        let Body::Tube { centreline, .. } = &piece.body else {
            return Ground::endless(piece.frame_at(0.0), 0.0);
        };
        let at = self.station + self.rise(piece, 1.0) * cos(self.angle);
        let spans = centreline.spans();
        let far = |from: f64, to: f64| (from - at).max(at - to).max(0.0);
        let straights = (0..spans.len()).filter(|i| !spans[*i].is_arc());
        let nearest = straights
            .min_by(|i, j| far(spans[*i].from, spans[*i].to).total_cmp(&far(spans[*j].from, spans[*j].to)));
        let Some(i) = nearest else {
            return Ground { frame: piece.frame_at(at), station: at, from: at, to: at };
        };
        let mut ground = Ground::endless(spans[i].frame, spans[i].from);
        if i > 0 {
            ground.from = spans[i].from;
        }
        if i + 1 < spans.len() {
            ground.to = spans[i].to;
        }
        // A formed end is no ground either.
        let [first, last] = piece.forms.map(|form| form.map(|form| form.length()));
        ground.from = first.map_or(ground.from, |formed| ground.from.max(formed));
        ground.to = last.map_or(ground.to, |formed| ground.to.min(piece.length() - formed));
        ground
    }

    /// Clock and station of the edge on the surface `saddle`.
    fn place(&self, saddle: &Saddle, phi: f64) -> (f64, f64) {
        let line = WallLine { clock: phi, rho: self.radius, slope: 0.0 };
        let point = self.local(line, saddle.end_of(line));
        (self.clock + atan2(point.y, point.x), self.station + point.z)
    }

    /// The point at `t` of a line along the branch: x outward, y sideways, z along the host from the foot.
    fn local(&self, line: WallLine, t: f64) -> DVec3 {
        let ((s, c), (sp, cp)) = (sin_cos(self.angle), sin_cos(line.clock));
        DVec3::new(t * s - line.rho * cp * c, self.offset - line.rho * sp, t * c + line.rho * cp * s)
    }

    /// The integral over the hole's cross-section of `f` of the line there.
    ///
    /// Strip by strip at constant sideways distance, the strips spread as the sine, so that the square
    /// roots at the flanks come out smooth.
    fn over_disc(&self, f: impl Fn(WallLine) -> f64) -> f64 {
        let r = self.radius;
        let middle = f(WallLine { clock: 0.0, rho: 0.0, slope: 0.0 });
        let tolerance = ACCURACY * r * r * middle.abs();
        let strip = |psi: f64| {
            let (s, c) = sin_cos(psi);
            let (x, y) = (r * c, r * s);
            let cell = |u: f64| f(WallLine { clock: atan2(y, u), rho: hypot(u, y), slope: 0.0 });
            x * quadrature::integrate(&cell, -x, x, tolerance / TAU / r)
        };
        quadrature::integrate_pieces(&strip, &[-0.5 * PI, 0.0, 0.5 * PI], tolerance)
    }
}

/// A straight that a hole stands on.
struct Ground {
    /// A frame on its axis, clock 0 on the scribe line, and the frame's station, mm.
    frame: Frame,
    station: f64,
    /// Stations at which it runs into a bend, mm; infinite where the piece ends before.
    from: f64,
    to: f64,
}

impl Ground {
    fn endless(frame: Frame, station: f64) -> Ground {
        Ground { frame, station, from: f64::NEG_INFINITY, to: f64::INFINITY }
    }
}

impl fmt::Display for HoleFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            HoleFault::TooWide { largest } => {
                write!(f, "the largest diameter that fits is {:.2} mm", 2.0 * largest.max(0.0))
            }
            HoleFault::TooShallow { least } => {
                write!(f, "its angle has to be above {:.1} degrees", to_degrees(*least))
            }
            HoleFault::IntoBend { by } => write!(f, "it reaches {by:.2} mm into a bend"),
            HoleFault::OverEnd { end: End::Start, by } => write!(f, "it reaches {by:.2} mm over the start"),
            HoleFault::OverEnd { end: End::End, by } => write!(f, "it reaches {by:.2} mm over the end"),
            HoleFault::IntoSeam { by } => write!(f, "it reaches {by:.2} mm over the seam with the next leg"),
            HoleFault::Overlaps { other, by } => {
                write!(f, "it overlaps hole {} by {by:.2} mm", other + 1)
            }
        }
    }
}

impl std::error::Error for HoleFault {}

/// How far `up` reaches past the beginning of `down` at any clock that both open, mm; their clocks are
/// taken as they are.
fn overlap_at(piece: &Piece, depth: f64, up: &Hole, down: &Hole) -> f64 {
    let (a, b) = (up.flanks(piece, depth), down.flanks(piece, depth));
    let (from, to) = (a.least.1.max(b.least.1), a.largest.1.min(b.largest.1));
    let past = |clock: f64| match (up.span(piece, clock, depth), down.span(piece, clock, depth)) {
        (Some(up), Some(down)) => up.1 - down.0,
        _ => f64::NEG_INFINITY,
    };
    if (to - from).abs() * piece.line(0.0, depth).rho < LEAST_WEB {
        // Side by side: one's flank against the other's.
        let station = |hole: &Hole, phi: f64| hole.edge(piece, phi, depth).1;
        let (left, right) = if a.least.1 < b.least.1 { ((up, a), (down, b)) } else { ((down, b), (up, a)) };
        let apart = station(left.0, left.1.largest.0) - station(right.0, right.1.least.0);
        return if apart.abs() < LEAST_WEB { 0.0 } else { f64::NEG_INFINITY };
    }
    if from >= to {
        return f64::NEG_INFINITY;
    }
    let part = |i: u32| from + (to - from) * f64::from(i) / f64::from(PARTS);
    let best = (0..=PARTS).max_by(|i, j| past(part(*i)).total_cmp(&past(part(*j)))).unwrap_or(0);
    let (a, b) = (part(best.saturating_sub(1)), part((best + 1).min(PARTS)));
    let peak = geom::roots::minimum(|clock| -past(clock), a, b, 1e-9);
    past(peak).max(past(part(best)))
}

/// Surfaces that come this near each other only touch, mm.
const TOUCH: f64 = 1e-8;

/// Metal between a hole and the next one, or the end of its piece, that counts as none, mm.
pub const LEAST_WEB: f64 = 1e-3;

/// Clocks at which two holes' overlap is looked for before it is refined.
const PARTS: u32 = 64;
