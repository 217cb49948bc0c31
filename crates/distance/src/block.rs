//! The nearest items of many points, asked in blocks of points that lie close together: what one of them has to look
//! into the others mostly have to as well.

use geom::DVec3;

use crate::build::{LEAF, Leaf, first_half};
use crate::search::{DEPTH, Item, Touch};
use crate::tree::Tree;
use crate::triangle::Triangle;

/// How many points are asked together.
const BLOCK: usize = 16;

impl Tree {
    /// For each point what [`Tree::nearest_to_point`] says of it and its `below` (mm), one for each; quicker the
    /// closer together the points are, in any order.
    ///
    /// # Panics
    /// Where `below` is shorter than `points`.
    pub fn nearest_to_points(&self, points: &[DVec3], below: &[f64]) -> Vec<Option<Touch>> {
        let mut touches = vec![None; points.len()];
        let mut order: Vec<u32> = (0..points.len() as u32).collect();
        gather(&mut order, points);
        let mut near = None;
        for numbers in order.chunks(BLOCK) {
            let mut block =
                Block::new(numbers.iter().map(|&k| (points[k as usize], below[k as usize])), self);
            block.seed(self, near);
            block.search(self);
            near = block.found[0].map(|(number, _)| number).or(near);
            for (lane, &k) in numbers.iter().enumerate() {
                touches[k as usize] = block.touch(self, lane);
            }
        }
        touches
    }

    /// The place of an item that is nearest to `p`.
    fn place(&self, item: Item, p: DVec3) -> DVec3 {
        match item {
            Item::Triangle(i) => Triangle { corners: self.corners(i) }.nearest(p),
            Item::Point(i) => self.points[i as usize],
        }
    }

    /// The box of an item, rounded to the nearest.
    fn rough_box(&self, item: Item) -> Leaf {
        let of = |min: DVec3, max: DVec3| Leaf { min: min.as_vec3().into(), max: max.as_vec3().into() };
        match item {
            Item::Triangle(i) => {
                let [a, b, c] = self.corners(i);
                of(a.min(b).min(c), a.max(b).max(c))
            }
            Item::Point(i) => of(self.points[i as usize], self.points[i as usize]),
        }
    }
}

/// Points that lie close together and what is nearest to each so far. A lane without a point finds nothing.
struct Block {
    points: [DVec3; BLOCK],
    /// The same in single precision, by axis.
    rough: [[f32; BLOCK]; 3],
    /// The least squared distances.
    least: [f64; BLOCK],
    /// The number of what is so near, and its nearest place.
    found: [Option<(u32, DVec3)>; BLOCK],
    /// What a squared distance in single precision may be where the true one is no more than the least.
    limit: [f32; BLOCK],
    /// What single precision may put a distance off by, mm.
    slack: f64,
}

impl Block {
    fn new(asked: impl Iterator<Item = (DVec3, f64)>, tree: &Tree) -> Block {
        let mut block = Block {
            points: [DVec3::ZERO; BLOCK],
            rough: [[0.0; BLOCK]; 3],
            least: [-1.0; BLOCK],
            found: [None; BLOCK],
            limit: [-1.0; BLOCK],
            slack: 0.0,
        };
        let mut reach = tree.whole.low().abs().max(tree.whole.high().abs()).max_element();
        for (lane, (p, below)) in asked.enumerate() {
            reach = reach.max(p.abs().max_element());
            block.points[lane] = p;
            for (axis, x) in p.to_array().into_iter().enumerate() {
                block.rough[axis][lane] = x as f32;
            }
            block.least[lane] = below.max(0.0).powi(2);
        }
        // Half a unit in the last place for the point and for the box, on three axes.
        block.slack = 2.0 * f64::from(f32::EPSILON) * reach;
        block.limit = std::array::from_fn(|lane| block.limit(lane));
        block
    }

    fn limit(&self, lane: usize) -> f32 {
        if self.least[lane] < 0.0 {
            return -1.0;
        }
        ((self.least[lane].sqrt() + self.slack).powi(2) * (1.0 + 16.0 * f64::from(f32::EPSILON))) as f32
    }

    /// Begins with an item that may be near.
    fn seed(&mut self, tree: &Tree, number: Option<u32>) {
        let Some(number) = number else { return };
        let item = tree.item(number);
        (0..BLOCK).for_each(|lane| self.offer(lane, number, tree.place(item, self.points[lane])));
    }

    /// Looks into every box that may hold something as near as the nearest so far, for any point.
    fn search(&mut self, tree: &Tree) {
        let mut open = Vec::with_capacity(DEPTH);
        let leaves = tree.order.len().div_ceil(LEAF);
        if leaves > 0 {
            open.push((&tree.whole, 0, 0, leaves));
        }
        while let Some((own, node, start, leaves)) = open.pop() {
            if !self.reaches(own) {
                continue;
            }
            if leaves == 1 {
                let end = ((start + 1) * LEAF).min(tree.order.len());
                tree.order[start * LEAF..end].iter().for_each(|&number| self.ask(tree, number));
                continue;
            }
            let (first, [left, right]) = (first_half(leaves), &tree.boxes[node]);
            let a = (left, node + 1, start, first);
            let b = (right, node + first, start + first, leaves - first);
            // The first point's nearer branch first.
            let (near, far) = if self.floor(0, right) < self.floor(0, left) { (b, a) } else { (a, b) };
            open.push(far);
            open.push(near);
        }
    }

    fn ask(&mut self, tree: &Tree, number: u32) {
        let item = tree.item(number);
        let own = tree.rough_box(item);
        let near = self.near(&own);
        for lane in (0..BLOCK).filter(|&lane| near[lane]) {
            self.offer(lane, number, tree.place(item, self.points[lane]));
        }
    }

    fn offer(&mut self, lane: usize, number: u32, at: DVec3) {
        let (square, least) = (at.distance_squared(self.points[lane]), self.least[lane]);
        if square < least || (square == least && self.found[lane].is_some_and(|(found, _)| number < found)) {
            (self.least[lane], self.found[lane]) = (square, Some((number, at)));
            self.limit[lane] = self.limit(lane);
        }
    }

    /// The squared distance of a point from a box, in single precision.
    fn floor(&self, lane: usize, of: &Leaf) -> f32 {
        let away = |axis: usize| {
            let x = self.rough[axis][lane];
            larger(larger(of.min[axis] - x, x - of.max[axis]), 0.0)
        };
        let [x, y, z] = [away(0), away(1), away(2)];
        x * x + y * y + z * z
    }

    /// Which points may have something in a box that is as near as the nearest so far.
    fn near(&self, of: &Leaf) -> [bool; BLOCK] {
        std::array::from_fn(|lane| self.floor(lane, of) <= self.limit[lane])
    }

    /// Whether any has.
    fn reaches(&self, of: &Leaf) -> bool {
        self.near(of).into_iter().fold(false, |any, near| any | near)
    }

    fn touch(&self, tree: &Tree, lane: usize) -> Option<Touch> {
        let (number, at) = self.found[lane]?;
        Some(Touch { distance: self.least[lane].sqrt(), at, item: tree.item(number) })
    }
}

/// The larger; `b` where `a` is not a number.
fn larger(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

/// Orders points so that each [`BLOCK`] of them lies close together: by halves, along the axis on which they spread
/// furthest.
fn gather(order: &mut [u32], points: &[DVec3]) {
    if order.len() <= BLOCK {
        return;
    }
    let own = order.iter().map(|&k| points[k as usize]);
    let (low, high) = own.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(a, b), p| (a.min(p), b.max(p)));
    let axis = (high - low).max_position();
    let half = first_half(order.len().div_ceil(BLOCK)) * BLOCK;
    let along = |k: &u32| points[*k as usize][axis];
    order.select_nth_unstable_by(half, |a, b| along(a).total_cmp(&along(b)).then(a.cmp(b)));
    let (first, second) = order.split_at_mut(half);
    gather(first, points);
    gather(second, points);
}
