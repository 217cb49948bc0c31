//! Transitions: parts that go over from the shape of a port or an inlet to a round tube.

use std::f64::consts::{PI, TAU};

use geom::math::{atan, atan2, sin_cos, tan};
use geom::{DVec3, Frame};
use plate::{DVec2, Loop};
use spec::design::{Shape, TransitionMake};
use tube::Section;

/// The wall of a transition leans at most this much, rad, to be formed without folds (15 degrees: common
/// practice, no source).
pub const LEAN: f64 = PI / 12.0;

/// Tube stretched by more than this share in one forming is likely to split (15 %: common practice, no source).
pub const STRETCH: f64 = 0.15;

/// A transition, laid out. Its surfaces are ruled from the shape to the circle: both perimeters are shared
/// out evenly, as even stretch does.
#[derive(Clone, Debug)]
pub struct Transition {
    /// The mark to write on it; also its file name.
    pub mark: String,
    /// Index of the run.
    pub run: usize,
    /// Index of the flange.
    pub flange: usize,
    /// Where the middle of the shape's end stands, travelling to the round end; `inside` is the drawing's x.
    pub frame: Frame,
    /// The drawing's y.
    pub up: DVec3,
    /// Length, mm.
    pub length: f64,
    /// The round end, and the wall.
    pub section: Section,
    /// How it is made.
    pub make: TransitionMake,
    /// The shape's inside, about its own middle.
    pub shape: Loop,
    /// The halves of a divided shape.
    pub halves: Option<[Loop; 2]>,
    /// Points of the inside and the outside at the shape's end, and of both at the round end, mm.
    pub rings: [Vec<DVec2>; 4],
}

/// What a transition is made of and where it stands.
pub(crate) struct Standing<'a> {
    pub mark: String,
    pub run: usize,
    pub flange: usize,
    pub frame: Frame,
    pub up: DVec3,
    pub wanted: spec::design::Transition,
    pub shape: &'a Shape,
    pub section: Section,
}

impl Transition {
    /// The transition; `None` where the shape has sharp corners or is too tight for the wall.
    pub(crate) fn new(standing: Standing) -> Option<Transition> {
        let Standing { mark, run, flange, frame, up, wanted, shape, section } = standing;
        let inner = &shape.outline;
        let outer = inner.offset(section.wall).ok().filter(|outer| outer.edges.len() == inner.edges.len())?;
        let rings = rings(inner, &outer, section);
        let (length, make, halves) = (wanted.length, wanted.make, shape.halves.clone());
        let shape = inner.clone();
        Some(Transition { mark, run, flange, frame, up, length, section, make, shape, halves, rings })
    }

    /// Perimeter of the inside at the shape's end, mm.
    pub fn shape_perimeter(&self) -> f64 {
        self.shape.length()
    }

    /// Area for the gas at the shape's end, mm2; of both halves where it is divided.
    pub fn shape_area(&self) -> f64 {
        match &self.halves {
            Some(halves) => halves.iter().map(|half| half.area().abs()).sum(),
            None => self.shape.area().abs(),
        }
    }

    /// Perimeter of the bore at the round end, mm.
    pub fn round_perimeter(&self) -> f64 {
        PI * self.section.bore()
    }

    /// Area of the bore, mm2.
    pub fn round_area(&self) -> f64 {
        0.25 * PI * self.section.bore() * self.section.bore()
    }

    /// How much longer the middle of the wall is around the shape than around the tube, as a share; below
    /// 0 where it is gathered.
    pub fn stretch(&self) -> f64 {
        let [shape, round] = self.middles();
        shape / round - 1.0
    }

    /// Length around the middle of the wall, mm: at the shape's end, and at the round one.
    pub fn middles(&self) -> [f64; 2] {
        let wall = self.section.wall;
        [self.shape_perimeter() + PI * wall, PI * (self.section.od - wall)]
    }

    /// The largest distance that a point of the wall moves sideways, mm.
    pub fn offset(&self) -> f64 {
        let [inner, _, bore, _] = &self.rings;
        inner.iter().zip(bore).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max)
    }

    /// How far the wall leans at most, rad.
    pub fn lean(&self) -> f64 {
        atan(self.offset() / self.length)
    }

    /// The least length that keeps the wall's lean within [`LEAN`], mm.
    pub fn least_length(&self) -> f64 {
        self.offset() / tan(LEAN)
    }

    /// Volume of metal, mm3, the wall kept: sections are polygons whose area is quadratic along the length,
    /// which Simpson's rule integrates exactly. A divider is not in it.
    pub fn volume(&self) -> f64 {
        let [inner, outer, bore, outside] = &self.rings;
        let between = |a: &[DVec2], b: &[DVec2]| {
            let middle: Vec<DVec2> = a.iter().zip(b).map(|(a, b)| 0.5 * (*a + *b)).collect();
            (area(a) + 4.0 * area(&middle) + area(b)) / 6.0
        };
        self.length * (between(outer, outside) - between(inner, bore))
    }

    /// Mass, kg.
    pub fn mass(&self) -> f64 {
        self.volume() * 1e-9 * self.section.alloy.density
    }

    /// Weld to the tube, mm: once around its outside.
    pub fn weld_length(&self) -> f64 {
        TAU * self.section.outer()
    }

    /// A point of its surfaces in space: `station` mm from the shape's end.
    pub fn place(&self, point: DVec2, station: f64) -> DVec3 {
        self.frame.at + self.frame.inside * point.x + self.up * point.y + self.frame.along * station
    }
}

/// The area of a polygon, mm2.
fn area(points: &[DVec2]) -> f64 {
    let nexts = points.iter().cycle().skip(1);
    0.5 * points.iter().zip(nexts).map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
}

/// Points along the shape's inside and outside at the same places of the same edges, and the points of the
/// round end at the same shares of the perimeter, turned so that they twist as little as can be.
fn rings(inner: &Loop, outer: &Loop, section: Section) -> [Vec<DVec2>; 4] {
    const STEPS: f64 = 180.0;
    let perimeter = inner.length();
    let (mut inside, mut outside, mut shares) = (Vec::new(), Vec::new(), Vec::new());
    let mut done = 0.0;
    for (edge, over) in inner.edges.iter().zip(&outer.edges) {
        let steps = (edge.length() / perimeter * STEPS).ceil().max(1.0) as usize;
        for k in 0..steps {
            let share = k as f64 / steps as f64;
            inside.push(edge.point(share));
            outside.push(over.point(share));
            shares.push((done + share * edge.length()) / perimeter);
        }
        done += edge.length();
    }
    // The mean of the directions from the round points to the shape's gives the turn.
    let twist: DVec2 = inside
        .iter()
        .zip(&shares)
        .map(|(p, share)| {
            let (s, c) = sin_cos(-TAU * share);
            DVec2::new(p.x * c - p.y * s, p.x * s + p.y * c).normalize_or_zero()
        })
        .sum();
    let first = atan2(twist.y, twist.x);
    let round = |radius: f64| {
        let at = |share: &f64| {
            let (s, c) = sin_cos(first + TAU * share);
            DVec2::new(radius * c, radius * s)
        };
        shares.iter().map(at).collect::<Vec<DVec2>>()
    };
    [inside, outside, round(0.5 * section.bore()), round(section.outer())]
}
