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
        self.nearest_but(solids, below, |_| false)
    }

    /// [`Tree::nearest`] of the items that `skip` does not name.
    pub fn nearest_but(&self, solids: &[Solid], below: f64, skip: impl Fn(Item) -> bool) -> Option<Hit> {
        let mut best: Option<Hit> = None;
        for (solid, body) in solids.iter().map(Solid::prepared).enumerate() {
            let limit = best.map_or(below, |hit| hit.near.distance);
            let found = self.search(
                limit,
                |b| body.floor(b.middle(), b.half()),
                |item, bound| match item {
                    _ if skip(item) => None,
                    Item::Triangle(i) => {
                        body.to_triangle_below(&Triangle { corners: self.corners(i) }, bound)
                    }
                    Item::Point(i) => Some(body.to_point(self.points[i as usize])),
                },
                |near| near.distance,
            );
            if let Some((near, item)) = found {
                best = Some(Hit { near, solid, item });
            }
        }
        best
    }

    /// The item nearest to `p`, if its distance is less than `below` (mm); of equals the first triangle, or the
    /// first loose point.
    pub fn nearest_to_point(&self, p: DVec3, below: f64) -> Option<Touch> {
        let slack = 1e-12 * (p.abs().max_element() + 1.0).powi(2);
        let found = self.search(
            if below > 0.0 { below * below } else { 0.0 },
            |b| (b.low() - p).max(p - b.high()).max(DVec3::ZERO).length_squared(),
            |item, bound| {
                let at = match item {
                    Item::Triangle(i) => {
                        let triangle = Triangle { corners: self.corners(i) };
                        // Its box is asked first: most triangles of a leaf are further than the best.
                        if triangle.box_to(p) > bound + slack {
                            return None;
                        }
                        triangle.nearest(p)
                    }
                    Item::Point(i) => self.points[i as usize],
                };
                Some((at.distance_squared(p), at))
            },
            |found| found.0,
        );
        found.map(|((square, at), item)| Touch { distance: square.sqrt(), at, item })
    }

    /// The item with the least value under `limit`, of equals the first. `floor` says what no item in a box
    /// falls below; `value` may leave out what is above the bound that it is given.
    pub(crate) fn search<V: Copy>(
        &self,
        limit: f64,
        floor: impl Fn(&Leaf) -> f64,
        value: impl Fn(Item, f64) -> Option<V>,
        size: impl Fn(&V) -> f64,
    ) -> Option<(V, Item)> {
        let mut best: Option<(V, u32)> = None;
        let mut bound = limit;
        let leaves = self.order.len().div_ceil(LEAF);
        let mut open = Open { stack: [(0.0, 0, 0, 0); DEPTH], count: 0 };
        if leaves > 0 {
            open.push((floor(&self.whole), 0, 0, leaves));
        }
        // What the arithmetic of a floor may be off.
        let slack = 1e-14 * (self.whole.low().abs().max(self.whole.high().abs()).max_element() + 1.0);
        while let Some((least, node, start, leaves)) = open.pop() {
            if least - slack > bound {
                continue;
            }
            if leaves == 1 {
                let start = start as usize * LEAF;
                for &number in &self.order[start..(start + LEAF).min(self.order.len())] {
                    let Some(v) = value(self.item(number), bound) else { continue };
                    let d = size(&v);
                    if d < bound || (d == bound && best.is_some_and(|(_, b)| number < b)) {
                        (bound, best) = (d, Some((v, number)));
                    }
                }
                continue;
            }
            let (first, pair) = (first_half(leaves), &self.boxes[node as usize]);
            let a = (floor(&pair[0]), node + 1, start, first);
            let b = (floor(&pair[1]), node + first as u32, start + first as u32, leaves - first);
            let (near, far) = if b.0 < a.0 { (b, a) } else { (a, b) };
            if far.0 - slack <= bound {
                open.push(far);
            }
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

/// More levels than a tree over 2^32 items has, for the branches left open on the way down.
pub(crate) const DEPTH: usize = 40;

/// A branch yet to be looked into: its floor, node, first leaf, and how many leaves.
type Branch = (f64, u32, u32, usize);

/// The branches yet to be looked into, the nearest last.
struct Open {
    stack: [Branch; DEPTH],
    count: usize,
}

impl Open {
    fn push(&mut self, branch: Branch) {
        self.stack[self.count] = branch;
        self.count += 1;
    }

    fn pop(&mut self) -> Option<Branch> {
        self.count = self.count.checked_sub(1)?;
        Some(self.stack[self.count])
    }
}
