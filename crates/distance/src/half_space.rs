//! Everything below a plane.

use geom::DVec3;

use crate::bend::Arc;
use crate::body::Body;
use crate::cone::Frustum;
use crate::cylinder::Tube;
use crate::near::{Near, nearer};
use crate::solid::Solid;

/// The half-space below the plane through `at` with the unit normal `out`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HalfSpace {
    pub at: DVec3,
    pub out: DVec3,
}

impl HalfSpace {
    fn height(&self, p: DVec3) -> f64 {
        (p - self.at).dot(self.out)
    }

    fn foot(&self, p: DVec3) -> DVec3 {
        p - self.out * self.height(p)
    }
}

impl Solid {
    /// The least distance to everything below the plane through `at` whose unit normal `out` points out of it.
    ///
    /// Above the plane it is the height of the solid's lowest point; where the solid dips into it, how far the
    /// half-space reaches into its side, at most its radius.
    pub fn to_half_space(&self, at: DVec3, out: DVec3) -> Near {
        let ground = HalfSpace { at, out };
        let body = self.body();
        let lowest = body.support(-out);
        let height = ground.height(lowest);
        if height >= 0.0 {
            let there = ground.foot(lowest);
            return Near { distance: height, on: lowest, there, station: body.to_point(lowest).station };
        }
        match &body {
            Body::Tube(t) => t.dipped(&ground),
            Body::Arc(a) => a.dipped(&ground),
            Body::Frustum(c) => c.dipped(&ground),
            Body::Rod(c) => {
                let low = if ground.height(c.from) <= ground.height(c.to) { c.from } else { c.to };
                c.to_point(if ground.height(low) > 0.0 { ground.foot(low) } else { low })
            }
            Body::Shell(_) => Near { distance: 0.0, on: lowest, there: lowest, station: 0.0 },
        }
    }
}

impl Tube {
    /// The deepest place of a half-space that it dips into: on the axis, or in an end plane, or anywhere along
    /// an axis that lies level.
    fn dipped(&self, ground: &HalfSpace) -> Near {
        let axis = self.axis;
        if let Some(&low) = axis.iter().find(|&&p| ground.height(p) <= 0.0) {
            return self.beside(low);
        }
        let mut best = Near::FAR;
        for i in 0..2 {
            let p = in_plane(axis[i], self.discs[i].out, self.along, ground);
            if let Some(p) = p.filter(|&p| (p - axis[1 - i]).dot(self.discs[1 - i].out) <= 0.0) {
                best = nearer(best, self.beside(p));
            }
        }
        if best.distance > 0.0 {
            let middle = 0.5 * (axis[0] + axis[1]);
            let down = ground.out - self.along * ground.out.dot(self.along);
            best = self.beside(middle - down * (ground.height(middle) / down.length_squared()));
        }
        best
    }
}

/// The place nearest to the axis (through `centre`, direction `along`) on the line where the plane through
/// `centre` with the normal `end` meets the ground.
fn in_plane(centre: DVec3, end: DVec3, along: DVec3, ground: &HalfSpace) -> Option<DVec3> {
    let way = end.cross(ground.out);
    let square = way.length_squared();
    if square < 1e-24 {
        return None;
    }
    // In the plane the way down is square to the line of meeting.
    let down = way.cross(end);
    let p = centre - down * (ground.height(centre) / down.dot(ground.out));
    let d = p - centre;
    let flat = |v: DVec3| v - along * v.dot(along);
    let t = -flat(d).dot(flat(way)) / flat(way).length_squared();
    Some(p + way * t)
}

impl Arc {
    /// The deepest place of a half-space that it dips into: below the lowest place of its centreline, or in an
    /// end plane.
    fn dipped(&self, ground: &HalfSpace) -> Near {
        let low = self.thinned(0.0).support(-ground.out);
        if ground.height(low) <= 0.0 {
            return self.beside(low);
        }
        let level = ground.foot(low);
        let side = Some(level).filter(|&p| self.contains(p)).map(|p| self.beside(p));
        let ends = self.discs.iter().filter_map(|d| {
            let p = in_plane(d.centre, d.out, d.out, ground)?;
            (p.distance(d.centre) <= self.radius).then_some(p)
        });
        side.into_iter().chain(ends.map(|p| self.beside(p))).fold(Near::FAR, nearer)
    }
}

impl Frustum {
    /// The deepest place of a half-space that it dips into: on the axis, where the axis passes the plane, or in
    /// an end plane.
    fn dipped(&self, ground: &HalfSpace) -> Near {
        let axis = self.axis;
        let [first, last] = axis.map(|p| ground.height(p));
        let mut best = Near::FAR;
        for (i, &p) in axis.iter().enumerate() {
            if ground.height(p) <= 0.0 {
                best = nearer(best, self.sunk(p));
            } else if let Some(p) = in_plane(p, self.discs[i].out, self.along, ground) {
                best = nearer(best, self.sunk(p));
            }
        }
        if (first < 0.0) != (last < 0.0) {
            best = nearer(best, self.sunk(axis[0] + (axis[1] - axis[0]) * (first / (first - last))));
        }
        best
    }
}
