//! What holds for every convex body: its distance is a convex function of the place.

use geom::DVec3;

use crate::triangle::Triangle;

/// A convex body.
pub(crate) trait Convex {
    /// Its point nearest to `p`: `p` itself inside.
    fn nearest(&self, p: DVec3) -> DVec3;
    /// Its furthest point in a direction.
    fn support(&self, direction: DVec3) -> DVec3;
}

/// The points of a triangle among which one is nearest to a body that it does not meet.
///
/// The nearest lies on an edge, or the way to it is square to the face and ends at the body's furthest point
/// that way. Where the body's furthest points are many, their image on the face either crosses an edge or lies
/// wholly inside.
pub(crate) fn on_triangle(body: &impl Convex, triangle: &Triangle) -> [DVec3; 5] {
    let [a, b, c] = triangle.corners;
    let normal = triangle.normal();
    [
        on_segment(body, a, b),
        on_segment(body, b, c),
        on_segment(body, c, a),
        triangle.nearest(body.support(normal)),
        triangle.nearest(body.support(-normal)),
    ]
}

/// The point of the segment from `a` to `b` nearest to a body that it does not meet; if it meets, a point in it.
///
/// Half the squared distance is convex and its slope is continuous: the slope's root is bracketed and found by
/// false position (the Illinois form) with bisections between. It stops when the tangents at both ends of the
/// bracket say that nothing is nearer by 1e-12 mm, with a last secant because the place is less sure than that.
pub(crate) fn on_segment(body: &impl Convex, a: DVec3, b: DVec3) -> DVec3 {
    let way = b - a;
    let length = way.length();
    if length == 0.0 {
        return a;
    }
    let e = way / length;
    let at = |t: f64| {
        let p = a + e * t;
        let apart = p - body.nearest(p);
        (apart.length(), apart.dot(e))
    };
    let (mut low, mut high) = (0.0, length);
    let (mut d_low, mut m_low) = at(low);
    let (mut d_high, mut m_high) = at(high);
    if m_low >= 0.0 {
        return a;
    }
    if m_high <= 0.0 {
        return b;
    }
    let (mut w_low, mut w_high) = (m_low, m_high);
    for step in 0..100 {
        let secant = low - w_low * (high - low) / (w_high - w_low);
        let t = if step % 4 == 3 || !(secant > low && secant < high) { 0.5 * (low + high) } else { secant };
        if t <= low || t >= high {
            break;
        }
        let (d, m) = at(t);
        if m == 0.0 {
            return a + e * t;
        }
        if m < 0.0 {
            (low, d_low, m_low, w_low) = (t, d, m, m);
            w_high *= 0.5;
        } else {
            (high, d_high, m_high, w_high) = (t, d, m, m);
            w_low *= 0.5;
        }
        let (fall, rise) = (m_low / d_low, m_high / d_high);
        let least = (d_low * rise - d_high * fall + fall * rise * (high - low)) / (rise - fall);
        if d_low.min(d_high) - least <= 1e-12 || high - low <= 1e-13 * length {
            break;
        }
    }
    let (t, d) = if d_low <= d_high { (low, d_low) } else { (high, d_high) };
    let secant = low - m_low * (high - low) / (m_high - m_low);
    a + e * if at(secant).0 <= d + 1e-13 { secant } else { t }
}
