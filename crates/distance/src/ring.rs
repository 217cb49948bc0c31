//! Circles against lines.

use geom::DVec3;
use geom::math::pow;

use crate::bend::Arc;

/// Points of the segment from `a` to `b` among which is each that is locally nearest to the arc's whole circle.
///
/// With t along the line, the squared distance is t^2 + 2 b t + .. - 2 R rho(t), where rho, the distance from
/// the axis, is convex. Its second derivative changes sign only where rho^3 = R (rho' s bound) m^2, at most twice;
/// outside of these two places the slope rises, so each stretch there has one minimum at most, and the
/// stretch between them has none inside.
pub(crate) fn circle_candidates(arc: &Arc, a: DVec3, b: DVec3) -> impl Iterator<Item = DVec3> {
    let line = Line::new(arc, a, b);
    let (breaks, count) = line.breaks();
    (0..=count).map(move |i| {
        let from = if i == 0 { 0.0 } else { breaks[i - 1] };
        let to = if i == count { line.length } else { breaks[i] };
        line.at(line.least(from, to))
    })
}

/// A line, and its distance from the axis: rho^2 = bend t^2 + 2 slope t + square.
struct Line {
    from: DVec3,
    way: DVec3,
    length: f64,
    /// The way's part along the first point, seen from the circle's centre.
    start: f64,
    bend: f64,
    slope: f64,
    square: f64,
    clr: f64,
}

impl Line {
    fn new(arc: &Arc, a: DVec3, b: DVec3) -> Line {
        let length = a.distance(b);
        let way = if length > 0.0 { (b - a) / length } else { DVec3::ZERO };
        let from = a - arc.centre;
        let flat = |v: DVec3| [v.dot(arc.u), v.dot(arc.v)];
        let ([x, y], [dx, dy]) = (flat(from), flat(way));
        Line {
            from: a,
            way,
            length,
            start: from.dot(way),
            bend: dx * dx + dy * dy,
            slope: x * dx + y * dy,
            square: x * x + y * y,
            clr: arc.clr,
        }
    }

    fn at(&self, t: f64) -> DVec3 {
        self.from + self.way * t
    }

    /// Where the curve of the squared distance changes sign, within the segment, and how many they are.
    fn breaks(&self) -> ([f64; 2], usize) {
        if self.bend <= 1e-30 {
            return ([0.0; 2], 0);
        }
        let middle = -self.slope / self.bend;
        let least = (self.square - self.slope * self.slope / self.bend).max(1e-20 * self.clr * self.clr);
        let turning = pow(self.clr * self.bend * least, 1.0 / 3.0);
        let spread = ((turning * turning - least) / self.bend).max(0.0).sqrt();
        let mut breaks = ([0.0; 2], 0);
        for t in [middle - spread, middle + spread] {
            if t > 0.0 && t < self.length {
                breaks.0[breaks.1] = t;
                breaks.1 += 1;
            }
        }
        breaks
    }

    /// Half the slope of the squared distance.
    fn slope_at(&self, t: f64) -> f64 {
        let rho = (self.square + t * (2.0 * self.slope + t * self.bend)).max(0.0).sqrt();
        let pull = if rho > 0.0 { self.clr * (self.slope + self.bend * t) / rho } else { 0.0 };
        t + self.start - pull
    }

    /// Where it is least on a stretch on which the slope rises, or at one of the ends of any other stretch.
    fn least(&self, from: f64, to: f64) -> f64 {
        let (mut low, mut high) = (from, to);
        let (mut w_low, mut w_high) = (self.slope_at(low), self.slope_at(high));
        if w_low >= 0.0 {
            return low;
        }
        if w_high <= 0.0 {
            return high;
        }
        for step in 0..100 {
            let secant = low - w_low * (high - low) / (w_high - w_low);
            let t =
                if step % 4 == 3 || !(secant > low && secant < high) { 0.5 * (low + high) } else { secant };
            if t <= low || t >= high || high - low <= 1e-13 * self.length {
                break;
            }
            let slope = self.slope_at(t);
            if slope == 0.0 {
                return t;
            }
            if slope < 0.0 {
                (low, w_low) = (t, slope);
                w_high *= 0.5;
            } else {
                (high, w_high) = (t, slope);
                w_low *= 0.5;
            }
        }
        0.5 * (low + high)
    }
}
