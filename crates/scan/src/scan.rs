//! Points and triangles as a scanner left them.

use geom::DVec3;

/// A surface or a cloud, in its file's own units and axes.
///
/// Invariants: every point is finite; every corner of a triangle is the index of a point; there is at
/// least one triangle or loose point; both are no more than `u32` counts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scan {
    /// The points; those of equal coordinates in a file without shared corners (STL) are one.
    pub points: Vec<DVec3>,
    /// Triangles, as three indices into `points`; seen from their front they run counter-clockwise.
    pub triangles: Vec<[u32; 3]>,
    /// Points that belong to no triangle, as indices into `points`: of a cloud, all of them.
    pub loose: Vec<u32>,
}
