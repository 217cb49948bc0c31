//! Points and triangles as a scanner left them.

use geom::{DVec3, Similarity};

use crate::weld;

/// A surface or a cloud, in its file's own units and axes.
///
/// Invariants of what [`read`](crate::read) gives: every point is finite; every corner of a triangle is the
/// index of a point; there is at least one triangle or loose point; both are no more than `u32` counts. In a
/// scan with triangles no two points are equal. Triangles may be without area.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scan {
    /// The points.
    pub points: Vec<DVec3>,
    /// Triangles, as three indices into `points`; seen from their front they run counter-clockwise.
    pub triangles: Vec<[u32; 3]>,
    /// Points that belong to no triangle, as indices into `points`: of a cloud, all of them.
    pub loose: Vec<u32>,
    /// How many points the file itself calls invalid (E57) or withheld (LAS); they were left out.
    pub skipped: u64,
}

impl Scan {
    /// A cloud of them all.
    pub(crate) fn of_points(points: Vec<DVec3>) -> Scan {
        let loose = (0..points.len() as u32).collect();
        Scan { points, loose, ..Scan::default() }
    }

    /// A surface whose corners hold every point.
    pub(crate) fn of_triangles(points: Vec<DVec3>, triangles: Vec<[u32; 3]>) -> Scan {
        Scan { points, triangles, ..Scan::default() }
    }

    /// Triangles among points, whose corners index them. With triangles, equal points become one; points
    /// that none uses are loose.
    pub(crate) fn of_surface(mut points: Vec<DVec3>, mut triangles: Vec<[u32; 3]>) -> Scan {
        if triangles.is_empty() {
            return Scan::of_points(points);
        }
        let merged = weld::merge(&mut points);
        let mut used = vec![false; points.len()];
        for corner in triangles.iter_mut().flatten() {
            *corner = merged[*corner as usize];
            used[*corner as usize] = true;
        }
        let loose = (0..points.len() as u32).filter(|index| !used[*index as usize]).collect();
        Scan { points, triangles, loose, skipped: 0 }
    }

    /// Carried to where `by` puts it. A mirroring one turns each triangle over, so its front stays its
    /// front.
    pub fn placed(mut self, by: &Similarity) -> Scan {
        for point in &mut self.points {
            *point = by.apply(*point);
        }
        if by.mirrors() {
            for [_, b, c] in &mut self.triangles {
                std::mem::swap(b, c);
            }
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use geom::DMat3;

    use super::*;

    #[test]
    fn a_mirror_turns_triangles_over() {
        let points = vec![DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::ONE];
        let scan = Scan::of_surface(points, vec![[0, 1, 2]]);
        let front = |scan: &Scan| {
            let [a, b, c] = scan.triangles[0].map(|index| scan.points[index as usize]);
            (b - a).cross(c - a)
        };
        let across_z = DMat3::from_diagonal(DVec3::new(2.0, 2.0, -2.0));
        let mirror = Similarity { linear: across_z, shift: DVec3::new(0.0, 0.0, 5.0), scale: 2.0 };
        let placed = scan.clone().placed(&mirror);
        assert_eq!(placed.points[3], DVec3::new(2.0, 2.0, 3.0));
        // The front of the sheet looked up; mirrored across z it looks down.
        assert_eq!((front(&scan), front(&placed)), (DVec3::Z, DVec3::new(0.0, 0.0, -4.0)));
        assert_eq!(placed.loose, [3]);
        let moved = scan.placed(&Similarity::scaling(3.0));
        assert_eq!(front(&moved), DVec3::new(0.0, 0.0, 9.0));
    }
}
