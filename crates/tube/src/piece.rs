//! A piece: a tube or cone between two cuts, from which every number and mesh of it is derived.

use std::f64::consts::TAU;

use geom::math::atan2;
use geom::{DVec3, Frame, quadrature};

use crate::alloy::Alloy;
use crate::centreline::Centreline;
use crate::cut::{Cut, End, Shape, WallLine};
use crate::form::Form;
use crate::hole::{Hole, HoleFault};
use crate::round::{curve_length, lowest};
use crate::row::Rows;
use crate::section::Section;

/// What a piece is made from, before its ends are cut.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A tube, straight or bent.
    Tube {
        /// Its centreline from station 0; longer or shorter than the piece by nothing.
        centreline: Centreline,
        /// Its section.
        section: Section,
    },
    /// A plain cone.
    Cone {
        /// Its axis at station 0.
        frame: Frame,
        /// Outside diameter at station 0, mm.
        start_od: f64,
        /// Outside diameter at `length`, mm.
        end_od: f64,
        /// Length along the axis, mm.
        length: f64,
        /// Wall, square to the surface, mm.
        wall: f64,
        /// What it is made of.
        alloy: &'static Alloy,
    },
}

/// A part that is cut, marked and welded.
///
/// Invariants kept by [`Piece::tube`] and [`Piece::cone`]: station 0 is the longest point of the start
/// cut, and the body ends at the longest point of the end cut. Depth in the wall runs from 0 at the
/// bore to 1 at the outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What it is made from.
    pub body: Body,
    /// Its upstream end.
    pub start: Cut,
    /// Its downstream end.
    pub end: Cut,
    /// The holes through its wall, none of them reaching another or an end, see [`Piece::hole_faults`].
    pub holes: Vec<Hole>,
    /// Its formed ends, start and end: on straights of a tube, cut square. See [`Piece::formed`].
    pub forms: [Option<Form>; 2],
}

/// The longest and the shortest point of a cut's edge: clock (rad) and station (mm).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extremes {
    /// Where the metal reaches furthest.
    pub longest: (f64, f64),
    /// Where it reaches least.
    pub shortest: (f64, f64),
}

/// Relative accuracy of [`Piece::volume`], [`Piece::outside_area`] and [`Piece::edge_length`].
pub const ACCURACY: f64 = 1e-9;

impl Piece {
    /// A piece of tube: `centreline` and the cuts on its stations, moved so that station 0 is the
    /// longest point of the start cut and the centreline ends at the longest point of the end cut.
    ///
    /// `None` when a cut removes more than the straight that it stands on; ask
    /// [`Piece::missing_straight`] of a shorter cut first where that can be.
    pub fn tube(centreline: Centreline, section: Section, start: Cut, end: Cut) -> Option<Piece> {
        let length = centreline.length();
        let rough = Piece {
            body: Body::Tube { centreline, section },
            start,
            end,
            holes: Vec::new(),
            forms: [None; 2],
        };
        let (first, last) = (rough.reach(End::Start), rough.reach(End::End));
        let Body::Tube { centreline, section } = rough.body else { return None };
        let centreline = centreline.extended(-first, last - length)?;
        Some(Piece {
            body: Body::Tube { centreline, section },
            start: rough.start.moved(-first),
            end: rough.end.moved(-first),
            holes: Vec::new(),
            forms: [None; 2],
        })
    }

    /// A cone whose start may be cut; its end is square at `length`. Station 0 moves to the longest
    /// point of the start cut, and the diameter there with it.
    pub fn cone(body: Body, start: Cut) -> Option<Piece> {
        let Body::Cone { frame, start_od, end_od, length, wall, alloy } = body else { return None };
        let rough = Piece {
            body: Body::Cone { frame, start_od, end_od, length, wall, alloy },
            start,
            end: Cut::square(length),
            holes: Vec::new(),
            forms: [None; 2],
        };
        let first = rough.reach(End::Start);
        let body = Body::Cone {
            frame: frame.advanced(first),
            start_od: 2.0 * rough.outer_radius(first),
            end_od,
            length: length - first,
            wall,
            alloy,
        };
        (first < length).then(|| Piece {
            body,
            start: rough.start.moved(-first),
            end: rough.end.moved(-first),
            holes: Vec::new(),
            forms: [None; 2],
        })
    }

    /// The piece with an end formed. `None` where it is no tube, where the cut there is not square, or where
    /// the straight there does not hold what is formed.
    pub fn formed(mut self, end: End, form: Form) -> Option<Piece> {
        let Body::Tube { centreline, .. } = &self.body else { return None };
        self.forms[end as usize] = Some(form);
        let held: Vec<f64> = self.forms.iter().map(|f| f.map_or(0.0, |f| f.length())).collect();
        let (first, last) = centreline.end_straights();
        let bent = !centreline.rows().rows.is_empty();
        let fits = if bent { held[0] <= first && held[1] <= last } else { held[0] + held[1] <= first };
        (fits && self.cut(end).shape == Shape::Square).then_some(self)
    }

    /// Length along the axis from long point to long point, mm.
    pub fn length(&self) -> f64 {
        match &self.body {
            Body::Tube { centreline, .. } => centreline.length(),
            Body::Cone { length, .. } => *length,
        }
    }

    /// What it is made of.
    pub fn alloy(&self) -> &'static Alloy {
        match &self.body {
            Body::Tube { section, .. } => section.alloy,
            Body::Cone { alloy, .. } => alloy,
        }
    }

    /// Its tube section; `None` for a cone.
    pub fn section(&self) -> Option<Section> {
        match &self.body {
            Body::Tube { section, .. } => Some(*section),
            Body::Cone { .. } => None,
        }
    }

    /// Its wall, square to the surface, mm.
    pub fn wall(&self) -> f64 {
        match &self.body {
            Body::Tube { section, .. } => section.wall,
            Body::Cone { wall, .. } => *wall,
        }
    }

    /// Its outside diameter, mm: of a tube its own, whatever its ends are formed to, of a cone that at its start.
    pub fn od(&self) -> f64 {
        2.0 * self.line(0.0, 1.0).rho
    }

    /// Its wall at an end, mm: of a formed end what is left there.
    pub fn wall_at(&self, end: End) -> f64 {
        self.forms[end as usize].map_or(self.wall(), |form| form.wall)
    }

    /// Its bends from station 0, and the straight from the last to the long point of its end.
    pub fn rows(&self) -> Rows {
        match &self.body {
            Body::Tube { centreline, .. } => centreline.rows(),
            Body::Cone { length, .. } => Rows { rows: Vec::new(), tail: *length },
        }
    }

    /// The frame on its axis at `station` mm, clock 0 on the scribe line.
    pub fn frame_at(&self, station: f64) -> Frame {
        match &self.body {
            Body::Tube { centreline, .. } => centreline.frame_at(station),
            Body::Cone { frame, .. } => frame.advanced(station),
        }
    }

    /// The wall line at `clock` (rad) and `depth` in the wall.
    pub fn line(&self, clock: f64, depth: f64) -> WallLine {
        match self.body {
            Body::Tube { section, .. } => {
                WallLine { clock, rho: section.inner() + depth * section.wall, slope: 0.0 }
            }
            Body::Cone { start_od, wall, .. } => {
                let slope = self.slope();
                let across = wall * (1.0 + slope * slope).sqrt();
                WallLine { clock, rho: 0.5 * start_od - (1.0 - depth) * across, slope }
            }
        }
    }

    /// Outside radius at `station`, mm.
    pub fn outer_radius(&self, station: f64) -> f64 {
        self.radius(station, 1.0)
    }

    /// Radius at `station` and `depth` in the wall, mm.
    pub fn radius(&self, station: f64, depth: f64) -> f64 {
        let line = self.line(0.0, depth);
        let Some(section) = self.section() else { return line.rho + line.slope * station };
        let at = |end: usize, from_end: f64| {
            let form = self.forms[end].filter(|form| from_end < form.length());
            form.map(|form| form.radius(&section, depth, from_end))
        };
        at(0, station).or_else(|| at(1, self.length() - station)).unwrap_or(line.rho)
    }

    /// Stations at which its wall changes between a formed end's land, its taper and the tube, ascending, mm.
    pub fn form_stations(&self) -> Vec<f64> {
        let length = self.length();
        let start = self.forms[0].map(|f| [f.land, f.length()]);
        let end = self.forms[1].map(|f| [length - f.length(), length - f.land]);
        [start, end].into_iter().flatten().flatten().filter(|s| *s > 0.0 && *s < length).collect()
    }

    /// The point at `station` mm, `clock` rad and `depth` in the wall.
    pub fn point(&self, station: f64, clock: f64, depth: f64) -> DVec3 {
        self.frame_at(station).point(0.0, clock, self.radius(station, depth))
    }

    /// The station, mm, at which the metal ends at `end` on the wall line at `clock` and `depth`.
    pub fn edge(&self, end: End, clock: f64, depth: f64) -> f64 {
        self.cut(end).end_of(self.line(clock, depth))
    }

    /// The point of that edge in space.
    pub fn edge_point(&self, end: End, clock: f64, depth: f64) -> DVec3 {
        self.point(self.edge(end, clock, depth), clock, depth)
    }

    /// The cut at an end.
    pub fn cut(&self, end: End) -> &Cut {
        match end {
            End::Start => &self.start,
            End::End => &self.end,
        }
    }

    /// Clocks, rad ascending, at which the edge at `depth` has a corner.
    pub fn kinks(&self, end: End, depth: f64) -> Vec<f64> {
        let line = self.line(0.0, depth);
        self.cut(end).kinks(line.rho, line.slope)
    }

    /// The station that a template prints at `clock`: at each clock the metal has to reach both the
    /// inner and the outer edge, so it is the longer of the two.
    pub fn printed(&self, end: End, clock: f64) -> f64 {
        let (inner, outer) = (self.edge(end, clock, 0.0), self.edge(end, clock, 1.0));
        match end {
            End::Start => inner.min(outer),
            End::End => inner.max(outer),
        }
    }

    /// The longest and the shortest point of the edge at `depth`, to 1e-9 rad.
    pub fn extremes(&self, end: End, depth: f64) -> Extremes {
        let sign = if end == End::Start { -1.0 } else { 1.0 };
        let reach = |clock: f64| sign * self.edge(end, clock, depth);
        if self.cut(end).shape == Shape::Square {
            let station = self.edge(end, 0.0, depth);
            return Extremes { longest: (0.0, station), shortest: (0.0, station) };
        }
        let kinks = self.kinks(end, depth);
        let least = lowest(reach, &kinks);
        let most = lowest(|clock| -reach(clock), &kinks);
        Extremes {
            longest: (most, self.edge(end, most, depth)),
            shortest: (least, self.edge(end, least, depth)),
        }
    }

    /// Tilt of its cut from square, rad: exact for planes; for other shapes that of the plane through
    /// the longest and shortest points of the outside edge.
    pub fn cut_angle(&self, end: End) -> f64 {
        match self.cut(end).shape {
            Shape::Square => 0.0,
            Shape::Plane { tilt } => tilt,
            _ => {
                let e = self.extremes(end, 1.0);
                atan2((e.longest.1 - e.shortest.1).abs(), self.od())
            }
        }
    }

    /// Clock of the long point of its outside edge, rad.
    pub fn cut_roll(&self, end: End) -> f64 {
        self.extremes(end, 1.0).longest.0
    }

    /// Where the end cut lies furthest upstream of the start cut, so that no metal is left: the clock, rad,
    /// and by how much, mm. Looked for at every degree and at the kinks, outside and bore.
    pub fn crossing(&self) -> Option<(f64, f64)> {
        let mut worst: Option<(f64, f64)> = None;
        for depth in [0.0, 1.0] {
            let degrees = (0..360).map(|d| geom::angle::from_degrees(f64::from(d)));
            let kinks = [End::Start, End::End].into_iter().flat_map(|end| self.kinks(end, depth));
            for clock in degrees.chain(kinks) {
                let by = self.edge(End::Start, clock, depth) - self.edge(End::End, clock, depth);
                if by > TOUCH && worst.is_none_or(|w| by > w.1) {
                    worst = Some((clock, by));
                }
            }
        }
        worst
    }

    /// How much straight is missing under the cut at `end`, mm: a template needs all of its edge on a
    /// straight. Square cuts may stand in a bend.
    pub fn missing_straight(&self, end: End) -> Option<f64> {
        let Body::Tube { centreline, .. } = &self.body else { return None };
        if self.cut(end).shape == Shape::Square || centreline.rows().rows.is_empty() {
            return None;
        }
        let (first, tail) = centreline.end_straights();
        let shortest = [0.0, 1.0].map(|depth| self.extremes(end, depth).shortest.1);
        let missing = match end {
            End::Start => shortest[0].max(shortest[1]) - first,
            End::End => centreline.length() - tail - shortest[0].min(shortest[1]),
        };
        (missing > 1e-9).then_some(missing)
    }

    /// Volume of metal, mm3, to [`ACCURACY`]: between its cuts, less its holes.
    pub fn volume(&self) -> f64 {
        self.whole_volume()
            + self.by_forming(|form, section| form.volume(section) - section.area() * form.length())
            - self.holes.iter().map(|h| h.volume(self)).sum::<f64>()
    }

    /// Volume between its cuts as if it had no holes, mm3.
    ///
    /// Fibres over a bend's inside and outside average to the centreline (Pappus), so it is the
    /// integral over the section of end station less start station.
    fn whole_volume(&self) -> f64 {
        let across = self.line(0.0, 1.0).rho - self.line(0.0, 0.0).rho;
        let rough = TAU * self.outer_radius(0.0) * across * self.length();
        let ring = |depth: f64| {
            let line = self.line(0.0, depth);
            let column = |clock: f64| {
                let (a, b) = (self.edge(End::Start, clock, depth), self.edge(End::End, clock, depth));
                (b - a) * (line.rho + 0.5 * line.slope * (a + b))
            };
            quadrature::integrate_pieces(&column, &self.breaks(depth), ACCURACY * rough / across)
        };
        across * quadrature::integrate(&ring, 0.0, 1.0, ACCURACY * rough / across)
    }

    /// What its formed ends add to a plain tube of the same length, all together.
    pub(crate) fn by_forming(&self, of: impl Fn(&Form, &Section) -> f64) -> f64 {
        let Some(section) = self.section() else { return 0.0 };
        self.forms.iter().flatten().map(|form| of(form, &section)).sum()
    }

    /// Mass, kg.
    pub fn mass(&self) -> f64 {
        self.volume() * self.alloy().density * 1e-9
    }

    /// Area of the outside less its holes, mm2, to [`ACCURACY`]. A hole's wall is not outside.
    pub fn outside_area(&self) -> f64 {
        let round = |section: &Section| TAU * section.outer();
        self.skin_area(1.0)
            + self.by_forming(|form, section| form.outside_area(section) - round(section) * form.length())
    }

    /// Area of the wall's surface at `depth` less its holes, as if no end were formed, mm2, to [`ACCURACY`].
    pub(crate) fn skin_area(&self, depth: f64) -> f64 {
        let line = self.line(0.0, depth);
        let stretch = (1.0 + line.slope * line.slope).sqrt();
        let column = |clock: f64| {
            let (a, b) = (self.edge(End::Start, clock, depth), self.edge(End::End, clock, depth));
            (b - a) * (line.rho + 0.5 * line.slope * (a + b)) * stretch
        };
        let rough = TAU * line.rho * self.length();
        let whole = quadrature::integrate_pieces(&column, &self.breaks(depth), ACCURACY * rough);
        whole - self.holes.iter().map(|hole| hole.skin_area(self, depth)).sum::<f64>()
    }

    /// Length of the outside edge at `end` between two clocks (rad, `from < to`, at most a turn), mm,
    /// to [`ACCURACY`].
    pub fn edge_length(&self, end: End, from: f64, to: f64) -> f64 {
        let line = self.line(0.0, 1.0);
        if self.cut(end).shape == Shape::Square {
            return (to - from) * self.outer_radius(self.edge(end, 0.0, 1.0));
        }
        let corners = self.kinks(end, 1.0);
        let mut breaks = vec![from];
        for turn in [-TAU, 0.0, TAU] {
            breaks.extend(corners.iter().map(|k| k + turn).filter(|k| *k > from && *k < to));
        }
        breaks.push(to);
        breaks.sort_by(f64::total_cmp);
        let stretch = 1.0 + line.slope * line.slope;
        let step = |a: f64, b: f64| {
            let (x, y) = (self.edge(end, a, 1.0), self.edge(end, b, 1.0));
            let rho = line.rho + 0.5 * line.slope * (x + y);
            (stretch * (y - x) * (y - x) + rho * rho * (b - a) * (b - a)).sqrt()
        };
        breaks.windows(2).map(|w| curve_length(&step, (w[0], w[1]), ACCURACY)).sum()
    }

    /// What is wrong with each of its holes, with the hole's number; empty when they can be cut.
    pub fn hole_faults(&self) -> Vec<(usize, HoleFault)> {
        let mut faults = Vec::new();
        for (i, hole) in self.holes.iter().enumerate() {
            faults.extend(hole.faults(self, &[0.0, 1.0]).into_iter().map(|fault| (i, fault)));
            for (other, earlier) in self.holes[..i].iter().enumerate() {
                let overlap = hole.overlap(earlier, self);
                faults.extend(overlap.map(|by| (i, HoleFault::Overlaps { other, by })));
            }
        }
        faults
    }

    /// The station furthest out that the metal reaches at `end`, over both edges.
    fn reach(&self, end: End) -> f64 {
        let [inner, outer] = [0.0, 1.0].map(|depth| self.extremes(end, depth).longest.1);
        if end == End::Start { inner.min(outer) } else { inner.max(outer) }
    }

    /// Growth of a cone's radius along its axis; 0 for a tube.
    fn slope(&self) -> f64 {
        match self.body {
            Body::Tube { .. } => 0.0,
            Body::Cone { start_od, end_od, length, .. } => 0.5 * (end_od - start_od) / length,
        }
    }

    /// One turn, split at the corners of both edges.
    pub(crate) fn breaks(&self, depth: f64) -> Vec<f64> {
        let mut breaks = vec![0.0, TAU];
        breaks.extend(self.kinks(End::Start, depth));
        breaks.extend(self.kinks(End::End, depth));
        breaks.sort_by(f64::total_cmp);
        breaks.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        breaks
    }
}

/// Cuts that come this near each other only touch, as at legs without a gap, mm.
const TOUCH: f64 = 1e-8;
