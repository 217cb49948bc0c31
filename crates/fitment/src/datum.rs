//! A cone sunk into a part, to measure from.

use std::f64::consts::TAU;

use geom::{DVec3, Frame};
use solids::Mesh;

/// Width of a datum's mouth, mm; its sides stand at 90 degrees, as a centre drill leaves them (common practice, no
/// source: fits a scriber, a ball probe and the point of a calliper).
pub const MOUTH: f64 = 3.0;

/// The cone to take away at `frame`: its mouth's middle there, `along` out of the material.
///
/// It goes on `PROUD` mm beyond the surface, as a cone.
pub fn sunk(frame: &Frame) -> Mesh {
    let top = 0.5 * MOUTH + PROUD;
    let middle = frame.advanced(PROUD).at;
    let mut mesh = Mesh { points: vec![tip(frame), middle], triangles: Vec::new() };
    for k in 0..SIDES {
        mesh.points.push(frame.point(PROUD, TAU * f64::from(k) / f64::from(SIDES), top));
    }
    for k in 0..SIDES {
        let (a, b) = (2 + k, 2 + (k + 1) % SIDES);
        mesh.triangles.extend([[0, b, a], [1, a, b]]);
    }
    mesh
}

/// A datum's deepest place, where the point of a scriber or of dividers comes to stand.
pub fn tip(frame: &Frame) -> DVec3 {
    frame.advanced(-0.5 * MOUTH).at
}

/// Material below a datum in a thin wall: a short rod, from just below the surface inward. The part's wall has to be
/// thicker than [`COVER`] mm.
pub fn boss(frame: &Frame) -> Mesh {
    let mut mesh =
        Mesh { points: vec![frame.advanced(-BOSS).at, frame.advanced(-COVER).at], triangles: Vec::new() };
    for station in [-BOSS, -COVER] {
        let rim = (0..SIDES).map(|k| frame.point(station, TAU * f64::from(k) / f64::from(SIDES), MOUTH));
        mesh.points.extend(rim);
    }
    for k in 0..SIDES {
        let (a, b) = (2 + k, 2 + (k + 1) % SIDES);
        let (c, d) = (a + SIDES, b + SIDES);
        mesh.triangles.extend([[0, b, a], [1, c, d], [a, b, d], [a, d, c]]);
    }
    mesh
}

/// From the surface to the top of a datum's [`boss`], mm.
pub const COVER: f64 = 0.6;

/// From the surface to the foot of a datum's [`boss`], mm.
const BOSS: f64 = 3.0;

/// Beyond the surface, mm.
const PROUD: f64 = 0.75;

/// Sides of the cone.
const SIDES: u32 = 48;

#[cfg(test)]
mod tests {
    use super::*;
    use geom::DVec3;
    use std::f64::consts::PI;

    /// Closed, outside out, and as large as a cone of its height, whose radius is its height.
    #[test]
    fn a_datum_is_a_cone_of_90_degrees() {
        let frame = Frame::new(DVec3::new(3.0, 2.0, 1.0), DVec3::new(1.0, 1.0, 0.2), DVec3::Z).unwrap();
        let cone = sunk(&frame);
        cone.check().unwrap();
        let height = 0.5 * MOUTH + PROUD;
        assert!((cone.volume() / (PI / 3.0 * height.powi(3)) - 1.0).abs() < 0.003);
        let boss = boss(&frame);
        boss.check().unwrap();
        assert!((boss.volume() / (PI * MOUTH * MOUTH * (BOSS - COVER)) - 1.0).abs() < 0.003);
    }
}
