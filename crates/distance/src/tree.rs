//! A tree of boxes over triangles and points.

use geom::DVec3;

use crate::bounds::Bounds;
use crate::build::{self, Leaf};
use crate::search::Item;

/// Triangles and loose points, found by where they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Tree {
    pub(crate) points: Vec<DVec3>,
    pub(crate) triangles: Vec<[u32; 3]>,
    pub(crate) loose: Vec<u32>,
    /// Items in the leaves' order: first the triangles by their place, then the loose points by theirs.
    pub(crate) order: Vec<u32>,
    /// The box of everything.
    pub(crate) whole: Leaf,
    /// The boxes of each node's two branches, a node before its branches.
    pub(crate) boxes: Vec<[Leaf; 2]>,
}

impl Tree {
    /// The tree over `triangles` (three indices into `points` each) and the `loose` points.
    ///
    /// # Panics
    /// Where an index has no point.
    pub fn new(points: Vec<DVec3>, triangles: Vec<[u32; 3]>, loose: Vec<u32>) -> Tree {
        let (order, whole, boxes) = build::build(&points, &triangles, &loose);
        Tree { points, triangles, loose, order, whole, boxes }
    }

    /// How many triangles and how many loose points it holds.
    pub fn counts(&self) -> [usize; 2] {
        [self.triangles.len(), self.loose.len()]
    }

    /// Its places, mm.
    pub fn points(&self) -> &[DVec3] {
        &self.points
    }

    /// Its triangles, as given.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// Its loose points, as given.
    pub fn loose(&self) -> &[u32] {
        &self.loose
    }

    /// The box of its triangles and loose points.
    pub fn bounds(&self) -> Bounds {
        let corners = self.triangles.iter().flatten().chain(&self.loose);
        Bounds::of(corners.map(|&i| self.points[i as usize]))
    }

    /// The corners of an item: three of a triangle, one of a point.
    pub fn places(&self, item: Item) -> impl Iterator<Item = DVec3> {
        let (corners, count) = match item {
            Item::Triangle(i) => (self.corners(i), 3),
            Item::Point(i) => ([self.points[i as usize]; 3], 1),
        };
        corners.into_iter().take(count)
    }

    pub(crate) fn corners(&self, triangle: u32) -> [DVec3; 3] {
        self.triangles[triangle as usize].map(|i| self.points[i as usize])
    }
}
