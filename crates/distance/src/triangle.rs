//! Triangles, whole and clipped.

use geom::DVec3;

/// A triangle in space; it may have shrunk to a line or a point.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Triangle {
    pub corners: [DVec3; 3],
}

/// A convex polygon of few corners.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Polygon {
    corners: [DVec3; 8],
    count: usize,
}

impl Triangle {
    /// A vector square to its face, as long as twice its area.
    pub fn normal(&self) -> DVec3 {
        let [a, b, c] = self.corners;
        (b - a).cross(c - a)
    }

    /// Its point nearest to `p` (Ericson, Real-Time Collision Detection, 2005, 5.1.5, by its regions).
    pub fn nearest(&self, p: DVec3) -> DVec3 {
        let [a, b, c] = self.corners;
        let (ab, ac, ap) = (b - a, c - a, p - a);
        let (d1, d2) = (ab.dot(ap), ac.dot(ap));
        if d1 <= 0.0 && d2 <= 0.0 {
            return a;
        }
        let bp = p - b;
        let (d3, d4) = (ab.dot(bp), ac.dot(bp));
        if d3 >= 0.0 && d4 <= d3 {
            return b;
        }
        let vc = d1 * d4 - d3 * d2;
        if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 && d1 > d3 {
            return a + ab * (d1 / (d1 - d3));
        }
        let cp = p - c;
        let (d5, d6) = (ab.dot(cp), ac.dot(cp));
        if d6 >= 0.0 && d5 <= d6 {
            return c;
        }
        let vb = d5 * d2 - d1 * d6;
        if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 && d2 > d6 {
            return a + ac * (d2 / (d2 - d6));
        }
        let va = d3 * d6 - d5 * d4;
        let (toward_c, toward_b) = (d4 - d3, d5 - d6);
        if va <= 0.0 && toward_c >= 0.0 && toward_b >= 0.0 && toward_c + toward_b > 0.0 {
            return b + (c - b) * (toward_c / (toward_c + toward_b));
        }
        let whole = va + vb + vc;
        if whole > 0.0 { a + ab * (vb / whole) + ac * (vc / whole) } else { self.nearest_on_edges(p) }
    }

    fn nearest_on_edges(&self, p: DVec3) -> DVec3 {
        let [a, b, c] = self.corners;
        [(a, b), (b, c), (c, a)]
            .map(|(from, to)| on_segment(from, to, p))
            .into_iter()
            .fold(a, |best, q| if q.distance_squared(p) < best.distance_squared(p) { q } else { best })
    }

    /// A ball that holds it: its middle and how far it reaches.
    pub fn ball(&self) -> (DVec3, f64) {
        let [a, b, c] = self.corners;
        let middle = (a + b + c) / 3.0;
        let reach = [a, b, c].map(|p| p.distance_squared(middle));
        (middle, reach[0].max(reach[1]).max(reach[2]).sqrt())
    }

    /// The squared distance of a point from its box along the axes.
    pub fn box_to(&self, p: DVec3) -> f64 {
        let [a, b, c] = self.corners;
        (a.min(b).min(c) - p).max(p - a.max(b).max(c)).max(DVec3::ZERO).length_squared()
    }

    pub fn edges(&self) -> [(DVec3, DVec3); 3] {
        let [a, b, c] = self.corners;
        [(a, b), (b, c), (c, a)]
    }

    /// The places where two triangles are nearest, on this one and on the other: between two edges, or at a
    /// corner of one, or where an edge of one pierces the other.
    pub fn to_triangle(&self, other: &Triangle) -> [DVec3; 2] {
        let mut best = [self.corners[0], other.nearest(self.corners[0])];
        let mut offer = |on: DVec3, there: DVec3| {
            if on.distance_squared(there) < best[0].distance_squared(best[1]) {
                best = [on, there];
            }
        };
        for (a, b) in self.edges() {
            for (c, d) in other.edges() {
                let (on, there) = segments(a, b, c, d);
                offer(on, there);
            }
            let there = other.nearest(other.pierced(a, b));
            offer(self.nearest(there), there);
        }
        for (c, d) in other.edges() {
            let on = self.nearest(self.pierced(c, d));
            offer(on, other.nearest(on));
        }
        best
    }

    /// Where a segment passes the face's plane; its begin if it does not.
    fn pierced(&self, a: DVec3, b: DVec3) -> DVec3 {
        let normal = self.normal();
        let (from, to) = ((a - self.corners[0]).dot(normal), (b - self.corners[0]).dot(normal));
        if (from < 0.0) != (to < 0.0) && from != to { a + (b - a) * (from / (from - to)) } else { a }
    }

    pub fn polygon(&self) -> Polygon {
        let [a, b, c] = self.corners;
        let mut corners = [a; 8];
        (corners[1], corners[2]) = (b, c);
        Polygon { corners, count: 3 }
    }
}

impl Polygon {
    /// What of it lies where `height` (affine) is 0 or more. Each cut adds a corner at most.
    pub fn above(&self, height: impl Fn(DVec3) -> f64) -> Polygon {
        let mut kept = Polygon { corners: self.corners, count: 0 };
        for i in 0..self.count {
            let (p, q) = (self.corners[i], self.corners[(i + 1) % self.count]);
            let (hp, hq) = (height(p), height(q));
            if hp >= 0.0 {
                kept.push(p);
            }
            if (hp > 0.0 && hq < 0.0) || (hp < 0.0 && hq > 0.0) {
                kept.push(p + (q - p) * (hp / (hp - hq)));
            }
        }
        kept
    }

    fn push(&mut self, p: DVec3) {
        if self.count < self.corners.len() {
            self.corners[self.count] = p;
            self.count += 1;
        }
    }

    /// Its edges; of a single corner that corner twice.
    pub fn edges(&self) -> impl Iterator<Item = (DVec3, DVec3)> + '_ {
        (0..self.count).map(|i| (self.corners[i], self.corners[(i + 1) % self.count]))
    }
}

/// The point of a segment nearest to `p`.
pub(crate) fn on_segment(a: DVec3, b: DVec3, p: DVec3) -> DVec3 {
    let way = b - a;
    let t = (p - a).dot(way) / way.length_squared();
    if t > 0.0 { a + way * t.min(1.0) } else { a }
}

/// The places where two segments are nearest to each other, on the first and on the second (Ericson, Real-Time
/// Collision Detection, 2005, 5.1.9).
pub(crate) fn segments(a: DVec3, b: DVec3, c: DVec3, d: DVec3) -> (DVec3, DVec3) {
    let (u, v, w) = (b - a, d - c, a - c);
    let (uu, vv, uv) = (u.length_squared(), v.length_squared(), u.dot(v));
    let (uw, vw) = (u.dot(w), v.dot(w));
    if uu == 0.0 {
        return (a, on_segment(c, d, a));
    }
    let apart = uu * vv - uv * uv;
    let s = if apart > 1e-14 * uu * vv { ((uv * vw - vv * uw) / apart).clamp(0.0, 1.0) } else { 0.0 };
    let there = on_segment(c, d, a + u * s);
    let on = on_segment(a, b, there);
    (on, on_segment(c, d, on))
}
