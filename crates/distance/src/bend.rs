//! Bent lengths of tube.

use geom::math::{atan2, sin_cos};
use geom::{DVec3, Similarity};

use crate::convex::{Convex, on_triangle};
use crate::cylinder::furthest;
use crate::disc::Disc;
use crate::near::{Near, nearer};
use crate::ring::circle_candidates;
use crate::solid::{Bend, carried_frame};
use crate::triangle::Triangle;

/// A bend with what its distances need: the centreline is `centre + clr (u cos + v sin)`, for turns from 0.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Arc {
    pub centre: DVec3,
    pub u: DVec3,
    pub v: DVec3,
    /// The bend's axis, right-handed with its turn.
    pub axis: DVec3,
    pub clr: f64,
    pub radius: f64,
    pub angle: f64,
    /// Where the last turn looks: cosine and sine.
    last: [f64; 2],
    /// Where half the turn looks.
    half: [f64; 2],
    /// Its flat ends.
    pub discs: [Disc; 2],
}

impl Bend {
    pub(crate) fn arc(&self) -> Arc {
        let f = &self.frame;
        let axes = [-f.inside, f.along, f.side()];
        Arc::new(f.at + f.inside * self.clr, axes, self.clr, self.radius, self.angle)
    }

    pub(crate) fn carried(&self, by: &Similarity) -> Bend {
        Bend {
            frame: carried_frame(&self.frame, by),
            clr: self.clr * by.scale,
            angle: self.angle,
            radius: self.radius * by.scale,
        }
    }
}

impl Arc {
    fn new(centre: DVec3, [u, v, axis]: [DVec3; 3], clr: f64, radius: f64, angle: f64) -> Arc {
        let (s, c) = sin_cos(angle);
        let (half_s, half_c) = sin_cos(0.5 * angle);
        let ends = [(u, -v), (u * c + v * s, v * c - u * s)];
        let discs = ends.map(|(outward, out)| Disc::round(centre + outward * clr, out, outward, radius));
        Arc { centre, u, v, axis, clr, radius, angle, last: [c, s], half: [half_c, half_s], discs }
    }

    /// The same bend with another radius of its tube.
    pub fn thinned(&self, radius: f64) -> Arc {
        let disc = |d: &Disc| Disc { half: [radius, radius], ..*d };
        Arc { radius, discs: self.discs.each_ref().map(disc), ..*self }
    }

    /// The centreline's point and direction at a turn.
    pub fn at(&self, turn: f64) -> (DVec3, DVec3) {
        let (s, c) = sin_cos(turn);
        (self.centre + (self.u * c + self.v * s) * self.clr, self.v * c - self.u * s)
    }

    /// The first and the second half; `None` while the bend is at most a right angle.
    fn halves(&self) -> Option<[Arc; 2]> {
        if self.angle <= std::f64::consts::FRAC_PI_2 {
            return None;
        }
        let [c, s] = self.half;
        let turned = [self.u * c + self.v * s, self.v * c - self.u * s, self.axis];
        let angle = 0.5 * self.angle;
        let begins = [[self.u, self.v, self.axis], turned];
        Some(begins.map(|axes| Arc::new(self.centre, axes, self.clr, self.radius, angle)))
    }

    /// In the bend's own axes: outward at its begin, along at its begin, along its axis.
    fn local(&self, p: DVec3) -> [f64; 3] {
        let d = p - self.centre;
        [d.dot(self.u), d.dot(self.v), d.dot(self.axis)]
    }

    /// Whether the foot of (x, y) lies between the end planes.
    fn between(&self, x: f64, y: f64) -> bool {
        let [c, s] = self.last;
        let (first, last) = (y >= 0.0, x * s - y * c >= 0.0);
        if self.angle <= std::f64::consts::PI { first && last } else { first || last }
    }

    /// The turn of a point, from 0 to the angle: outside of it the end that is nearer.
    pub fn turn_of(&self, p: DVec3) -> f64 {
        let [x, y, _] = self.local(p);
        if !self.between(x, y) {
            return if self.past_half(x, y) { self.angle } else { 0.0 };
        }
        let turn = atan2(y, x);
        (if turn < 0.0 { turn + std::f64::consts::TAU } else { turn }).min(self.angle)
    }

    /// By what angle the foot of a point on the whole circle lies beyond the nearer end; 0 between the ends.
    pub fn beyond(&self, p: DVec3) -> f64 {
        let [x, y, _] = self.local(p);
        if self.between(x, y) {
            return 0.0;
        }
        let [c, s] = if self.past_half(x, y) { self.last } else { [1.0, 0.0] };
        atan2((c * y - s * x).abs(), c * x + s * y)
    }

    fn past_half(&self, x: f64, y: f64) -> bool {
        self.half[0] * y - self.half[1] * x > 0.0
    }

    /// The point of its whole circle nearest to `p`, and how far `p` is from its axis.
    pub fn circle_foot(&self, p: DVec3) -> (DVec3, f64) {
        let [x, y, _] = self.local(p);
        let rho = (x * x + y * y).sqrt();
        let outward = if rho > 0.0 { (self.u * x + self.v * y) / rho } else { self.u };
        (self.centre + outward * self.clr, rho)
    }

    /// Its point nearest to `p`: `p` itself inside.
    pub fn nearest(&self, p: DVec3) -> DVec3 {
        let (distance, on) = self.foot(p);
        if distance <= 0.0 { p } else { on }
    }

    /// Its chord, and its radius with what the centreline rises over the chord; of at most half a turn.
    pub fn core(&self) -> Option<([DVec3; 2], f64)> {
        let rise = self.clr * (1.0 - self.half[0]);
        let chord = self.discs.each_ref().map(|d| d.centre);
        (self.angle <= std::f64::consts::PI).then_some((chord, self.radius + rise))
    }

    pub fn to_point(&self, p: DVec3) -> Near {
        let (distance, on) = self.foot(p);
        Near { distance, on, there: p, station: self.clr * self.turn_of(p) }
    }

    /// The distance of a point, and its place on the outside.
    pub fn foot(&self, p: DVec3) -> (f64, DVec3) {
        let [x, y, _] = self.local(p);
        if self.between(x, y) {
            return self.side(p);
        }
        let on = self.discs[usize::from(self.past_half(x, y))].nearest(p);
        (on.distance(p), on)
    }

    /// The way from the side to a point between the end planes.
    pub fn beside(&self, p: DVec3) -> Near {
        let (distance, on) = self.side(p);
        Near { distance, on, there: p, station: self.clr * self.turn_of(p) }
    }

    /// The distance of a point between the end planes from the side, and its place on it.
    fn side(&self, p: DVec3) -> (f64, DVec3) {
        let [x, y, z] = self.local(p);
        let rho = (x * x + y * y).sqrt();
        let outward = if rho > 0.0 { (self.u * x + self.v * y) / rho } else { self.u };
        let out = rho - self.clr;
        let away = (out * out + z * z).sqrt();
        let way = if away > 0.0 { (outward * out + self.axis * z) / away } else { outward };
        (away - self.radius, self.centre + outward * self.clr + way * self.radius)
    }

    /// The least distance to a triangle.
    pub fn to_triangle(&self, triangle: &Triangle) -> Near {
        if let Some([a, b]) = self.halves() {
            let (first, second) = (a.to_triangle(triangle), b.to_triangle(triangle));
            let moved = Near { station: second.station + a.clr * a.angle, ..second };
            return nearer(first, moved);
        }
        let mut best = Near::FAR;
        let [c, s] = self.last;
        let heights = triangle.corners.map(|p| {
            let [x, y, _] = self.local(p);
            [y, x * s - y * c]
        });
        let beside = self.beside_candidates(triangle).map(|p| (self.side(p).0, p));
        if let Some((_, p)) = beside.reduce(|a, b| if b.0 < a.0 { b } else { a }) {
            best = self.beside(p);
        }
        for (i, disc) in self.discs.iter().enumerate() {
            if heights.iter().any(|h| h[i] < 0.0) {
                for p in on_triangle(disc, triangle) {
                    let station = self.clr * self.angle * i as f64;
                    best = nearer(best, Near::between(disc.nearest(p), p, station));
                }
            }
        }
        best
    }

    /// Places of the triangle between the end planes among which one is nearest to the centreline's circle.
    fn beside_candidates(&self, triangle: &Triangle) -> impl Iterator<Item = DVec3> {
        let [c, s] = self.last;
        let first = |p: DVec3| self.local(p)[1];
        let last = |p: DVec3| {
            let [x, y, _] = self.local(p);
            x * s - y * c
        };
        let polygon = triangle.polygon().above(first).above(last);
        let mut found = Vec::with_capacity(24);
        for (a, b) in polygon.edges() {
            found.extend(circle_candidates(self, a, b));
        }
        for turn in self.square_turns(triangle) {
            let p = triangle.nearest(self.at(turn).0);
            if first(p) >= 0.0 && last(p) >= 0.0 {
                found.push(p);
            }
        }
        found.into_iter()
    }

    /// Turns at which the way from the centreline to the triangle's plane is square to both, or 0.
    fn square_turns(&self, triangle: &Triangle) -> Vec<f64> {
        let normal = triangle.normal();
        let (x, y) = (normal.dot(self.u), normal.dot(self.v));
        let tilt = (x * x + y * y).sqrt();
        let steepest = atan2(y, x);
        let mut turns = vec![0.5 * self.angle, steepest, steepest + std::f64::consts::PI];
        // The plane is x cos + y sin = level on the circle.
        let level = (triangle.corners[0] - self.centre).dot(normal) / self.clr;
        if tilt > 0.0 && level.abs() <= tilt {
            let spread = atan2((tilt * tilt - level * level).max(0.0).sqrt(), level);
            turns.extend([steepest - spread, steepest + spread]);
        }
        let inside = |turn: f64| {
            let wrapped = geom::angle::wrap_turn(turn);
            (wrapped <= self.angle).then_some(wrapped)
        };
        turns.into_iter().filter_map(inside).collect()
    }

    pub fn contains(&self, p: DVec3) -> bool {
        let [x, y, z] = self.local(p);
        let out = (x * x + y * y).sqrt() - self.clr;
        self.between(x, y) && out * out + z * z <= self.radius * self.radius
    }

    /// Its furthest point in a direction: on its side where the direction's own turn is within the bend,
    /// otherwise on an end.
    pub fn support(&self, direction: DVec3) -> DVec3 {
        let (x, y) = (direction.dot(self.u), direction.dot(self.v));
        let across = (x * x + y * y).sqrt();
        if across > 0.0 && self.between(x, y) {
            let outward = (self.u * x + self.v * y) / across;
            return self.centre + outward * self.clr + direction.normalize() * self.radius;
        }
        furthest(&self.discs, direction)
    }
}
