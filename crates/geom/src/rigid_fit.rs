//! The rigid motion that carries points nearest to others: how a scan is placed by points matched by hand.

use glam::{DMat3, DQuat, DVec3};

use crate::eigen::symmetric;

/// A rotation, then a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RigidFit {
    /// The rotation: never mirrored.
    pub turn: DMat3,
    /// The shift after it, mm.
    pub shift: DVec3,
    /// How far the carried points stay from theirs, root of the mean square, mm.
    pub residual: f64,
    /// How much longer `to` is than `from`, as the ratio of their root mean square distances from their means.
    pub stretch: f64,
}

impl RigidFit {
    /// The motion that carries `from` (mm) nearest to `to` (mm), by least squares; point by point.
    ///
    /// Horn, Closed-form solution of absolute orientation using unit quaternions, J. Opt. Soc. Am. A 4 (1987)
    /// 629: the rotation is the eigenvector of the largest eigenvalue of a 4 by 4 matrix. It is the only one
    /// where neither list lies on a line, see [`spread`]. `None`: no points, or lists of different lengths.
    pub fn of(from: &[DVec3], to: &[DVec3]) -> Option<RigidFit> {
        if from.is_empty() || from.len() != to.len() {
            return None;
        }
        let (middle, aim) = (mean(from), mean(to));
        let mut s = DMat3::ZERO;
        for (a, b) in from.iter().zip(to) {
            let (a, b) = (*a - middle, *b - aim);
            s += DMat3::from_cols(a * b.x, a * b.y, a * b.z);
        }
        // Column b, row a: s.y_axis.x is the sum of a.x b.y.
        let [x, y, z] = [s.x_axis, s.y_axis, s.z_axis];
        let [(_, q), ..] = symmetric([
            [x.x + y.y + z.z, z.y - y.z, x.z - z.x, y.x - x.y],
            [0.0, x.x - y.y - z.z, y.x + x.y, x.z + z.x],
            [0.0, 0.0, -x.x + y.y - z.z, z.y + y.z],
            [0.0, 0.0, 0.0, -x.x - y.y + z.z],
        ]);
        let turn = DMat3::from_quat(DQuat::from_xyzw(q[1], q[2], q[3], q[0]).normalize());
        let shift = aim - turn * middle;
        let squares = from.iter().zip(to).map(|(a, b)| (turn * *a + shift - *b).length_squared());
        let residual = (squares.sum::<f64>() / from.len() as f64).sqrt();
        let stretch = scatter(to).sqrt() / scatter(from).sqrt();
        Some(RigidFit { turn, shift, residual, stretch })
    }
}

/// How far points spread about their mean along their three main directions, root of the mean square, largest
/// first: the second is 0 where they lie on a line, the third where they lie in a plane.
pub fn spread(points: &[DVec3]) -> [f64; 3] {
    let middle = mean(points);
    let mut sum = DMat3::ZERO;
    for point in points {
        let d = *point - middle;
        sum += DMat3::from_cols(d * d.x, d * d.y, d * d.z);
    }
    let found = symmetric(sum.to_cols_array_2d());
    found.map(|(value, _)| (value.max(0.0) / points.len().max(1) as f64).sqrt())
}

fn mean(points: &[DVec3]) -> DVec3 {
    points.iter().sum::<DVec3>() / points.len().max(1) as f64
}

/// Sum of the squares of the distances from the mean.
fn scatter(points: &[DVec3]) -> f64 {
    let middle = mean(points);
    points.iter().map(|point| (*point - middle).length_squared()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    #[test]
    fn a_quarter_turn_and_a_shift_are_found() {
        let from = [DVec3::ZERO, DVec3::X * 300.0, DVec3::Y * 200.0];
        let (turn, shift) = (DMat3::from_rotation_z(FRAC_PI_2), DVec3::new(10.0, -20.0, 30.0));
        let fit = RigidFit::of(&from, &from.map(|p| turn * p + shift)).unwrap();
        assert!((fit.turn * DVec3::X - DVec3::Y).length() < 1e-14);
        assert!((fit.shift - shift).length() < 1e-12 && fit.residual < 1e-12);
        assert!((fit.stretch - 1.0).abs() < 1e-14);
    }

    #[test]
    fn half_turns_about_every_axis_are_found() {
        let from = [DVec3::ZERO, DVec3::X * 30.0, DVec3::Y * 20.0, DVec3::Z * 10.0];
        for axis in [DVec3::X, DVec3::Y, DVec3::Z, DVec3::new(0.6, 0.0, -0.8)] {
            let to = from.map(|p| axis * (2.0 * axis.dot(p)) - p);
            let fit = RigidFit::of(&from, &to).unwrap();
            assert!(fit.residual < 1e-12, "{axis}: {}", fit.residual);
        }
    }

    #[test]
    fn a_mirrored_list_is_never_met_by_a_mirror() {
        let from = [DVec3::ZERO, DVec3::X * 30.0, DVec3::Y * 20.0, DVec3::Z * 10.0];
        let fit = RigidFit::of(&from, &from.map(|p| DVec3::new(-p.x, p.y, p.z))).unwrap();
        assert!((fit.turn.determinant() - 1.0).abs() < 1e-12 && fit.residual > 1.0);
    }

    #[test]
    fn points_on_a_line_have_no_second_spread() {
        let line = [DVec3::ZERO, DVec3::new(1.0, 2.0, 2.0), DVec3::new(2.0, 4.0, 4.0)];
        let [first, second, third] = spread(&line);
        assert!((first - 6_f64.sqrt()).abs() < 1e-12 && second < 1e-7 && third < 1e-7);
        assert!(RigidFit::of(&[], &[]).is_none());
    }
}
