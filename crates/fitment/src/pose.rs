//! How a part stands on the bed: so that little hangs over, and then low.

use geom::math::sin;
use geom::{DMat3, DVec3};
use glam::DVec2;
use solids::Mesh;
use spec::shop::Printer;

use crate::calipers::{least, outline};
use crate::fits::{Extent, Room, WAYS};
use crate::placement::Placement;

/// A part as it stands on the bed, turned so that the rectangle around it is small; its least x, y and z are 0.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// From the header's axes to the bed's.
    pub placement: Placement,
    /// Its size, mm.
    pub size: DVec3,
    /// Area that leans out further than the printer can print without support, and is not on the bed, mm2; without what
    /// is sunk afterwards, which is narrow enough to be bridged.
    pub overhang: f64,
    /// Area that stands on the bed, mm2.
    pub foot: f64,
    /// Whether its centre of volume is above what stands on the bed.
    pub steady: bool,
    /// Its convex outline on the bed, counter-clockwise, mm.
    pub outline: Vec<DVec2>,
}

impl Pose {
    /// The direction in the header's axes that is up on the bed.
    pub fn up(&self) -> DVec3 {
        self.placement.turn.transpose() * DVec3::Z
    }

    /// The same pose of a body of which something was sunk: turned alike, its place and size measured anew.
    pub fn of(self, mesh: &Mesh) -> Pose {
        let (placement, size, outline) = laid(mesh, self.placement.turn);
        Pose { placement, size, outline, ..self }
    }
}

/// The best position that fits of those tried: on each of its larger flats, along the axes and halfway between them,
/// and along `ways`; where it fits on no flat, along directions spread evenly too. None fits: none.
///
/// Best is where least hangs over; a part that would fall over counts as [`FALLS`] more, one without a foot
/// as [`NO_FOOT`] more, and each mm of height as [`TALL`] more (common practice, no source).
pub fn posed(mesh: &Mesh, printer: &Printer, ways: &[DVec3]) -> Option<Pose> {
    let body = Body::of(mesh);
    let room = Room::of(printer);
    let mut downs: Vec<DVec3> = flats(body.faces.iter().copied()).into_iter().map(DVec3::normalize).collect();
    downs.extend(ways.iter().flat_map(|w| [*w, -*w]));
    downs.extend(halfway());
    let steepest = sin(printer.overhang);
    let stands = body.stands(&downs, steepest, room);
    let on_flat = stands.iter().filter(|s| s.foot >= LEAST_FOOT).find_map(|s| body.pose(s, room.bed));
    on_flat.or_else(|| {
        let extent = Extent::of(mesh.points.clone());
        downs.extend(WAYS.iter().flat_map(|w| [*w, -*w]));
        downs.push(extent.fit(room, ways).down);
        let near = |s: &&Stand| extent.standing(room, s.down, NEARLY).is_some();
        body.stands(&downs, steepest, room).iter().filter(near).find_map(|s| body.pose(s, room.bed))
    })
}

/// A body with its triangles' normals and areas, found once.
struct Body<'a> {
    mesh: &'a Mesh,
    /// Normal times area of each triangle, mm2.
    faces: Vec<DVec3>,
    centre: DVec3,
}

/// A direction down, and what that means.
struct Stand {
    down: DVec3,
    height: f64,
    overhang: f64,
    foot: f64,
    steady: bool,
}

impl Stand {
    fn cost(&self) -> f64 {
        let footing = match (self.foot >= LEAST_FOOT, self.steady) {
            (true, true) => 0.0,
            (true, false) => FALLS,
            _ => NO_FOOT,
        };
        self.overhang + footing + TALL * self.height
    }
}

impl<'a> Body<'a> {
    fn of(mesh: &'a Mesh) -> Body<'a> {
        let faces = mesh.corners().map(|[a, b, c]| 0.5 * (b - a).cross(c - a)).collect();
        let origin = mesh.points.first().copied().unwrap_or(DVec3::ZERO);
        let mut moment = DVec3::ZERO;
        let mut six = 0.0;
        for [a, b, c] in mesh.corners().map(|t| t.map(|p| p - origin)) {
            let volume = a.dot(b.cross(c));
            moment += (a + b + c) * (0.25 * volume);
            six += volume;
        }
        let centre = if six > 0.0 { origin + moment / six } else { origin };
        Body { mesh, faces, centre }
    }

    /// How it stands with each of these down, where it is not too high; the best first.
    fn stands(&self, downs: &[DVec3], steepest: f64, room: Room) -> Vec<Stand> {
        let mut stands: Vec<Stand> = downs.iter().map(|down| self.stand(*down, steepest)).collect();
        stands.retain(|s| s.height <= room.height);
        stands.sort_by(|a, b| a.cost().total_cmp(&b.cost()));
        stands
    }

    fn stand(&self, down: DVec3, steepest: f64) -> Stand {
        let depths: Vec<f64> = self.mesh.points.iter().map(|p| p.dot(down)).collect();
        let bed = depths.iter().fold(f64::NEG_INFINITY, |m, d| m.max(*d));
        let top = depths.iter().fold(f64::INFINITY, |m, d| m.min(*d));
        let (mut overhang, mut foot, mut corners) = (0.0, 0.0, Vec::new());
        for (face, triangle) in self.faces.iter().zip(&self.mesh.triangles) {
            let (area, facing) = (face.length(), face.dot(down));
            if !over(facing, area, steepest) {
                continue;
            }
            let low = triangle.iter().all(|i| depths[*i as usize] > bed - LAYER);
            if low && facing > FLAT * area {
                foot += area;
                corners.extend(triangle.map(|i| self.mesh.points[i as usize]));
            } else if !low {
                overhang += area;
            }
        }
        let steady = foot >= LEAST_FOOT && self.above(&corners, down);
        Stand { down, height: bed - top, overhang, foot, steady }
    }

    /// Whether the centre of volume is above the outline of these points.
    fn above(&self, corners: &[DVec3], down: DVec3) -> bool {
        let (x, y) = down.any_orthonormal_pair();
        let flat = |p: DVec3| DVec2::new(p.dot(x), p.dot(y));
        let foot = outline(&corners.iter().map(|p| flat(*p)).collect::<Vec<_>>());
        above(&foot, flat(self.centre))
    }

    /// The pose of a stand, turned about the vertical; none where it goes beyond the bed.
    fn pose(&self, stand: &Stand, bed: DVec2) -> Option<Pose> {
        let (x, y) = (-stand.down).any_orthonormal_pair();
        let flat: Vec<DVec2> = self.mesh.points.iter().map(|p| DVec2::new(p.dot(x), p.dot(y))).collect();
        let turn = least(&outline(&flat), bed)?;
        let (s, c) = geom::math::sin_cos(turn.angle);
        let turn = DMat3::from_cols(x * c - y * s, x * s + y * c, -stand.down).transpose();
        let (placement, size, outline) = laid(self.mesh, turn);
        let Stand { overhang, foot, steady, .. } = *stand;
        Some(Pose { placement, size, overhang, foot, steady, outline })
    }
}

/// Where a mesh stands when it is turned so, its size, and its convex outline on the bed.
fn laid(mesh: &Mesh, turn: DMat3) -> (Placement, DVec3, Vec<DVec2>) {
    let turned: Vec<DVec3> = mesh.points.iter().map(|p| turn * *p).collect();
    let low = turned.iter().fold(DVec3::INFINITY, |low, p| low.min(*p));
    let high = turned.iter().fold(DVec3::NEG_INFINITY, |high, p| high.max(*p));
    let ground: Vec<DVec2> = turned.iter().map(|p| (*p - low).truncate()).collect();
    (Placement { turn, by: -low }, high - low, outline(&ground))
}

/// Whether a face of this area, so much of which faces down, leans out further than `steepest` (a sine to the upright).
pub(crate) fn over(facing: f64, area: f64, steepest: f64) -> bool {
    facing > (steepest + LEVEL) * area
}

/// Whether a point is above a convex outline, counter-clockwise.
pub(crate) fn above(outline: &[DVec2], point: DVec2) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    outline.len() > 2 && sides.into_iter().all(|(a, b)| (*b - *a).perp_dot(point - *a) >= 0.0)
}

/// The larger flats among faces, the largest first, all as normals times areas: gathered by where a normal goes through
/// a cube.
pub(crate) fn flats(faces: impl Iterator<Item = DVec3>) -> Vec<DVec3> {
    let mut cells: Vec<(usize, DVec3)> = faces.map(|f| (cell(f), f)).collect();
    cells.sort_by_key(|c| c.0);
    let gathered = cells.chunk_by(|a, b| a.0 == b.0).map(|cell| cell.iter().map(|c| c.1).sum::<DVec3>());
    let mut flats: Vec<DVec3> = gathered.filter(|f| f.length() > LEAST_FOOT).collect();
    flats.sort_by(|a, b| b.length_squared().total_cmp(&a.length_squared()));
    flats.truncate(FLATS);
    flats
}

/// The six axes, and the twenty directions halfway between two or three of them.
fn halfway() -> Vec<DVec3> {
    let steps = [-1.0, 0.0, 1.0];
    let all = steps.iter().flat_map(|x| steps.iter().flat_map(move |y| steps.map(|z| DVec3::new(*x, *y, z))));
    all.filter_map(DVec3::try_normalize).collect()
}

/// The cell of a cube, 64 by 64 on each side, through which a direction goes.
fn cell(direction: DVec3) -> usize {
    let size = direction.abs();
    let (axis, along, u, v) = if size.x >= size.y && size.x >= size.z {
        (0, direction.x, direction.y, direction.z)
    } else if size.y >= size.z {
        (1, direction.y, direction.z, direction.x)
    } else {
        (2, direction.z, direction.x, direction.y)
    };
    if along == 0.0 {
        return 0;
    }
    let side = 2 * axis + usize::from(along < 0.0);
    // Halved so that the axes themselves lie in the middle of a cell, whatever their last digit.
    let step = |t: f64| ((t / along.abs() * 32.0).round() + 32.0) as usize;
    (side * 65 + step(u)) * 65 + step(v)
}

/// What counts against a part that would fall over, mm2 (common practice, no source).
pub const FALLS: f64 = 1000.0;

/// What counts against a part that stands on nothing, mm2: more than any overhang (common practice, no source).
pub const NO_FOOT: f64 = 1e6;

/// What a mm of height counts as, mm2 (common practice, no source).
pub const TALL: f64 = 0.5;

/// The least area to stand on, mm2 (common practice, no source).
pub(crate) const LEAST_FOOT: f64 = 40.0;

/// What is this near to the bed is on it, mm.
const LAYER: f64 = 0.05;

/// Cosine to the vertical above which a face is level: 1 degree.
pub const FLAT: f64 = 0.999_847_7;

/// A sine by which a surface at the very limit of the printer does not count as beyond it.
pub const LEVEL: f64 = 1e-6;

/// A position in which so much is missing by the points furthest out is tried with all points, mm: more than twice what
/// those may leave out.
const NEARLY: f64 = 2.0;

/// How many flats are tried.
const FLATS: usize = 24;

#[cfg(test)]
mod tests {
    use super::*;

    /// A box with one corner at `at`.
    fn block(at: DVec3, size: DVec3) -> Mesh {
        let corner =
            |i: u32| at + size * DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2));
        let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = quads.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
        Mesh { points: (0..8).map(corner).collect(), triangles }
    }

    fn joined(parts: &[Mesh]) -> Mesh {
        let mut mesh = Mesh::default();
        for part in parts {
            let first = mesh.points.len() as u32;
            mesh.points.extend(&part.points);
            mesh.triangles.extend(part.triangles.iter().map(|t| t.map(|i| i + first)));
        }
        mesh
    }

    #[test]
    fn a_table_stands_on_its_top() {
        let plate = block(DVec3::new(0.0, 0.0, 30.0), DVec3::new(60.0, 40.0, 5.0));
        let legs = [(2.0, 2.0), (52.0, 2.0), (2.0, 32.0), (52.0, 32.0)];
        let mut parts: Vec<Mesh> =
            legs.iter().map(|(x, y)| block(DVec3::new(*x, *y, 0.0), DVec3::new(6.0, 6.0, 30.0))).collect();
        parts.push(plate);
        let table = joined(&parts);
        table.check().unwrap();
        let pose = posed(&table, &Printer::default(), &[]).unwrap();
        assert!((pose.placement.turn * DVec3::Z + DVec3::Z).length() < 1e-12, "{pose:?}");
        // What hangs over are the legs' ends within, where they stand on the plate.
        assert!((pose.foot - 2400.0).abs() < 1e-9 && (pose.overhang - 144.0).abs() < 1e-9 && pose.steady);
        assert!((pose.size - DVec3::new(60.0, 40.0, 35.0)).length() < 1e-9);
        for point in &table.points {
            let there = pose.placement.apply(*point);
            assert!(there.min_element() >= -1e-9 && (pose.placement.undo(there) - *point).length() < 1e-9);
        }
    }

    #[test]
    fn what_leans_further_than_the_printer_can_hangs_over() {
        // A block of 20 by 20 by 10 standing on an edge, leant by 50 degrees: of its two faces that look down one is
        // 40 degrees from upright, which is printed, the other 50 degrees.
        let slab = block(DVec3::ZERO, DVec3::new(20.0, 20.0, 10.0));
        let (s, c) = geom::math::sin_cos(50.0_f64.to_radians());
        let down = DVec3::new(-s, 0.0, -c);
        let stand = Body::of(&slab).stand(down, geom::math::sin(45.0_f64.to_radians()));
        assert!((stand.overhang - 200.0).abs() < 1e-9, "{}", stand.overhang);
    }

    #[test]
    fn a_part_that_fits_only_askew_is_put_so() {
        let long = block(DVec3::ZERO, DVec3::new(300.0, 8.0, 8.0));
        let pose = posed(&long, &Printer::default(), &[]).unwrap();
        assert!(pose.size.x <= 210.0 && pose.size.y <= 210.0 && pose.size.z <= 240.0, "{pose:?}");
        assert!(posed(&block(DVec3::ZERO, DVec3::new(400.0, 8.0, 8.0)), &Printer::default(), &[]).is_none());
    }
}
