//! Centrelines written as the points where their straights would meet.

use geom::math::{atan2, tan};
use geom::{DVec3, Frame};

use crate::centreline::{Centreline, LARGEST_VERTEX_BEND, Segment};
use crate::row::{Row, Rows};

/// A corner of the polygon that a centreline rounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    /// Where the two straights would meet, mm.
    pub at: DVec3,
    /// Centreline radius that rounds it, mm.
    pub radius: f64,
}

/// Why points do not make a centreline. `index` counts the points from 0, the start included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum VertexError {
    /// The point stands where the one before it stands.
    Duplicate {
        /// Which point.
        index: usize,
    },
    /// The straights before and after the vertex are in line: there is no bend.
    Collinear {
        /// Which point.
        index: usize,
    },
    /// The path goes straight back: no radius rounds a turn of 180 degrees at one vertex.
    FoldsBack {
        /// Which point.
        index: usize,
    },
    /// The bends' tangents on the straight that ends at this point need more than its length.
    Overlap {
        /// The point at which the straight ends.
        index: usize,
        /// How much is missing, mm.
        missing: f64,
    },
}

/// What counts as touching and as straight when vertices are read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VertexTolerance {
    /// Points closer than this are one; tangents that overlap by less meet, mm.
    pub length: f64,
    /// A bend of less than this is none, and one within this of 180 degrees folds back, rad.
    pub angle: f64,
}

impl Default for VertexTolerance {
    /// 1e-6 mm and 1e-9 rad: far below what any shop can hold, far above rounding.
    fn default() -> Self {
        VertexTolerance { length: 1e-6, angle: 1e-9 }
    }
}

impl Centreline {
    /// The centreline from `start` to `end` that rounds `vertices`.
    ///
    /// Bend angle, tangent length `R tan(angle / 2)` and plane from the vertices' directions by
    /// `atan2` (never `acos`, which loses digits near 0 and 180). Two neighbouring bends that touch,
    /// in one plane and with one radius, are one bend: so a bend over 150 degrees is written as two.
    /// The start's clock 0 is the inside of the first bend; without bends, nearest to +z (else +x).
    /// Every fault is reported, in order.
    pub fn from_vertices(
        start: DVec3,
        vertices: &[Vertex],
        end: DVec3,
        tolerance: VertexTolerance,
    ) -> Result<Centreline, Vec<VertexError>> {
        let mut points = vec![start];
        points.extend(vertices.iter().map(|v| v.at));
        points.push(end);
        let mut faults: Vec<VertexError> = (1..points.len())
            .filter(|&i| points[i].distance(points[i - 1]) <= tolerance.length)
            .map(|index| VertexError::Duplicate { index })
            .collect();
        if !faults.is_empty() {
            return Err(faults);
        }
        let corners: Vec<Corner> = (1..points.len() - 1).map(|i| Corner::new(&points, i)).collect();
        for (corner, index) in corners.iter().zip(1..) {
            if corner.angle <= tolerance.angle {
                faults.push(VertexError::Collinear { index });
            } else if corner.angle >= std::f64::consts::PI - tolerance.angle {
                faults.push(VertexError::FoldsBack { index });
            }
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let rows = straights(&points, &corners, vertices, tolerance, &mut faults);
        if !faults.is_empty() {
            return Err(faults);
        }
        let along = points[1] - points[0];
        let frame = match corners.first() {
            Some(corner) => Frame::new(start, along, corner.after),
            None => Frame::upright(start, along),
        };
        match frame {
            Some(frame) => Ok(Centreline::from_rows(frame, &join(rows, tolerance))),
            None => Err(vec![VertexError::Collinear { index: 1 }]),
        }
    }

    /// The vertices between its start and end; a bend over 150 degrees becomes two of half its angle.
    pub fn vertices(&self) -> Vec<Vertex> {
        let mut vertices = Vec::new();
        for span in self.spans() {
            let Segment::Arc { radius, angle, .. } = span.segment else { continue };
            let parts = if angle > LARGEST_VERTEX_BEND { 2 } else { 1 };
            let each = angle / f64::from(parts);
            for part in 0..parts {
                let frame = span.frame_at(radius * each * f64::from(part));
                let at = frame.at + frame.along * (radius * tan(0.5 * each));
                vertices.push(Vertex { at, radius });
            }
        }
        vertices
    }
}

/// The bend at one point of a polygon.
struct Corner {
    before: DVec3,
    after: DVec3,
    angle: f64,
}

impl Corner {
    fn new(points: &[DVec3], i: usize) -> Self {
        let before = (points[i] - points[i - 1]).normalize();
        let after = (points[i + 1] - points[i]).normalize();
        Corner { before, after, angle: atan2(before.cross(after).length(), before.dot(after)) }
    }

    fn normal(&self) -> DVec3 {
        self.before.cross(self.after)
    }
}

/// Rows of the polygon's corners; straights that are too short are added to `faults`.
fn straights(
    points: &[DVec3],
    corners: &[Corner],
    vertices: &[Vertex],
    tolerance: VertexTolerance,
    faults: &mut Vec<VertexError>,
) -> Rows {
    let tangent = |i: usize| match i.checked_sub(1).and_then(|c| corners.get(c).zip(vertices.get(c))) {
        Some((corner, vertex)) => vertex.radius * tan(0.5 * corner.angle),
        None => 0.0,
    };
    let mut straight = |i: usize| {
        let length = points[i].distance(points[i - 1]) - tangent(i - 1) - tangent(i);
        if length < -tolerance.length {
            faults.push(VertexError::Overlap { index: i, missing: -length });
        }
        if length.abs() <= tolerance.length { 0.0 } else { length }
    };
    let rows = corners
        .iter()
        .zip(vertices)
        .enumerate()
        .map(|(i, (corner, vertex))| {
            let rotate = match i.checked_sub(1).map(|p| corners[p].normal()) {
                Some(last) => {
                    let normal = corner.normal();
                    atan2(last.cross(normal).dot(corner.before), last.dot(normal))
                }
                None => 0.0,
            };
            Row { feed: straight(i + 1), rotate, bend: corner.angle, radius: vertex.radius }
        })
        .collect();
    Rows { rows, tail: straight(points.len() - 1) }
}

/// Joins bends that touch in one plane with one radius.
fn join(rows: Rows, tolerance: VertexTolerance) -> Rows {
    let mut joined: Vec<Row> = Vec::with_capacity(rows.rows.len());
    for row in rows.rows {
        match joined.last_mut() {
            Some(last)
                if row.feed == 0.0 && row.radius == last.radius && row.rotate.abs() <= tolerance.angle =>
            {
                last.bend += row.bend;
            }
            _ => joined.push(row),
        }
    }
    Rows { rows: joined, tail: rows.tail }
}
