//! A run of bend rows as equations: where its end goes when its open values change.

use std::f64::consts::PI;

use geom::angle::wrap_signed;
use geom::math::cos;
use geom::{DVec3, Frame};
use spec::design::{OpenValue, Slot};
use tube::{MitredBend, Row, Rows, Segments};

use crate::closing::least_squares::{Bounds, EQUATIONS, Jacobian, Residual, System, UNKNOWNS, Unknowns};

/// The length that counts like 1 rad, mm: unknowns and equations are scaled by it.
pub(crate) const SCALE: f64 = 100.0;

/// The smallest bend that is solved for, rad: 0.1 degree. A smaller one is none.
pub(crate) const LEAST_BEND: f64 = 0.1 / 180.0 * PI;

/// What a run has to reach.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Goal {
    /// Where its end has to be, and its direction of travel there.
    pub end: Frame,
    /// Its length to that end, mm; `None` leaves it free.
    pub length: Option<f64>,
    /// How much the length counts against closing: 1, or less to learn how near it can be had.
    pub length_weight: f64,
}

/// Bend rows with open values. The start frame's clock 0 is the plane that the first rotate is
/// measured from.
#[derive(Clone, Debug)]
pub(crate) struct Chain<'a> {
    pub start: Frame,
    pub rows: Rows,
    /// Into how many pieces its bends go, if they are segmented: that changes their length only.
    pub segments: Option<Segments>,
    pub open: &'a [OpenValue],
    pub goal: Goal,
}

/// Where a chain ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reached {
    pub at: DVec3,
    pub along: DVec3,
    pub length: f64,
}

/// What an unknown does to the end: it moves it along a direction, or turns it about an axis.
#[derive(Clone, Copy, Debug)]
enum Motion {
    Along(DVec3),
    /// A point of the axis, its direction, and the length that each radian adds.
    About(DVec3, DVec3, f64),
}

impl Chain<'_> {
    /// The rows with the unknowns `x` put in.
    pub fn filled(&self, x: &Unknowns) -> Rows {
        let mut rows = self.rows.clone();
        for (open, &x) in self.open.iter().zip(x) {
            match open.slot {
                Slot::Straight { row, .. } => match rows.rows.get_mut(row) {
                    Some(row) => row.feed = x * SCALE,
                    None => rows.tail = x * SCALE,
                },
                Slot::Bend { row } => rows.rows[row].bend = x,
                Slot::Rotate { row } => rows.rows[row].rotate = x,
                Slot::Plane => rows.rows[0].rotate = x,
                Slot::Distance { .. } | Slot::Coordinate { .. } | Slot::Target => {}
            }
        }
        rows
    }

    /// The unknowns of the spec's values, mm and rad.
    pub fn unknowns_of(&self, values: &[f64]) -> Unknowns {
        let mut x = [0.0; UNKNOWNS];
        for ((x, open), &value) in x.iter_mut().zip(self.open).zip(values) {
            *x = match open.slot {
                Slot::Straight { given, .. } => (given + value) / SCALE,
                _ => value,
            };
        }
        x
    }

    /// Where it ends with `x`.
    pub fn reached(&self, x: &Unknowns) -> Reached {
        self.march(x, |_, _| {})
    }

    /// Marches along the chain, and tells each element's motion by the slot that would be open there.
    fn march(&self, x: &Unknowns, mut tell: impl FnMut(Slot, Motion)) -> Reached {
        let rows = self.filled(x);
        let (mut frame, mut length) = (self.start, rows.tail);
        for (row, r) in rows.rows.iter().enumerate() {
            tell(Slot::Straight { row, given: 0.0 }, Motion::Along(frame.along));
            frame = frame.advanced(r.feed).turned(r.rotate);
            let turn = Motion::About(frame.at, frame.along, 0.0);
            tell(if row == 0 { Slot::Plane } else { Slot::Rotate { row } }, turn);
            frame = frame.bent(r.radius, r.bend);
            let centre = frame.at + frame.inside * r.radius;
            let (bend, grows) = self.bend_length(r);
            tell(Slot::Bend { row }, Motion::About(centre, frame.side(), grows));
            length += r.feed + bend;
        }
        tell(Slot::Straight { row: rows.rows.len(), given: 0.0 }, Motion::Along(frame.along));
        Reached { at: frame.advanced(rows.tail).at, along: frame.along, length }
    }

    /// The length of a bend, mm, and what each radian adds to it.
    fn bend_length(&self, row: &Row) -> (f64, f64) {
        let Some(segments) = self.segments else { return (row.radius * row.bend, row.radius) };
        let pieces = segments.pieces(row.bend);
        let bend = MitredBend { from: 0.0, to: 0.0, radius: row.radius, angle: row.bend, pieces };
        let cosine = cos(bend.tilt());
        (2.0 * bend.half() * f64::from(pieces - 1), row.radius / (cosine * cosine))
    }

    /// The unknown of an open slot.
    fn unknown(&self, slot: Slot) -> Option<usize> {
        self.open.iter().position(|open| match (open.slot, slot) {
            (Slot::Straight { row, .. }, Slot::Straight { row: other, .. }) => row == other,
            (own, other) => own == other,
        })
    }

    /// The range of each unknown.
    pub fn bounds(&self) -> Bounds {
        let (mut low, mut high) = ([0.0; UNKNOWNS], [0.0; UNKNOWNS]);
        for (i, open) in self.open.iter().enumerate() {
            (low[i], high[i]) = match open.slot {
                Slot::Straight { given, .. } => (given / SCALE, f64::MAX),
                Slot::Bend { .. } => (LEAST_BEND, self.largest_bend()),
                _ => (f64::MIN, f64::MAX),
            };
        }
        Bounds { low, high }
    }

    /// The largest bend that can be made, rad: a cut tilts by less than 85 degrees.
    fn largest_bend(&self) -> f64 {
        match self.segments {
            Some(Segments::Count(pieces)) => f64::min(PI, f64::from(pieces.max(2) - 1) * 169.9 / 180.0 * PI),
            _ => PI,
        }
    }

    /// The same line with rotates in `(-PI, PI]`.
    pub fn wrapped(&self, x: &Unknowns) -> Unknowns {
        let mut x = *x;
        for (x, open) in x.iter_mut().zip(self.open) {
            if matches!(open.slot, Slot::Rotate { .. } | Slot::Plane) {
                *x = wrap_signed(*x);
            }
        }
        x
    }
}

impl System for Chain<'_> {
    fn unknowns(&self) -> usize {
        self.open.len()
    }

    /// Place and length in units of [`SCALE`], and the difference of the two directions' unit vectors.
    fn at(&self, x: &Unknowns) -> (Residual, Jacobian) {
        let mut motions = [None; UNKNOWNS];
        let end = self.march(x, |slot, motion| {
            if let Some(i) = self.unknown(slot) {
                motions[i] = Some(motion);
            }
        });
        let row = |at: DVec3, along: DVec3, length: f64| -> Residual {
            let (at, length) = (at / SCALE, length / SCALE);
            let length = if self.goal.length.is_some() { length * self.goal.length_weight } else { 0.0 };
            [at.x, at.y, at.z, along.x, along.y, along.z, length]
        };
        let goal = self.goal.length.unwrap_or(0.0);
        let residual = row(end.at - self.goal.end.at, end.along - self.goal.end.along, end.length - goal);
        let mut jacobian = [[0.0; EQUATIONS]; UNKNOWNS];
        for (column, motion) in jacobian.iter_mut().zip(motions) {
            *column = match motion {
                Some(Motion::Along(direction)) => row(direction * SCALE, DVec3::ZERO, SCALE),
                Some(Motion::About(at, axis, grows)) => {
                    row(axis.cross(end.at - at), axis.cross(end.along), grows)
                }
                None => [0.0; EQUATIONS],
            };
        }
        (residual, jacobian)
    }
}
