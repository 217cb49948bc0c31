//! Bodies as balls that lie within them, for bodies that are moved past each other.
//!
//! What is found to touch does touch. How far a body reaches out of its balls is told at [`lattice`] and [`tube`].

use std::f64::consts::TAU;

use distance::Tree;
use geom::{DVec3, Frame};
use solids::Mesh;

/// A ball: its middle and its radius, mm.
pub(crate) type Ball = (DVec3, f64);

/// Balls, in a tree of balls around them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Balls {
    /// A knot before its branches; the first holds all.
    knots: Vec<Knot>,
}

/// A ball, or one around two branches.
#[derive(Clone, Copy, Debug)]
struct Knot {
    middle: DVec3,
    radius: f64,
    /// Indices of its branches.
    branches: Option<[usize; 2]>,
}

/// A straight movement.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leg {
    /// Where it begins, from where the body rests, mm.
    pub from: DVec3,
    /// Its direction, a unit vector.
    pub way: DVec3,
    /// How far it goes, mm; may be infinite.
    pub out: f64,
}

impl Balls {
    pub(crate) fn of(mut balls: Vec<Ball>) -> Balls {
        let mut knots = Vec::with_capacity(2 * balls.len());
        if !balls.is_empty() {
            grow(&mut knots, &mut balls);
        }
        Balls { knots }
    }

    /// Whether these, moved along a leg, come nearer to `other` than they may: than touching, or than they are
    /// where the leg begins.
    pub(crate) fn touch(&self, other: &Balls, leg: &Leg) -> bool {
        !self.knots.is_empty() && !other.knots.is_empty() && self.met(0, other, 0, leg)
    }

    fn met(&self, own: usize, other: &Balls, its: usize, leg: &Leg) -> bool {
        let (a, b) = (self.knots[own], other.knots[its]);
        let (apart, sum) = (a.middle - b.middle + leg.from, a.radius + b.radius);
        let nearest = (-apart.dot(leg.way)).clamp(0.0, leg.out);
        let least = (apart + leg.way * nearest).length();
        if least >= sum - SLACK {
            return false;
        }
        match (a.branches, b.branches) {
            (None, None) => least < apart.length() - SLACK,
            (Some([left, right]), None) => {
                self.met(left, other, its, leg) || self.met(right, other, its, leg)
            }
            (Some([left, right]), Some(_)) if a.radius >= b.radius => {
                self.met(left, other, its, leg) || self.met(right, other, its, leg)
            }
            (_, Some([left, right])) => self.met(own, other, left, leg) || self.met(own, other, right, leg),
        }
    }
}

/// Adds the tree over `balls`, parted along their longest side, and gives back the index of its first knot.
fn grow(knots: &mut Vec<Knot>, balls: &mut [Ball]) -> usize {
    let index = knots.len();
    if let [(middle, radius)] = *balls {
        knots.push(Knot { middle, radius, branches: None });
        return index;
    }
    let least = balls.iter().fold(DVec3::INFINITY, |least, b| least.min(b.0));
    let most = balls.iter().fold(DVec3::NEG_INFINITY, |most, b| most.max(b.0));
    let middle = 0.5 * (least + most);
    let radius = balls.iter().map(|b| b.0.distance(middle) + b.1).fold(0.0, f64::max);
    knots.push(Knot { middle, radius, branches: None });
    let side = (most - least).to_array();
    let axis = (0..3).fold(0, |best, i| if side[i] > side[best] { i } else { best });
    balls.sort_by(|a, b| a.0[axis].total_cmp(&b.0[axis]));
    let (low, high) = balls.split_at_mut(balls.len() / 2);
    let branches = [grow(knots, low), grow(knots, high)];
    knots[index].branches = Some(branches);
    index
}

/// Balls within a tube from station `from` to `to`, square at both: on its line, and in rings toward its ends, where they
/// are smaller. It reaches out of them by less than a tenth of its radius.
pub(crate) fn tube(
    frame_at: impl Fn(f64) -> Frame,
    radius_at: impl Fn(f64) -> f64,
    [from, to]: [f64; 2],
) -> Vec<Ball> {
    let faces = [(from, frame_at(from)), (to, frame_at(to))];
    // How deep a point lies behind the two ends. Further away than a radius a bend may have brought it back.
    let deep = |station: f64, at: DVec3, radius: f64| {
        let behind = |(end, face): &(f64, Frame)| match (station - end).abs() < 2.0 * radius {
            true => (at - face.at).dot(face.along).abs(),
            false => f64::INFINITY,
        };
        faces.iter().map(behind).fold(f64::INFINITY, f64::min)
    };
    let mut balls = Vec::new();
    let steps = ((to - from) / STEP).ceil().max(1.0);
    for station in (0..=steps as usize).map(|k| from + (to - from) * k as f64 / steps) {
        let (at, radius) = (frame_at(station).at, radius_at(station));
        balls.push((at, radius.min(deep(station, at, radius))));
    }
    for (share, around) in RINGS {
        for (sign, end) in [(1.0, from), (-1.0, to)] {
            let small = share * radius_at(end).min(radius_at(end + sign * share * radius_at(end)));
            let station = end + sign * small;
            if 2.0 * small > to - from {
                continue;
            }
            let (frame, out) = (frame_at(station), radius_at(station) - small);
            let points = (0..around).map(|k| frame.point(0.0, TAU * f64::from(k) / f64::from(around), out));
            balls.extend(points.map(|at| (at, small.min(deep(station, at, small)))));
        }
    }
    balls.retain(|b| b.1 > LEAST);
    balls
}

/// Balls within a closed mesh, as large as they can be, on a lattice 3 mm wide, or wider where that were very many. It
/// reaches out of them by a third of that on flats and by all of it at corners.
pub(crate) fn lattice(mesh: &Mesh) -> Vec<Ball> {
    let least = mesh.points.iter().fold(DVec3::INFINITY, |least, p| least.min(*p));
    let most = mesh.points.iter().fold(DVec3::NEG_INFINITY, |most, p| most.max(*p));
    if !(most - least).is_finite() {
        return Vec::new();
    }
    let mut pitch = LATTICE;
    while (most - least).element_product() > MANY * pitch * pitch * pitch {
        pitch *= WIDER;
    }
    let grid = Grid { least: least + pitch * OFFSET, pitch, counts: counts(most - least, pitch) };
    let tree = Tree::new(mesh.points.clone(), mesh.triangles.clone(), Vec::new());
    let [nx, ny, nz] = grid.counts;
    let mut radii = vec![0.0; nx * ny * nz];
    for (column, crossings) in grid.crossings(mesh).into_iter().enumerate() {
        for pair in crossings.chunks_exact(2) {
            for z in 0..nz {
                let at = grid.at([column % nx, column / nx, z]);
                if at.z > pair[0] && at.z < pair[1] {
                    radii[column * nz + z] =
                        tree.nearest_to_point(at, f64::INFINITY).map_or(0.0, |touch| touch.distance);
                }
            }
        }
    }
    grid.outermost(&radii)
}

/// Points of a lattice: the first, how far apart, how many each way.
struct Grid {
    least: DVec3,
    pitch: f64,
    counts: [usize; 3],
}

fn counts(size: DVec3, pitch: f64) -> [usize; 3] {
    size.to_array().map(|side| (side / pitch).ceil().max(1.0) as usize)
}

impl Grid {
    fn at(&self, [x, y, z]: [usize; 3]) -> DVec3 {
        self.least + self.pitch * DVec3::new(x as f64, y as f64, z as f64)
    }

    /// Heights at which each upright line of the lattice goes through the mesh, ascending.
    fn crossings(&self, mesh: &Mesh) -> Vec<Vec<f64>> {
        let [nx, ny, _] = self.counts;
        let mut crossings = vec![Vec::new(); nx * ny];
        for [a, b, c] in mesh.corners() {
            let (low, high) = (a.min(b).min(c) - self.least, a.max(b).max(c) - self.least);
            let reach = |low: f64, high: f64, count: usize| {
                let from = (low / self.pitch).ceil().max(0.0) as usize;
                let to = (high / self.pitch).floor() + 1.0;
                from..(to.max(0.0) as usize).min(count)
            };
            let normal = (b - a).cross(c - a);
            for y in reach(low.y, high.y, ny) {
                for x in reach(low.x, high.x, nx) {
                    let p = self.at([x, y, 0]);
                    let side =
                        |from: DVec3, to: DVec3| (to - from).truncate().perp_dot((p - from).truncate());
                    let sides = [side(a, b), side(b, c), side(c, a)];
                    if sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s < 0.0) {
                        let off = (a - p).dot(normal) / normal.z;
                        crossings[y * nx + x].extend((normal.z != 0.0).then_some(p.z + off));
                    }
                }
            }
        }
        // Exactly through an edge a line may be counted twice or not at all: it is left out.
        crossings.iter_mut().filter(|heights| heights.len() % 2 == 1).for_each(Vec::clear);
        crossings.iter_mut().for_each(|heights| heights.sort_by(f64::total_cmp));
        crossings
    }

    /// The balls of these radii, but those that lie within a neighbour's.
    fn outermost(&self, radii: &[f64]) -> Vec<Ball> {
        let [nx, ny, nz] = self.counts.map(|n| n as isize);
        let index = |x: isize, y: isize, z: isize| ((y * nx + x) * nz + z) as usize;
        let beside = |n: isize, count: isize| (n - 1).max(0)..=(n + 1).min(count - 1);
        let mut balls = Vec::new();
        for (i, &radius) in radii.iter().enumerate().filter(|(_, r)| **r > LEAST) {
            let i = i as isize;
            let (x, y, z) = (i / nz % nx, i / nz / nx, i % nz);
            let held = beside(x, nx).any(|u| {
                beside(y, ny).any(|v| {
                    beside(z, nz).any(|w| {
                        let squares = (u - x).pow(2) + (v - y).pow(2) + (w - z).pow(2);
                        let far = self.pitch * (squares as f64).sqrt();
                        squares > 0 && far + radius <= radii[index(u, v, w)] + WITHIN
                    })
                })
            });
            if !held {
                balls.push((self.at([x, y, z].map(|n| n as usize)), radius));
            }
        }
        balls
    }
}

/// Distance of two balls along a strand, mm.
const STEP: f64 = 8.0;

/// Balls in rings at a tube's end: their size by the tube's radius, and how many around.
const RINGS: [(f64, u32); 3] = [(0.5, 12), (0.2, 24), (0.1, 40)];

/// Width of the lattice in blocks, mm.
const LATTICE: f64 = 3.0;

/// Where the lattice begins, by its width: of no plane that blocks have.
const OFFSET: DVec3 = DVec3::new(0.481, 0.523, 0.467);

/// How many points a lattice has about, at most.
const MANY: f64 = 60_000.0;

/// By how much a lattice is widened at a time.
const WIDER: f64 = 1.25;

/// Smaller balls are left out, mm.
const LEAST: f64 = 0.3;

/// A ball that reaches out of another by less is left out, mm.
const WITHIN: f64 = 0.05;

/// How much parts may touch on the way, mm: plastic gives.
const SLACK: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unite::tests::disc;

    fn upright(at: DVec3) -> Frame {
        Frame::new(at, DVec3::Z, DVec3::X).unwrap()
    }

    /// Whether a ball of 5 mm that comes from `from` along `way` gets past.
    fn passes(balls: &Balls, from: DVec3, way: DVec3) -> bool {
        let probe = Balls::of(vec![(from, 5.0)]);
        !probe.touch(balls, &Leg { from: DVec3::ZERO, way, out: f64::INFINITY })
    }

    /// Along z, `x` mm beside it.
    fn beside(balls: &Balls, x: f64) -> bool {
        passes(balls, DVec3::new(x, 0.3, -100.0), DVec3::Z)
    }

    /// Along x, at the height `z`.
    fn over(balls: &Balls, z: f64) -> bool {
        passes(balls, DVec3::new(-100.0, 0.0, z), DVec3::X)
    }

    #[test]
    fn a_tube_is_met_within_a_tenth_of_its_radius_and_not_beyond() {
        let tube = tube(|s| upright(DVec3::Z * s), |_| 20.0, [0.0, 90.0]);
        for (at, radius) in &tube {
            let across = at.truncate().length();
            assert!(across + radius <= 20.0 + 1e-9 && at.z >= radius - 1e-9 && at.z + radius <= 90.0 + 1e-9);
        }
        let balls = Balls::of(tube);
        assert!(!beside(&balls, 24.0) && beside(&balls, 25.0));
        assert!(!over(&balls, -2.5) && over(&balls, -5.0) && !over(&balls, 92.5) && over(&balls, 95.0));
    }

    #[test]
    fn a_block_is_met_at_its_faces_and_edges_and_not_beyond() {
        let frame = upright(DVec3::ZERO);
        let inside = |at: &DVec3| 30.0 - at.truncate().length();
        let balls = lattice(&disc(&frame, 30.0, [0.0, 8.0]));
        for (at, radius) in &balls {
            assert!(radius - 1e-6 <= inside(at).min(at.z).min(8.0 - at.z), "{at} {radius}");
        }
        let balls = Balls::of(balls);
        assert!(!beside(&balls, 32.0) && beside(&balls, 35.0));
        assert!(!over(&balls, -3.0) && over(&balls, -5.0) && !over(&balls, 11.0) && over(&balls, 13.0));
    }

    #[test]
    fn what_touches_where_a_leg_begins_may_leave() {
        let [one, other] = [0.0, 9.0].map(|z| Balls::of(vec![(DVec3::Z * z, 5.0)]));
        let leg = |way: DVec3, out: f64| Leg { from: DVec3::ZERO, way, out };
        assert!(!other.touch(&one, &leg(DVec3::Z, f64::INFINITY)) && other.touch(&one, &leg(-DVec3::Z, 5.0)));
        // 20 mm away it is met 10 mm on.
        let far = Leg { from: DVec3::Z * 11.0, way: -DVec3::Z, out: 10.0 };
        assert!(!other.touch(&one, &far) && other.touch(&one, &Leg { out: 11.0, ..far }));
    }
}
