//! How near every point of a header comes to its bay, cold and at rest.

use distance::Tree;
use geom::DVec3;
use spec::design::{Bay, Obstacle};

use crate::clearance::Placed;
use crate::obstacle::Barrier;
use crate::threads::in_order;

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

/// The rooms of points that follow each other along a surface: an obstacle's distance from one bounds that from
/// the next.
fn rooms(points: &[DVec3], near: &[Asked]) -> Vec<Room> {
    let mut before: Vec<Option<(DVec3, f64)>> = vec![None; near.len()];
    let one = |point: &DVec3| {
        let mut best = Room { distance: f64::INFINITY, required: 0.0 };
        for (asked, before) in near.iter().zip(&mut before) {
            let known = before.map_or(f64::INFINITY, |(at, distance)| distance + at.distance(*point) + SLACK);
            let below = (best.margin() + asked.required).min(known);
            let Some(distance) = asked.barrier.to_point(*point, below) else { continue };
            *before = Some((*point, distance));
            if distance - asked.required < best.margin() {
                best = Room { distance, required: asked.required };
            }
        }
        best
    };
    points.iter().map(one).collect()
}

impl Barrier<'_> {
    /// The distance of a point, if it is less than `below` mm; 0 or less inside a plain body.
    fn to_point(&self, point: DVec3, below: f64) -> Option<f64> {
        let distance = match self {
            Barrier::Scan(Placed { tree, .. }) => return nearest(tree, point, below),
            Barrier::HalfSpace { at, out } => (point - *at).dot(*out),
            Barrier::Solid(solid, ..) => solid.to_point(point).distance,
        };
        (distance < below).then_some(distance)
    }
}

fn nearest(tree: &Tree, point: DVec3, below: f64) -> Option<f64> {
    tree.nearest_to_point(point, below).map(|touch| touch.distance)
}

/// Points in a part of the work.
const PART: usize = 1024;

/// What rounding may add to a bound, mm.
const SLACK: f64 = 1e-6;
