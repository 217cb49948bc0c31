//! A polygon cut into triangles.

use plate::DVec2;

/// Triangles that cover a simple polygon, counter-clockwise like itself, as indices of its corners; every
/// corner is one of theirs.
pub(crate) fn ears(polygon: &[DVec2]) -> Vec<[u32; 3]> {
    let mut left: Vec<usize> = (0..polygon.len()).collect();
    let mut triangles = Vec::with_capacity(polygon.len().saturating_sub(2));
    let mut begin = 0;
    while left.len() > 3 {
        let n = left.len();
        let corner = |k: usize| polygon[left[k % n]];
        let is_ear = |k: &usize| {
            let ear = [corner(k + n - 1), corner(*k), corner(k + 1)];
            turn(ear) > 0.0 && !left.iter().any(|&other| inside(polygon[other], ear))
        };
        // From where the last ear was cut, so that triangles do not fan from one corner; where rounding leaves no
        // ear, the corner that turns most is cut.
        let sharpest = || {
            let turns = (0..n).map(|k| turn([corner(k + n - 1), corner(k), corner(k + 1)]));
            turns.enumerate().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |most| most.0)
        };
        let cut = (begin..begin + n).map(|k| k % n).find(is_ear).unwrap_or_else(sharpest);
        triangles.push([left[(cut + n - 1) % n], left[cut], left[(cut + 1) % n]].map(|c| c as u32));
        left.remove(cut);
        begin = (cut + 1) % left.len();
    }
    if let [a, b, c] = left[..] {
        triangles.push([a, b, c].map(|corner| corner as u32));
    }
    triangles
}

/// Twice the area of a triangle: above 0 where it runs counter-clockwise.
fn turn([a, b, c]: [DVec2; 3]) -> f64 {
    (b - a).perp_dot(c - b)
}

/// Whether a point lies in a triangle or on its edge, and is none of its corners.
fn inside(p: DVec2, ear: [DVec2; 3]) -> bool {
    let [a, b, c] = ear;
    !ear.contains(&p) && turn([a, b, p]) >= 0.0 && turn([b, c, p]) >= 0.0 && turn([c, a, p]) >= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(polygon: &[DVec2], triangles: &[[u32; 3]]) -> f64 {
        triangles.iter().map(|t| 0.5 * turn(t.map(|k| polygon[k as usize]))).sum()
    }

    /// A comb with a notch: area counted by hand.
    #[test]
    fn ears_cover_a_polygon_with_notches() {
        let corners = [(0, 0), (6, 0), (6, 4), (5, 4), (5, 1), (4, 1), (4, 4), (1, 4), (1, 2), (0, 2)];
        let comb: Vec<DVec2> = corners.iter().map(|&(x, y)| DVec2::new(x.into(), y.into())).collect();
        let triangles = ears(&comb);
        assert_eq!(triangles.len(), comb.len() - 2);
        assert!(triangles.iter().all(|t| turn(t.map(|k| comb[k as usize])) > 0.0));
        assert_eq!(area(&comb, &triangles), 24.0 - 3.0 - 2.0);
    }

    #[test]
    fn every_corner_is_used() {
        let ring: Vec<DVec2> = (0..97)
            .map(|k| {
                let (s, c) = geom::math::sin_cos(std::f64::consts::TAU * f64::from(k) / 97.0);
                DVec2::new(c, s) * if k % 3 == 0 { 20.0 } else { 31.0 }
            })
            .collect();
        let triangles = ears(&ring);
        assert_eq!(triangles.len(), 95);
        assert!((0..97).all(|k| triangles.iter().flatten().any(|&corner| corner == k)));
    }
}
