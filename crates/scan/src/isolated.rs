//! Noise left out: points with too few neighbours, patches of surface too small.

use geom::DVec3;

use crate::scan::Scan;

impl Scan {
    /// Parted from its noise: what is kept, and what is left out. Of the surface, connected patches whose box has a
    /// diagonal below `within` (in the scan's units) are left out; then loose points with fewer than `least` other
    /// points (of what is left) within that distance. A point exactly at that distance is within.
    ///
    /// Each of the two keeps its order; each can be nothing. Errors: none. `within` must be above 0.
    pub fn filtered(self, within: f64, least: usize) -> (Scan, Scan) {
        let keep = large_patches(&self, within);
        let mut scan = self;
        let mut kept = keep.iter();
        let small: Vec<[u32; 3]> =
            scan.triangles.extract_if(.., |_| !*kept.next().unwrap_or(&true)).collect();
        let patches = scan.only(small, Vec::new());
        scan.drop_unused();
        let near = company(&scan, within, least);
        let mut kept = near.iter().peekable();
        let alone = scan.loose.iter().copied().filter(|point| kept.next_if_eq(&point).is_none()).collect();
        let points = scan.only(Vec::new(), alone);
        scan.loose = near;
        scan.drop_unused();
        (scan, patches.and(points))
    }

    /// Some of its triangles and loose points, without the others' points.
    fn only(&self, mut triangles: Vec<[u32; 3]>, mut loose: Vec<u32>) -> Scan {
        let mut used: Vec<u32> = triangles.iter().flatten().chain(&loose).copied().collect();
        used.sort_unstable();
        used.dedup();
        for index in triangles.iter_mut().flatten().chain(&mut loose) {
            *index = used.partition_point(|other| *other < *index) as u32;
        }
        Scan {
            points: used.iter().map(|index| self.points[*index as usize]).collect(),
            triangles,
            loose,
            skipped: 0,
        }
    }

    /// Both, one after the other.
    fn and(mut self, other: Scan) -> Scan {
        let first = self.points.len() as u32;
        self.points.extend(other.points);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|corner| corner + first)));
        self.loose.extend(other.loose.iter().map(|point| point + first));
        self
    }

    /// Drops the points that are neither loose nor a corner.
    fn drop_unused(&mut self) {
        let mut index = vec![u32::MAX; self.points.len()];
        for used in self.triangles.iter().flatten().chain(&self.loose) {
            index[*used as usize] = 0;
        }
        let mut kept = 0;
        for (old, new) in index.iter_mut().enumerate().filter(|(_, new)| **new == 0) {
            self.points[kept] = self.points[old];
            *new = kept as u32;
            kept += 1;
        }
        self.points.truncate(kept);
        for used in self.triangles.iter_mut().flatten().chain(&mut self.loose) {
            *used = index[*used as usize];
        }
    }
}

/// Of each triangle, whether the patch that it is connected with, point by point, is not below `within`.
fn large_patches(scan: &Scan, within: f64) -> Vec<bool> {
    if scan.triangles.is_empty() {
        return Vec::new();
    }
    let mut parent: Vec<u32> = (0..scan.points.len() as u32).collect();
    for [a, b, c] in &scan.triangles {
        let a = root(&mut parent, *a);
        let b = root(&mut parent, *b);
        // The lower is the root, so the order of the triangles does not matter.
        parent[a.max(b) as usize] = a.min(b);
        let c = root(&mut parent, *c);
        parent[a.min(b).max(c) as usize] = a.min(b).min(c);
    }
    let mut low = scan.points.clone();
    let mut high = scan.points.clone();
    for point in 0..scan.points.len() {
        let root = root(&mut parent, point as u32) as usize;
        low[root] = low[root].min(scan.points[point]);
        high[root] = high[root].max(scan.points[point]);
    }
    let is_large = |[corner, ..]: &[u32; 3]| {
        let root = parent[*corner as usize] as usize;
        low[root].distance(high[root]) >= within
    };
    scan.triangles.iter().map(is_large).collect()
}

/// The point that stands for the patch of `point`; paths are halved on the way.
fn root(parent: &mut [u32], mut point: u32) -> u32 {
    while parent[point as usize] != point {
        let up = parent[parent[point as usize] as usize];
        parent[point as usize] = up;
        point = up;
    }
    point
}

/// The loose points that have at least `least` others within `within`.
fn company(scan: &Scan, within: f64, least: usize) -> Vec<u32> {
    if scan.loose.is_empty() || least == 0 {
        return scan.loose.clone();
    }
    let cubes = Cubes::new(&scan.points, within);
    let mut has = vec![false; scan.points.len()];
    let mut loose = vec![false; scan.points.len()];
    for point in &scan.loose {
        loose[*point as usize] = true;
    }
    let mut rows = [0; 9];
    for own in cubes.0.chunk_by(|a, b| a.0 == b.0) {
        let ranges = cubes.around(own[0].0, &mut rows);
        for (_, point) in own.iter().filter(|(_, point)| loose[*point as usize]) {
            let here = scan.points[*point as usize];
            let near = |(_, other): &&(u64, u32)| {
                other != point && scan.points[*other as usize].distance_squared(here) <= within * within
            };
            // A point has most of its neighbours in its own cube.
            let mut found = own.iter().filter(near).take(least).count();
            for range in ranges.clone() {
                if found >= least {
                    break;
                }
                let others = cubes.0[range].iter().filter(|(cube, _)| *cube != own[0].0);
                found += others.filter(near).take(least - found).count();
            }
            has[*point as usize] = found >= least;
        }
    }
    scan.loose.iter().copied().filter(|point| has[*point as usize]).collect()
}

/// Points by the cube that they are in: (cube, point), sorted. A cube is `z << 42 | y << 21 | x`, so that
/// cubes in a row along x follow each other.
struct Cubes(Vec<(u64, u32)>);

/// Cubes along an axis: all beyond are in the first or last, which keeps neighbours neighbours.
const ALONG: f64 = 2_097_150.0;

impl Cubes {
    fn new(points: &[DVec3], side: f64) -> Cubes {
        let middle = middle(points);
        // A little more, so that rounding never puts two cubes between neighbours.
        let side = side * (1.0 + 1e-6);
        let cube = |point: &DVec3| {
            let steps = ((*point - middle) / side).floor() + DVec3::splat((ALONG / 2.0).floor());
            let [x, y, z] = steps.clamp(DVec3::ONE, DVec3::splat(ALONG)).to_array().map(|step| step as u64);
            z << 42 | y << 21 | x
        };
        let mut cubes: Vec<(u64, u32)> = points.iter().map(cube).zip(0..).collect();
        cubes.sort_unstable();
        Cubes(cubes)
    }

    /// The nine rows of three cubes about `cube`, as ranges. `rows` are their begins for the cube before, in
    /// rising order: they only move on.
    fn around(&self, cube: u64, rows: &mut [usize; 9]) -> [std::ops::Range<usize>; 9] {
        let mut ranges = std::array::from_fn(|_| 0..0);
        for (k, begin) in rows.iter_mut().enumerate() {
            let (dy, dz) = (k as u64 % 3, k as u64 / 3);
            // One less along each axis; none is ever below 1.
            let first = cube + (dz << 42) + (dy << 21) - (1 << 42) - (1 << 21) - 1;
            while self.0.get(*begin).is_some_and(|(other, _)| *other < first) {
                *begin += 1;
            }
            let length = self.0[*begin..].iter().take_while(|(other, _)| *other <= first + 2).count();
            ranges[k] = *begin..*begin + length;
        }
        ranges
    }
}

/// Somewhere amid the points: the median along each axis of some of them.
fn middle(points: &[DVec3]) -> DVec3 {
    let some: Vec<&DVec3> = points.iter().step_by(points.len() / 1000 + 1).collect();
    let median = |axis: usize| {
        let mut values: Vec<f64> = some.iter().map(|point| point[axis]).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    DVec3::new(median(0), median(1), median(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every pair tried.
    fn by_pairs(points: &[DVec3], within: f64, least: usize) -> Vec<usize> {
        let near = |a: &DVec3, b: &DVec3| a.distance_squared(*b) <= within * within;
        let others =
            |k: usize| (0..points.len()).filter(|j| *j != k && near(&points[k], &points[*j])).count();
        (0..points.len()).filter(|k| others(*k) >= least).collect()
    }

    #[test]
    fn neighbours_are_those_of_all_pairs() {
        let mut seed = 7_u64;
        let mut dice = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1_u64 << 53) as f64
        };
        let mut points: Vec<DVec3> =
            (0..600).map(|_| DVec3::new(dice() * 30.0, dice() * 20.0, dice() * dice() * 10.0)).collect();
        points.extend([DVec3::splat(1e11), DVec3::splat(1e11 + 1.0), DVec3::new(-1e11, 0.0, 0.0)]);
        for (within, least) in [(1.0, 1), (2.0, 3), (2.5, 6), (50.0, 4)] {
            let expected = by_pairs(&points, within, least);
            let (left, out) = Scan::of_points(points.clone()).filtered(within, least);
            assert_eq!(left.points, expected.iter().map(|k| points[*k]).collect::<Vec<_>>());
            let others = (0..points.len()).filter(|k| !expected.contains(k)).map(|k| points[k]);
            assert_eq!(out, Scan::of_points(others.collect()));
            assert_eq!(left.loose.len(), left.points.len());
        }
    }

    #[test]
    fn small_patches_go_and_free_points_near_large_ones_stay() {
        let corners = |at: f64, size: f64| [[at, 0.0, 0.0], [at + size, 0.0, 0.0], [at, size, 0.0]];
        let mut points = [corners(0.0, 10.0), corners(50.0, 1.0)].concat();
        points.extend([[0.5, 0.5, 0.5], [50.5, 0.5, 0.5]]);
        let points = points.into_iter().map(DVec3::from_array).collect();
        let scan = Scan::of_surface(points, vec![[0, 1, 2], [3, 4, 5]]);
        let (left, out) = scan.filtered(2.0, 1);
        assert_eq!((out.triangles, out.loose), (vec![[0, 1, 2]], vec![3]));
        assert_eq!(out.points[..2], [DVec3::new(50.0, 0.0, 0.0), DVec3::new(51.0, 0.0, 0.0)]);
        assert_eq!(out.points[3], DVec3::new(50.5, 0.5, 0.5));
        assert_eq!((left.triangles, left.loose), (vec![[0, 1, 2]], vec![3]));
        assert_eq!(left.points.len(), 4);
    }
}
