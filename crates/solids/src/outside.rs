//! The outside of parts as evenly divided surfaces, for what is told point by point: a colour, a distance.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use geom::DVec3;
use tube::{End, Piece};

use crate::mesh::Mesh;

/// The outside of a piece, its points on the true surface and no further than about `step` mm apart; open at its
/// ends, closed over its holes.
///
/// Rows lean from the start cut to the end cut, so a slanted end is followed between its points only.
pub fn outside_mesh(piece: &Piece, step: f64) -> Mesh {
    let length = piece.length();
    let widest = piece.outer_radius(0.0).max(piece.outer_radius(length)).max(0.5 * piece.od());
    let columns = (TAU * widest / step).ceil().max(LEAST_COLUMNS) as u32;
    let rows = (length / step).ceil().max(1.0) as u32;
    let mut mesh = Mesh::default();
    for k in 0..columns {
        let clock = TAU * f64::from(k) / f64::from(columns);
        let [from, to] = [End::Start, End::End].map(|end| piece.edge(end, clock, 1.0));
        let station = |row: u32| from + (to - from) * f64::from(row) / f64::from(rows);
        mesh.points.extend((0..=rows).map(|row| piece.point(station(row), clock, 1.0)));
    }
    for k in 0..columns {
        let (this, next) = (k * (rows + 1), (k + 1) % columns * (rows + 1));
        for row in 0..rows {
            let [a, b, c, d] = [this + row, next + row, next + row + 1, this + row + 1];
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

/// The mesh with every edge that is longer than `step` mm halved until none is left.
pub fn divided_mesh(mut mesh: Mesh, step: f64) -> Mesh {
    loop {
        let mut halves: BTreeMap<[u32; 2], u32> = BTreeMap::new();
        let mut triangles = Vec::with_capacity(mesh.triangles.len());
        for &[a, b, c] in &mesh.triangles {
            let points = &mut mesh.points;
            let [p, q, r] = [[a, b], [b, c], [c, a]].map(|edge| half(points, &mut halves, edge, step));
            match (p, q, r) {
                (None, None, None) => triangles.push([a, b, c]),
                (Some(p), None, None) => triangles.extend([[a, p, c], [p, b, c]]),
                (None, Some(q), None) => triangles.extend([[b, q, a], [q, c, a]]),
                (None, None, Some(r)) => triangles.extend([[c, r, b], [r, a, b]]),
                (Some(p), Some(q), None) => triangles.extend([[p, b, q], [a, p, q], [a, q, c]]),
                (None, Some(q), Some(r)) => triangles.extend([[q, c, r], [b, q, r], [b, r, a]]),
                (Some(p), None, Some(r)) => triangles.extend([[r, a, p], [c, r, p], [c, p, b]]),
                (Some(p), Some(q), Some(r)) => {
                    triangles.extend([[a, p, r], [p, b, q], [r, q, c], [p, q, r]]);
                }
            }
        }
        mesh.triangles = triangles;
        if halves.is_empty() {
            return mesh;
        }
    }
}

/// The middle of an edge that is too long, one for both triangles beside it.
fn half(
    points: &mut Vec<DVec3>,
    halves: &mut BTreeMap<[u32; 2], u32>,
    [a, b]: [u32; 2],
    step: f64,
) -> Option<u32> {
    let [p, q] = [a, b].map(|k| points[k as usize]);
    if p.distance(q) <= step {
        return None;
    }
    Some(*halves.entry([a.min(b), a.max(b)]).or_insert_with(|| {
        points.push(0.5 * (p + q));
        points.len() as u32 - 1
    }))
}

/// Points around the thinnest tube.
const LEAST_COLUMNS: f64 = 12.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::{MeshSettings, piece_mesh};
    use geom::Frame;
    use tube::{Centreline, Cut, Row, Rows, Section, alloy};

    fn bent() -> Piece {
        let row = Row { feed: 60.0, rotate: 0.0, bend: 1.2, radius: 70.0 };
        let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let line = Centreline::from_rows(start, &Rows { rows: vec![row], tail: 80.0 });
        let section = Section { od: 45.0, wall: 1.2, alloy: alloy::alloy("304").unwrap() };
        let length = line.length();
        Piece::tube(line, section, Cut::square(0.0), Cut::square(length)).unwrap()
    }

    /// By Pappus the outside of a bent tube has the area of its circumference times its length.
    #[test]
    fn the_outside_of_a_bent_tube_has_its_area_and_looks_outward() {
        let piece = bent();
        let area = |step: f64| outside_mesh(&piece, step).area();
        let exact = std::f64::consts::PI * 45.0 * piece.length();
        assert!((area(8.0) / exact - 1.0).abs() < 0.01, "{} {exact}", area(8.0));
        assert!((area(1.0) / exact - 1.0).abs() < 2e-4, "{} {exact}", area(1.0));
        let mesh = outside_mesh(&piece, 8.0);
        for [a, b, c] in mesh.corners() {
            let middle = (a + b + c) / 3.0;
            let foot = (0..=400).map(|k| piece.frame_at(piece.length() * f64::from(k) / 400.0).at);
            let foot = foot.min_by(|p, q| p.distance(middle).total_cmp(&q.distance(middle))).unwrap();
            assert!((b - a).cross(c - a).dot(middle - foot) > 0.0);
        }
    }

    #[test]
    fn dividing_keeps_the_solid_and_leaves_no_long_edge() {
        let mesh = piece_mesh(&bent(), MeshSettings { chord: 0.5 }).unwrap();
        let divided = divided_mesh(mesh.clone(), 9.0);
        divided.check().unwrap();
        assert!((divided.volume() / mesh.volume() - 1.0).abs() < 1e-9);
        assert!((divided.area() / mesh.area() - 1.0).abs() < 1e-9);
        let longest = divided.corners().flat_map(|[a, b, c]| [a.distance(b), b.distance(c), c.distance(a)]);
        assert!(longest.fold(0.0, f64::max) <= 9.0);
    }
}
