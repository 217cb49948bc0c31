//! A tree kept and read back.

use geom::DVec3;

use crate::build::{LEAF, Leaf, first_half};
use crate::tree::Tree;

/// What a [`Tree`] is made of, to be kept and read back.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// Places, mm.
    pub points: Vec<DVec3>,
    /// Three indices into `points` each.
    pub triangles: Vec<[u32; 3]>,
    /// Indices of the points that are items of their own.
    pub loose: Vec<u32>,
    /// The items in the leaves' order.
    pub order: Vec<u32>,
    /// The box of everything, then the two boxes of each node: least x, y, z, greatest x, y, z, mm.
    pub boxes: Vec<[f32; 6]>,
}

/// Why parts do not make a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// A triangle or a loose point has an index without a point.
    Index,
    /// The order does not hold each item once.
    Order,
    /// There are more or fewer boxes than the items need.
    Count,
    /// A box does not hold what is in it.
    Box,
}

impl Tree {
    /// Its parts, to be kept. See [`Tree::from_parts`].
    pub fn parts(&self) -> Parts {
        let flat = |b: &Leaf| [b.min[0], b.min[1], b.min[2], b.max[0], b.max[1], b.max[2]];
        let whole = (!self.order.is_empty()).then_some(flat(&self.whole));
        Parts {
            points: self.points.clone(),
            triangles: self.triangles.clone(),
            loose: self.loose.clone(),
            order: self.order.clone(),
            boxes: whole.into_iter().chain(self.boxes.iter().flatten().map(flat)).collect(),
        }
    }

    /// The tree that was kept.
    ///
    /// # Errors
    /// Where the parts are not those of a tree, so that no damaged file gives a wrong distance.
    pub fn from_parts(parts: Parts) -> Result<Tree, Misfit> {
        let Parts { points, triangles, loose, order, boxes } = parts;
        let used = triangles.iter().flatten().chain(&loose);
        if used.into_iter().any(|&i| i as usize >= points.len()) {
            return Err(Misfit::Index);
        }
        let count = triangles.len() + loose.len();
        let mut seen = vec![false; count];
        let fresh = |&item: &u32| seen.get_mut(item as usize).is_some_and(|s| !std::mem::replace(s, true));
        if order.len() != count || !order.iter().all(fresh) {
            return Err(Misfit::Order);
        }
        if boxes.len() != (2 * count.div_ceil(LEAF)).saturating_sub(1) {
            return Err(Misfit::Count);
        }
        let leaf = |b: &[f32; 6]| Leaf { min: [b[0], b[1], b[2]], max: [b[3], b[4], b[5]] };
        let whole = boxes.first().map_or(Leaf::EMPTY, leaf);
        let pairs = boxes.get(1..).unwrap_or_default().as_chunks::<2>().0.iter();
        let boxes = pairs.map(|pair| pair.each_ref().map(leaf)).collect();
        let tree = Tree { points, triangles, loose, order, whole, boxes };
        if count == 0 || tree.holds(&whole, 0, 0, count.div_ceil(LEAF)) { Ok(tree) } else { Err(Misfit::Box) }
    }

    /// Whether a node's box holds its branches' boxes, and so on down to the items.
    fn holds(&self, own: &Leaf, node: usize, start: usize, leaves: usize) -> bool {
        if leaves == 1 {
            let end = ((start + 1) * LEAF).min(self.order.len());
            let mut items = self.order[start * LEAF..end].iter();
            return items.all(|&number| own.holds(&self.item_box(number)));
        }
        let (first, [left, right]) = (first_half(leaves), &self.boxes[node]);
        own.holds(left)
            && own.holds(right)
            && self.holds(left, node + 1, start, first)
            && self.holds(right, node + first, start + first, leaves - first)
    }

    fn item_box(&self, number: u32) -> Leaf {
        match (number as usize).checked_sub(self.triangles.len()) {
            None => Leaf::of(&self.corners(number)),
            Some(i) => Leaf::of(&[self.points[self.loose[i] as usize]]),
        }
    }
}

impl Leaf {
    fn holds(&self, other: &Leaf) -> bool {
        (0..3).all(|i| self.min[i] <= other.min[i] && other.max[i] <= self.max[i])
    }
}
