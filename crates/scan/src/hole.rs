//! Where a surface ends: loops of edges that only one triangle uses.

use geom::DVec3;

use crate::scan::Scan;

/// A loop of edges that one triangle uses: a hole in a surface, or its outer rim.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Its points in order, as indices into the scan's.
    pub points: Vec<u32>,
    /// Whether the last point is joined to the first. Only where edges are used by more than two triangles
    /// can a loop stay open.
    pub closed: bool,
    /// The centre of gravity of its edges, in the scan's units.
    pub centre: DVec3,
    /// The sum of its edges, in the scan's units.
    pub length: f64,
    /// The greatest distance between two of its points, in the scan's units; at most a millionth too small.
    pub across: f64,
    /// How the surface along it faces the way that it runs around what it bounds, as the mean cosine: 1 about the
    /// outside of a flat sheet, -1 about a hole in one, near 0 where a tunnel or a bowl ends. 0 where it is open,
    /// or runs around nothing.
    pub facing: f64,
}

/// The edges of a surface that are not shared by two triangles.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rim {
    /// Loops of edges that one triangle uses, the widest first.
    pub holes: Vec<Hole>,
    /// How many edges are used by more than two triangles.
    pub crowded: usize,
}

impl Scan {
    /// Where the surface ends, and where it is more than a surface. Triangles with a corner twice count for
    /// nothing.
    pub fn rim(&self) -> Rim {
        if self.triangles.is_empty() {
            return Rim::default();
        }
        let (edges, crowded) = lone_edges(self);
        let sides = sides(self, &edges);
        let mut holes = Loops::new(&edges, self.points.len()).all(&self.points);
        for hole in holes.iter_mut().filter(|hole| hole.closed) {
            hole.facing = facing(&self.points, hole, |low, high| {
                let edge = edges.binary_search(&[low, high]).ok()?;
                Some(sides[edge])
            });
        }
        holes.sort_by(|a, b| b.across.total_cmp(&a.across).then(a.points[0].cmp(&b.points[0])));
        Rim { holes, crowded }
    }

    /// The loops of [`Scan::rim`].
    pub fn holes(&self) -> Vec<Hole> {
        self.rim().holes
    }
}

/// Edges that one triangle uses, as pairs of points in rising order; and how many are used by more than two.
///
/// All edges are sorted by their lower end, by counting: 4 bytes an edge.
fn lone_edges(scan: &Scan) -> (Vec<[u32; 2]>, usize) {
    let edges = || {
        let sound = scan.triangles.iter().filter(|[a, b, c]| a != b && b != c && c != a);
        sound.flat_map(|[a, b, c]| [[a, b], [b, c], [c, a]]).map(|[a, b]| (*a.min(b), *a.max(b)))
    };
    let mut begins = vec![0_u32; scan.points.len() + 1];
    for (low, _) in edges() {
        begins[low as usize + 1] += 1;
    }
    for k in 1..begins.len() {
        begins[k] += begins[k - 1];
    }
    let mut highs = vec![0_u32; begins[scan.points.len()] as usize];
    let mut next = begins.clone();
    for (low, high) in edges() {
        highs[next[low as usize] as usize] = high;
        next[low as usize] += 1;
    }
    drop(next);
    let (mut lone, mut crowded) = (Vec::new(), 0);
    for low in 0..scan.points.len() {
        let of_low = &mut highs[begins[low] as usize..begins[low + 1] as usize];
        of_low.sort_unstable();
        for same in of_low.chunk_by(|a, b| a == b) {
            match same.len() {
                1 => lone.push([low as u32, same[0]]),
                2 => {}
                _ => crowded += 1,
            }
        }
    }
    (lone, crowded)
}

/// The unit normal of the triangle at each lone edge; turned about where it runs along it from its upper end to its
/// lower one.
fn sides(scan: &Scan, lone: &[[u32; 2]]) -> Vec<DVec3> {
    let mut sides = vec![DVec3::ZERO; lone.len()];
    let mut on_rim = vec![false; scan.points.len()];
    lone.iter().flatten().for_each(|end| on_rim[*end as usize] = true);
    for &[a, b, c] in &scan.triangles {
        for (from, to, third) in [(a, b, c), (b, c, a), (c, a, b)] {
            if !(on_rim[from as usize] && on_rim[to as usize]) {
                continue;
            }
            if let Ok(edge) = lone.binary_search(&[from.min(to), from.max(to)]) {
                let [p, q, r] = [from, to, third].map(|index| scan.points[index as usize]);
                let normal = (q - p).cross(r - p).normalize_or_zero();
                sides[edge] = if from < to { normal } else { -normal };
            }
        }
    }
    sides
}

/// [`Hole::facing`] of a closed loop; `side` is as [`sides`] has it.
fn facing(points: &[DVec3], hole: &Hole, side: impl Fn(u32, u32) -> Option<DVec3>) -> f64 {
    let next = hole.points.iter().cycle().skip(1);
    let (mut area, mut normals) = (DVec3::ZERO, DVec3::ZERO);
    for (&from, &to) in hole.points.iter().zip(next) {
        let [p, q] = [from, to].map(|index| points[index as usize]);
        area += (p - hole.centre).cross(q - hole.centre);
        let normal = side(from.min(to), from.max(to)).unwrap_or_default();
        normals += p.distance(q) * if from < to { normal } else { -normal };
    }
    if hole.length > 0.0 { area.normalize_or_zero().dot(normals) / hole.length } else { 0.0 }
}

/// No place in the path.
const NOWHERE: u32 = u32::MAX;

/// Edges on the way to becoming loops.
struct Loops<'a> {
    edges: &'a [[u32; 2]],
    used: Vec<bool>,
    /// Each edge from both its ends: (end, edge), sorted.
    ends: Vec<(u32, u32)>,
    /// Of each point, its place in the path.
    place: Vec<u32>,
}

impl Loops<'_> {
    fn new(edges: &[[u32; 2]], points: usize) -> Loops<'_> {
        let both = |(k, edge): (usize, &[u32; 2])| edge.map(|end| (end, k as u32));
        let mut ends: Vec<(u32, u32)> = edges.iter().enumerate().flat_map(both).collect();
        ends.sort_unstable();
        Loops { edges, used: vec![false; edges.len()], ends, place: vec![NOWHERE; points] }
    }

    /// First from the ends of what cannot be closed, then from everywhere.
    fn all(mut self, points: &[DVec3]) -> Vec<Hole> {
        let odd = self.ends.chunk_by(|a, b| a.0 == b.0).filter(|same| same.len() % 2 == 1);
        let mut starts: Vec<u32> = odd.map(|same| same[0].0).collect();
        starts.extend(self.edges.iter().map(|edge| edge[0]));
        let mut holes = Vec::new();
        for start in starts {
            self.from(start, |path, closed| holes.push(hole(points, path, closed)));
        }
        holes
    }

    /// Walks on from `start` while there are edges. Where the path comes to a point that it has been to, the
    /// part between is a loop.
    fn from(&mut self, start: u32, mut found: impl FnMut(&[u32], bool)) {
        let mut path = vec![start];
        self.place[start as usize] = 0;
        let mut here = start;
        while let Some(next) = self.step(here) {
            let been = self.place[next as usize];
            if been == NOWHERE {
                self.place[next as usize] = path.len() as u32;
                path.push(next);
            } else {
                found(&path[been as usize..], true);
                for point in path.drain(been as usize + 1..) {
                    self.place[point as usize] = NOWHERE;
                }
            }
            here = next;
        }
        if path.len() > 1 {
            found(&path, false);
        }
        for point in path {
            self.place[point as usize] = NOWHERE;
        }
    }

    /// The other end of the first edge at `here` that is not used yet.
    fn step(&mut self, here: u32) -> Option<u32> {
        let from = self.ends.partition_point(|(end, _)| *end < here);
        let at_here = self.ends[from..].iter().take_while(|(end, _)| *end == here);
        let edge = at_here.map(|(_, edge)| *edge as usize).find(|edge| !self.used[*edge])?;
        self.used[edge] = true;
        let [low, high] = self.edges[edge];
        Some(if low == here { high } else { low })
    }
}

fn hole(points: &[DVec3], path: &[u32], closed: bool) -> Hole {
    let at = |k: usize| points[path[k % path.len()] as usize];
    let (mut length, mut moment) = (0.0, DVec3::ZERO);
    for k in 0..path.len() - usize::from(!closed) {
        let edge = at(k).distance(at(k + 1));
        length += edge;
        moment += edge * (at(k) - at(0) + at(k + 1) - at(0)) / 2.0;
    }
    let centre = if length > 0.0 { at(0) + moment / length } else { at(0) };
    let places: Vec<DVec3> = path.iter().map(|index| points[*index as usize]).collect();
    Hole { points: path.to_vec(), closed, centre, length, across: across(&places, centre), facing: 0.0 }
}

/// The greatest distance between two of `points`. Those far from `centre` are tried first: two that together
/// are nearer to it than the best so far cannot be farther apart. A gain of less than a millionth is not looked
/// for: about a circle every pair could bring one.
fn across(points: &[DVec3], centre: DVec3) -> f64 {
    let mut far: Vec<(f64, DVec3)> = points.iter().map(|p| (p.distance(centre), *p)).collect();
    far.sort_by(|a, b| b.0.total_cmp(&a.0));
    let farthest = |from: DVec3| far.iter().map(|(_, p)| p.distance_squared(from)).fold(0.0, f64::max);
    let mut best = far.first().map_or(0.0, |(_, first)| farthest(*first)).sqrt();
    for (k, (reach, a)) in far.iter().enumerate() {
        let gains = |(other, _): &&(f64, DVec3)| reach + other > best * (1.0 + 1e-6);
        let most = far[k + 1..].iter().take_while(gains).map(|(_, b)| b.distance(*a)).fold(0.0, f64::max);
        if most == 0.0 {
            break;
        }
        best = best.max(most);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sheet of squares, each of two triangles, without those that `gap` names.
    fn sheet(n: u32, gap: impl Fn(u32, u32) -> bool) -> Scan {
        let points =
            (0..(n + 1) * (n + 1)).map(|k| DVec3::new((k % (n + 1)).into(), (k / (n + 1)).into(), 0.0));
        let mut triangles = Vec::new();
        for (x, y) in (0..n * n).map(|k| (k % n, k / n)).filter(|(x, y)| !gap(*x, *y)) {
            let a = y * (n + 1) + x;
            triangles.extend([[a, a + 1, a + n + 2], [a, a + n + 2, a + n + 1]]);
        }
        Scan::of_surface(points.collect(), triangles)
    }

    #[test]
    fn a_sheet_has_its_rim_and_its_holes() {
        let scan = sheet(10, |x, y| (4..6).contains(&x) && y == 4);
        let Rim { holes, crowded } = scan.rim();
        assert_eq!((holes.len(), crowded), (2, 0));
        assert_eq!((holes[0].length, holes[0].centre), (40.0, DVec3::new(5.0, 5.0, 0.0)));
        assert!((holes[0].across - 200_f64.sqrt()).abs() < 1e-12);
        assert_eq!((holes[1].length, holes[1].centre), (6.0, DVec3::new(5.0, 4.5, 0.0)));
        assert!((holes[1].across - 5_f64.sqrt()).abs() < 1e-12);
        assert!(holes.iter().all(|hole| hole.closed));
        assert_eq!([holes[0].facing, holes[1].facing], [1.0, -1.0]);
    }

    /// A square tunnel, open at both ends, and the same with a lid that lacks its middle.
    #[test]
    fn the_end_of_a_tunnel_is_no_hole_in_its_wall() {
        let ring = |z: f64, half: f64| {
            [[-half, -half], [half, -half], [half, half], [-half, half]].map(|[x, y]| DVec3::new(x, y, z))
        };
        let points = [ring(0.0, 2.0), ring(5.0, 2.0), ring(5.0, 1.0)].concat();
        let band = |low: u32| {
            (0..4).flat_map(move |k| {
                let (a, b) = (low + k, low + (k + 1) % 4);
                [[a, b, b + 4], [a, b + 4, a + 4]]
            })
        };
        let holes = Scan::of_surface(points.clone(), band(0).collect()).holes();
        assert!(holes.len() == 2 && holes.iter().all(|hole| hole.facing.abs() < 1e-12));
        let holes = Scan::of_surface(points, band(0).chain(band(4)).collect()).holes();
        assert!(holes[0].facing.abs() < 1e-12 && (holes[1].facing + 1.0).abs() < 1e-12, "{holes:?}");
    }

    /// With an odd number of points about a circle no two are opposite, and none is farther out than another.
    #[test]
    fn a_round_rim_is_measured_in_little_time() {
        let count = 100_001;
        let at = |k: u32| {
            let (sin, cos) = geom::math::sin_cos(std::f64::consts::TAU * f64::from(k) / f64::from(count));
            DVec3::new(cos, sin, 0.0) * 50.0
        };
        let points = (0..count).map(at).chain([DVec3::ZERO]).collect();
        let triangles = (0..count).map(|k| [count, k, (k + 1) % count]).collect();
        let holes = Scan::of_surface(points, triangles).holes();
        assert_eq!(holes.len(), 1);
        assert!((holes[0].across - 100.0).abs() < 1e-4);
        assert!((holes[0].length - 100.0 * std::f64::consts::PI).abs() < 1e-4);
    }

    #[test]
    fn holes_that_touch_are_two() {
        let holes = sheet(6, |x, y| (x, y) == (2, 2) || (x, y) == (3, 3)).holes();
        assert_eq!(holes.iter().map(|hole| hole.length).collect::<Vec<_>>(), [24.0, 4.0, 4.0]);
    }

    #[test]
    fn a_fin_on_an_edge_makes_it_crowded() {
        let points = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1]];
        let points = points.map(|p| DVec3::from_array(p.map(f64::from))).to_vec();
        let scan = Scan::of_surface(points, vec![[0, 1, 2], [1, 0, 3], [0, 1, 4]]);
        let rim = scan.rim();
        assert_eq!(rim.crowded, 1);
        assert_eq!(rim.holes.iter().map(|hole| hole.points.len()).sum::<usize>(), 7);
    }
}
