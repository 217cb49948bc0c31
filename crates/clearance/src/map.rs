//! How near every point of a header comes to its bay, cold and at rest.

use distance::{Bounds, Tree};
use geom::DVec3;
use spec::design::{Bay, Obstacle};

use crate::clearance::Placed;
use crate::obstacle::Barrier;
use geom::threads::in_order;

/// The room that a point has: that of the obstacle that leaves it the least beyond what it needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// The distance to that obstacle, mm; 0 or less inside a plain body. Infinite where there is none.
    pub distance: f64,
    /// The clearance that it needs, mm.
    pub required: f64,
}

impl Room {
    /// How much more room there is than is wanted, mm; below 0 where it is too near.
    pub fn margin(&self) -> f64 {
        self.distance - self.required
    }
}

/// The room of each point; `scans[i]` belongs to the bay's obstacle `i`. The engine neither grows nor rocks here.
pub fn map(points: &[DVec3], bay: &Bay, scans: &[Option<Placed>]) -> Vec<Room> {
    let threads = std::thread::available_parallelism().map_or(1, |count| count.get());
    map_on(threads, points, bay, scans)
}

/// [`map`] on so many threads; the result is the same for any number.
pub fn map_on(threads: usize, points: &[DVec3], bay: &Bay, scans: &[Option<Placed>]) -> Vec<Room> {
    let obstacles = bay.obstacles.iter().enumerate();
    let mut near: Vec<Asked> =
        obstacles.filter_map(|(i, o)| Asked::of(o, scans.get(i).and_then(Option::as_ref))).collect();
    // Scans last: a plain body is quickly asked, and its answer spares much of a scan.
    near.sort_by_key(|asked| matches!(asked.barrier, Barrier::Scan(_)));
    let parts: Vec<&[DVec3]> = points.chunks(PART).collect();
    in_order(threads, parts.len(), |part| rooms(parts[part], &near)).concat()
}

/// An obstacle that is asked.
struct Asked<'a> {
    barrier: Barrier<'a>,
    required: f64,
}

impl<'a> Asked<'a> {
    fn of(obstacle: &Obstacle, scan: Option<&'a Placed>) -> Option<Asked<'a>> {
        Some(Asked { barrier: Barrier::of(obstacle, scan)?, required: obstacle.required })
    }
}

/// The rooms of some points: each obstacle is asked only for what is nearer than the room that those before it leave.
fn rooms(points: &[DVec3], near: &[Asked]) -> Vec<Room> {
    let mut best = vec![Room { distance: f64::INFINITY, required: 0.0 }; points.len()];
    for Asked { barrier, required } in near {
        let below: Vec<f64> = best.iter().map(|room| room.margin() + required).collect();
        for (best, distance) in best.iter_mut().zip(barrier.to_points(points, &below)) {
            if let Some(distance) = distance.filter(|distance| distance - required < best.margin()) {
                *best = Room { distance, required: *required };
            }
        }
    }
    best
}

impl Barrier<'_> {
    /// The distance of each point, if it is less than its `below` mm; 0 or less inside a plain body.
    fn to_points(&self, points: &[DVec3], below: &[f64]) -> Vec<Option<f64>> {
        let each = points.iter().copied().zip(below.iter().copied());
        match self {
            Barrier::Scan(Placed { tree, .. }) => to_tree(tree, points, below),
            Barrier::Noise(tree) => to_tree(tree, points, below),
            Barrier::HalfSpace { at, out } => {
                each.map(|(point, below)| Some((point - *at).dot(*out)).filter(|d| *d < below)).collect()
            }
            Barrier::Solid(solid, ..) => {
                let bounds = solid.bounds();
                let one = |(point, below): (DVec3, f64)| {
                    let least = bounds.distance(&Bounds::of([point]));
                    let may = least <= 0.0 || least < below + SLACK;
                    may.then(|| solid.to_point(point).distance).filter(|d| *d < below)
                };
                each.map(one).collect()
            }
        }
    }
}

fn to_tree(tree: &Tree, points: &[DVec3], below: &[f64]) -> Vec<Option<f64>> {
    let touches = tree.nearest_to_points(points, below).into_iter();
    touches.map(|touch| touch.map(|touch| touch.distance)).collect()
}

/// Points in a part of the work.
const PART: usize = 1024;

/// What rounding may take from a distance between boxes, mm.
const SLACK: f64 = 1e-6;
