//! A shell made ready for many questions.

use geom::DVec3;

use crate::bounds::Bounds;
use crate::near::Near;
use crate::search::Item;
use crate::solid::Shell;
use crate::tree::Tree;
use crate::triangle::Triangle;

/// A shell with its box and, where many questions come, a tree of its faces.
#[derive(Clone, Debug)]
pub(crate) struct Surface<'a> {
    pub shell: &'a Shell,
    pub bounds: Bounds,
    tree: Option<Tree>,
}

impl<'a> Surface<'a> {
    pub fn new(shell: &'a Shell) -> Surface<'a> {
        Surface { shell, bounds: Bounds::of(shell.points.iter().copied()), tree: None }
    }

    /// With a tree, for many questions.
    pub fn prepared(shell: &'a Shell) -> Surface<'a> {
        let tree = Tree::new(shell.points.clone(), shell.triangles.clone(), Vec::new());
        Surface { tree: Some(tree), ..Surface::new(shell) }
    }

    /// The least distance to a triangle; 0 where the triangle is inside.
    pub fn to_triangle(&self, triangle: &Triangle) -> Near {
        let Some(tree) = &self.tree else { return self.shell.to_triangle(triangle) };
        let (middle, reach) = triangle.ball();
        let found = tree.search(
            f64::INFINITY,
            |b| (b.low() - middle).max(middle - b.high()).max(DVec3::ZERO).length() - reach,
            |item, _| match item {
                Item::Triangle(i) => {
                    let [on, there] = Triangle { corners: tree.corners(i) }.to_triangle(triangle);
                    Some(Near::between(on, there, 0.0))
                }
                Item::Point(_) => None,
            },
            |near| near.distance,
        );
        let near = found.map_or(Near::FAR, |(near, _)| near);
        let inside = near.distance > 0.0 && self.shell.contains(triangle.corners[0]);
        if inside { Near { distance: 0.0, ..near } } else { near }
    }

    /// What the distance to anything within `reach` of `middle` is at least, 0 where they may meet; `back` as
    /// for [`crate::body::Body::floor`].
    pub fn floor(&self, middle: DVec3, back: impl Fn(DVec3) -> f64, reach: f64) -> f64 {
        let on = middle.clamp(self.bounds.min, self.bounds.max);
        let away = on.distance(middle);
        let by_box = if away > 0.0 { away + back((middle - on) / away) } else { 0.0 };
        let Some(tree) = &self.tree else { return by_box.max(0.0) };
        let by_faces = tree.nearest_to_point(middle, f64::INFINITY).map_or(0.0, |t| t.distance - reach);
        if by_faces > by_box.max(0.0)
            && (away > 0.0 || 3 * tree.inside(middle).inside < tree.inside(middle).of)
        {
            by_faces
        } else {
            by_box.max(0.0)
        }
    }
}
