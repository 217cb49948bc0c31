//! Eigenvalues and eigenvectors of small symmetric matrices.

use std::array::from_fn;

/// Sweeps after which a matrix counts as diagonal: small ones take fewer than ten.
const SWEEPS: usize = 60;

/// The eigenvalues of a symmetric matrix, largest first, and the unit vector of each.
///
/// Jacobi's method in cyclic order (Golub and Van Loan, Matrix Computations, 4th ed., section 8.5): the same
/// bits on every machine. Only the upper triangle is read; it has to be finite.
pub fn symmetric<const N: usize>(matrix: [[f64; N]; N]) -> [(f64, [f64; N]); N] {
    let mut a: [[f64; N]; N] = from_fn(|row| from_fn(|column| matrix[row.min(column)][row.max(column)]));
    let mut v: [[f64; N]; N] = from_fn(|row| from_fn(|column| if row == column { 1.0 } else { 0.0 }));
    for _ in 0..SWEEPS {
        let mut turned = false;
        for p in 0..N {
            for q in p + 1..N {
                turned |= rotate(&mut a, &mut v, p, q);
            }
        }
        if !turned {
            break;
        }
    }
    let mut order: [usize; N] = from_fn(|i| i);
    order.sort_by(|&i, &j| a[j][j].total_cmp(&a[i][i]));
    order.map(|i| (a[i][i], from_fn(|row| v[row][i])))
}

/// Turns the axes `p` and `q` so that `a[p][q]` becomes 0; `v` gathers the turns. Whether that changed anything.
fn rotate<const N: usize>(a: &mut [[f64; N]; N], v: &mut [[f64; N]; N], p: usize, q: usize) -> bool {
    let off = a[p][q];
    if off.abs() <= f64::EPSILON * (a[p][p].abs() * a[q][q].abs()).sqrt() {
        return false;
    }
    let theta = 0.5 * (a[q][q] - a[p][p]) / off;
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for row in a.iter_mut().chain(v.iter_mut()) {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
    let (upper, lower) = (a[p], a[q]);
    for k in 0..N {
        a[p][k] = c * upper[k] - s * lower[k];
        a[q][k] = s * upper[k] + c * lower[k];
    }
    (a[p][q], a[q][p]) = (0.0, 0.0);
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_of_known_eigenvalues() {
        // Eigenvalues 2 and 2 +- sqrt 2 (the second difference of three points, with ends held).
        let found = symmetric([[2.0, -1.0, 0.0], [-1.0, 2.0, -1.0], [0.0, -1.0, 2.0]]);
        let root = 2_f64.sqrt();
        for ((value, vector), known) in found.iter().zip([2.0 + root, 2.0, 2.0 - root]) {
            assert!((value - known).abs() < 1e-14, "{value}");
            assert!((vector.iter().map(|x| x * x).sum::<f64>() - 1.0).abs() < 1e-14);
            assert!((2.0 * vector[0] - vector[1] - value * vector[0]).abs() < 1e-14);
        }
    }

    #[test]
    fn a_singular_matrix_and_one_of_noughts() {
        let found = symmetric([[1.0, 1.0], [1.0, 1.0]]);
        assert!((found[0].0 - 2.0).abs() < 1e-15 && found[1].0.abs() < 1e-15);
        assert_eq!(symmetric([[0.0; 4]; 4]).map(|(value, _)| value), [0.0; 4]);
    }
}
