//! The nearest item of a tree.

use geom::DVec3;

use crate::build::{LEAF, Leaf, first_half};
use crate::near::Near;
use crate::solid::Solid;
use crate::tree::Tree;
use crate::triangle::Triangle;

/// An item of a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// The triangle with this place in the list.
    Triangle(u32),
    /// The loose point with this place among the tree's points.
    Point(u32),
}

/// The item of a tree that is nearest to some solids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// How near.
    pub near: Near,
    /// Which solid.
    pub solid: usize,
    /// Which item.
    pub item: Item,
}

/// The item of a tree that is nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// How near, mm.
    pub distance: f64,
    /// The item's nearest place.
    pub at: DVec3,
    /// Which item.
    pub item: Item,
}

impl Tree {
    /// The item nearest to any of `solids`, if its distance is less than `below` (mm).
    ///
    /// The best so far is carried from one solid to the next. Where several are equally near it is the first
    /// solid's, and of its items the first triangle's, or the first loose point's.
    pub fn nearest(&self, solids: &[Solid], below: f64) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        for (solid, body) in solids.iter().map(Solid::body).enumerate() {
            let limit = best.map_or(below, |hit| hit.near.distance);
            let least = |b: &Leaf| {
                let half = 0.5 * b.low().distance(b.high());
                let away = body.to_point(b.middle()).distance - half;
                if away > 0.0 { away } else { f64::NEG_INFINITY }
            };
            let value = |item: Item| match item {
                Item::Triangle(i) => body.to_triangle(&Triangle { corners: self.corners(i) }),
                Item::Point(i) => body.to_point(self.points[i as usize]),
            };
            if let Some((near, item)) = self.search(limit, least, value, |near| near.distance) {
                best = Some(Hit { near, solid, item });
            }
        }
        best
    }

    /// The item nearest to `p`, if its distance is less than `below` (mm); of equals the first triangle, or the
    /// first loose point.
    pub fn nearest_to_point(&self, p: DVec3, below: f64) -> Option<Touch> {
        let least = |b: &Leaf| (b.low() - p).max(p - b.high()).max(DVec3::ZERO).length();
        let value = |item: Item| {
            let at = match item {
                Item::Triangle(i) => Triangle { corners: self.corners(i) }.nearest(p),
                Item::Point(i) => self.points[i as usize],
            };
            Touch { distance: at.distance(p), at, item }
        };
        self.search(below, least, value, |touch| touch.distance).map(|(touch, _)| touch)
    }

    /// The item with the least value under `limit`; `least` says what no item in a box falls below.
    fn search<V: Copy>(
        &self,
        limit: f64,
        least: impl Fn(&Leaf) -> f64,
        value: impl Fn(Item) -> V,
        size: impl Fn(&V) -> f64,
    ) -> Option<(V, Item)> {
        if self.boxes.is_empty() {
            return None;
        }
        let mut best: Option<(V, u32)> = None;
        let mut bound = limit;
        let mut open = vec![(least(&self.boxes[0]), 0usize, 0usize, self.order.len().div_ceil(LEAF))];
        while let Some((floor, node, start, leaves)) = open.pop() {
            if floor - 1e-9 > bound {
                continue;
            }
            if leaves == 1 {
                let end = (start + LEAF).min(self.order.len());
                for &number in &self.order[start..end] {
                    let v = value(self.item(number));
                    let d = size(&v);
                    if d < bound || (d == bound && best.is_some_and(|(_, b)| number < b)) {
                        (bound, best) = (d, Some((v, number)));
                    }
                }
                continue;
            }
            let first = first_half(leaves);
            let (left, right) = (node + 1, node + 2 * first);
            let a = (least(&self.boxes[left]), left, start, first);
            let b = (least(&self.boxes[right]), right, start + first * LEAF, leaves - first);
            let (near, far) = if b.0 < a.0 { (b, a) } else { (a, b) };
            open.push(far);
            open.push(near);
        }
        best.map(|(v, number)| (v, self.item(number)))
    }

    pub(crate) fn item(&self, number: u32) -> Item {
        match (number as usize).checked_sub(self.triangles.len()) {
            None => Item::Triangle(number),
            Some(i) => Item::Point(self.loose[i]),
        }
    }
}
