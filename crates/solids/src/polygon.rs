//! A simple polygon divided into triangles.

/// A corner of a polygon in the plane, with the number of its point in a mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Abscissa.
    pub x: f64,
    /// Ordinate.
    pub y: f64,
    /// Its point's number.
    pub point: u32,
}

/// Triangles of a simple polygon that runs anticlockwise, as point numbers, anticlockwise too.
///
/// Ears are cut off, the least sharp first (Meisters 1975, "Polygons have ears"). Corners may lie on a
/// line with their neighbours: no triangle without area is made. `None` when there is no way to.
pub fn triangles(corners: &[Corner]) -> Option<Vec<[u32; 3]>> {
    let mut left = corners.to_vec();
    let mut triangles = Vec::with_capacity(corners.len().saturating_sub(2));
    while left.len() > 3 {
        let count = left.len();
        let neighbours = |i: usize| [left[(i + count - 1) % count], left[i], left[(i + 1) % count]];
        let ears = (0..count).filter(|i| is_ear(&left, neighbours(*i)));
        let best = ears.max_by(|i, j| height(neighbours(*i)).total_cmp(&height(neighbours(*j))))?;
        triangles.push(neighbours(best).map(|c| c.point));
        left.remove(best);
    }
    let last = [*left.first()?, *left.get(1)?, *left.get(2)?];
    triangles.push(last.map(|c| c.point));
    (turn(last) > 0.0).then_some(triangles)
}

/// Whether a corner can be cut off: it turns left, and no other corner lies in or on the triangle.
fn is_ear(all: &[Corner], ear: [Corner; 3]) -> bool {
    let [a, b, c] = ear;
    let outside = |p: &Corner| {
        let own = ear.iter().any(|corner| corner.point == p.point);
        own || turn([a, b, *p]) < 0.0 || turn([b, c, *p]) < 0.0 || turn([c, a, *p]) < 0.0
    };
    turn(ear) > 0.0 && all.iter().all(outside)
}

/// Twice the area, positive when the corners turn left.
fn turn([a, b, c]: [Corner; 3]) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Height over the longest side.
fn height(corners: [Corner; 3]) -> f64 {
    let [a, b, c] = corners;
    let side = |p: Corner, q: Corner| geom::math::hypot(p.x - q.x, p.y - q.y);
    turn(corners) / side(a, b).max(side(b, c)).max(side(c, a))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[[f64; 2]]) -> Vec<Corner> {
        points.iter().zip(0..).map(|(&[x, y], point)| Corner { x, y, point }).collect()
    }

    fn area(points: &[[f64; 2]]) -> f64 {
        let corners = polygon(points);
        let Some(parts) = triangles(&corners) else { panic!("no triangles") };
        assert_eq!(parts.len(), points.len() - 2);
        parts.iter().map(|t| 0.5 * turn(t.map(|i| corners[i as usize]))).inspect(|a| assert!(*a > 0.0)).sum()
    }

    #[test]
    fn a_notched_square_with_corners_on_its_sides() {
        let notch =
            [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [2.0, 2.0], [1.0, 0.5], [0.5, 2.0], [0.0, 2.0], [0.0, 0.7]];
        assert!((area(&notch) - (4.0 - 0.5 * 1.5 * 1.5)).abs() < 1e-12);
        assert!((area(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [0.0, 2.0]]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_line_has_no_triangles() {
        assert_eq!(triangles(&polygon(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [1.0, 0.0]])), None);
    }
}
