//! How close together the points of a cloud stand.

use geom::DVec3;

use crate::scan::Scan;

/// Of how many points the neighbours are looked for, at most.
const ASKED: usize = 4096;

/// Distances from loose points to the nearest other one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacing {
    /// Half of them are nearer, in the scan's units.
    pub median: f64,
    /// The largest, in the scan's units.
    pub largest: f64,
    /// How many points were asked: all, or in a large cloud 4096, evenly over the file's order.
    pub asked: usize,
}

impl Scan {
    /// How close together the loose points stand; `None` where there are fewer than two.
    pub fn spacing(&self) -> Option<Spacing> {
        if self.loose.len() < 2 {
            return None;
        }
        let points: Vec<DVec3> = self.loose.iter().map(|index| self.points[*index as usize]).collect();
        let axis = widest(&points);
        let mut order: Vec<(f64, u32)> = points.iter().map(|point| point[axis]).zip(0..).collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let step = points.len().div_ceil(ASKED);
        let asked = (0..order.len()).filter(|rank| (order[*rank].1 as usize).is_multiple_of(step));
        let mut distances: Vec<f64> = asked.map(|rank| nearest(&points, &order, rank)).collect();
        distances.sort_by(f64::total_cmp);
        let last = distances.len() - 1;
        Some(Spacing { median: distances[last / 2], largest: distances[last], asked: distances.len() })
    }
}

/// The axis along which the points are spread most.
fn widest(points: &[DVec3]) -> usize {
    let count = points.len() as f64;
    let mean = points.iter().fold(DVec3::ZERO, |sum, point| sum + *point / count);
    let spread = points.iter().fold(DVec3::ZERO, |sum, point| sum + (*point - mean) * (*point - mean));
    if spread.x >= spread.y.max(spread.z) { 0 } else { 1 + usize::from(spread.z > spread.y) }
}

/// How far the nearest other point is from that of `rank`, outward both ways in the order along an axis until
/// that alone is farther than the best.
fn nearest(points: &[DVec3], order: &[(f64, u32)], rank: usize) -> f64 {
    let (along, index) = order[rank];
    let here = points[index as usize];
    let mut best = f64::INFINITY;
    let mut before = order[..rank].iter().rev().peekable();
    let mut after = order[rank + 1..].iter().peekable();
    loop {
        let gap = |next: Option<&&(f64, u32)>| next.map_or(f64::INFINITY, |next| (next.0 - along).abs());
        let (back, on) = (gap(before.peek()), gap(after.peek()));
        let next = if back < on { before.next() } else { after.next() };
        match next {
            Some((_, other)) if back.min(on).powi(2) < best => {
                best = best.min(points[*other as usize].distance_squared(here));
            }
            _ => return best.sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_grid_with_one_point_apart() {
        let mut points: Vec<DVec3> =
            (0..900).map(|k| DVec3::new(f64::from(k % 30) * 2.0, f64::from(k / 30) * 0.5, 0.0)).collect();
        points.push(DVec3::new(10.0, 7.0, 9.0));
        let spacing = Scan::of_points(points).spacing().unwrap();
        assert_eq!(spacing, Spacing { median: 0.5, largest: 9.0, asked: 901 });
    }

    #[test]
    fn large_clouds_are_asked_in_part() {
        let points = (0..10_000).map(|k| DVec3::new(0.0, f64::from(k) * 3.0, 0.0)).collect();
        let spacing = Scan::of_points(points).spacing().unwrap();
        assert_eq!(spacing, Spacing { median: 3.0, largest: 3.0, asked: 3334 });
        assert_eq!(Scan::of_points(vec![DVec3::ZERO]).spacing(), None);
    }
}
