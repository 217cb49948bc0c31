//! Vectors that depend linearly on the shifts of a few nodes, and the shifts that make them least.

use geom::DVec3;

/// A vector: a constant, and a share of each node's shift.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Affine {
    shares: Vec<f64>,
    constant: DVec3,
}

impl Affine {
    /// The zero vector among `nodes` nodes.
    pub fn zero(nodes: usize) -> Affine {
        Affine { shares: vec![0.0; nodes], constant: DVec3::ZERO }
    }

    /// The shift of one node.
    pub fn node(nodes: usize, node: usize) -> Affine {
        let mut one = Affine::zero(nodes);
        one.shares[node] = 1.0;
        one
    }

    /// It and a constant.
    pub fn plus(mut self, constant: DVec3) -> Affine {
        self.constant += constant;
        self
    }

    /// It and `times` the other.
    pub fn and(mut self, other: &Affine, times: f64) -> Affine {
        self.shares.iter_mut().zip(&other.shares).for_each(|(a, b)| *a += times * b);
        self.constant += other.constant * times;
        self
    }

    /// It less the other.
    pub fn less(self, other: &Affine) -> Affine {
        self.and(other, -1.0)
    }

    /// Its value for these shifts.
    pub fn value(&self, shifts: &[DVec3]) -> DVec3 {
        self.shares.iter().zip(shifts).map(|(share, shift)| *shift * *share).sum::<DVec3>() + self.constant
    }
}

/// The shifts of `nodes` nodes for which the weighted sum of the squares of the vectors is least; a node that
/// none of them depends on stays where it is.
pub(crate) fn least_squares(nodes: usize, vectors: &[(f64, Affine)]) -> Vec<DVec3> {
    let mut rows: Vec<(Vec<f64>, DVec3)> = vec![(vec![0.0; nodes], DVec3::ZERO); nodes];
    for (weight, vector) in vectors {
        for (row, own) in rows.iter_mut().zip(&vector.shares) {
            row.0.iter_mut().zip(&vector.shares).for_each(|(a, share)| *a += weight * own * share);
            row.1 -= vector.constant * (weight * own);
        }
    }
    // The matrix is symmetric and never negative: elimination needs no search for pivots.
    for k in 0..nodes {
        let pivot = rows[k].clone();
        if pivot.0[k] <= 0.0 {
            continue;
        }
        for (_, row) in rows.iter_mut().enumerate().filter(|(i, _)| *i != k) {
            let times = row.0[k] / pivot.0[k];
            row.0.iter_mut().zip(&pivot.0).for_each(|(a, b)| *a -= times * b);
            row.1 -= pivot.1 * times;
        }
    }
    let shift = |(k, row): (usize, &(Vec<f64>, DVec3))| {
        if row.0[k] > 0.0 { row.1 / row.0[k] } else { DVec3::ZERO }
    };
    rows.iter().enumerate().map(shift).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two springs hold one node, one pulls it to 3 with weight 1, one to 6 with weight 2: it stands at 5; a
    /// second node hangs on it, 1 further; a third hangs on nothing.
    #[test]
    fn springs_balance() {
        let at = |node: usize, x: f64| Affine::node(3, node).plus(DVec3::X * -x);
        let hanging = Affine::node(3, 1).less(&Affine::node(3, 0)).plus(DVec3::X * -1.0);
        let found = least_squares(3, &[(1.0, at(0, 3.0)), (2.0, at(0, 6.0)), (0.5, hanging)]);
        let wanted = [DVec3::X * 5.0, DVec3::X * 6.0, DVec3::ZERO];
        assert!(found.iter().zip(wanted).all(|(a, b)| a.distance(b) < 1e-12), "{found:?}");
    }
}
