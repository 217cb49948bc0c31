//! Building the tree: halves of equal count, along the axis on which the items' middles spread furthest.

use std::thread::available_parallelism;

use geom::DVec3;

/// How many items a leaf holds.
pub(crate) const LEAF: usize = 4;

/// Over so many leaves a thread of its own is worth while.
const MANY: usize = 1000;

/// A node's box in single precision, rounded outward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Leaf {
    pub min: [f32; 3],
    pub max: [f32; 3],
}

/// An item's middle and its number.
#[derive(Clone, Copy)]
struct Entry {
    middle: [f32; 3],
    item: u32,
}

/// How many leaves the first branch of a node over `leaves` leaves has.
pub(crate) fn first_half(leaves: usize) -> usize {
    leaves.div_ceil(2)
}

/// A tree's shape: the items in the leaves' order, the box of them all, and the boxes of each node's branches.
///
/// A node over n leaves has n - 1 nodes in it, itself first, then its first branch's, then its second's: so no
/// node has to say where its branches are.
pub(crate) type Shape = (Vec<u32>, Leaf, Vec<[Leaf; 2]>);

/// The tree's shape; the same on any number of threads.
pub(crate) fn build(points: &[DVec3], triangles: &[[u32; 3]], loose: &[u32]) -> Shape {
    let count = triangles.len() + loose.len();
    if count == 0 {
        return (Vec::new(), Leaf::EMPTY, Vec::new());
    }
    let bounds = |item: u32| match triangles.get(item as usize) {
        Some(t) => Leaf::of(&t.map(|i| points[i as usize])),
        None => Leaf::of(&[points[loose[item as usize - triangles.len()] as usize]]),
    };
    let mut entries = vec![Entry { middle: [0.0; 3], item: 0 }; count];
    let fill = |first: usize, part: &mut [Entry]| {
        for (i, entry) in part.iter_mut().enumerate() {
            let item = (first + i) as u32;
            let b = bounds(item);
            *entry = Entry { middle: [0, 1, 2].map(|i| 0.5 * b.min[i] + 0.5 * b.max[i]), item };
        }
    };
    // To ask how many there are reads files: it takes longer than a small tree.
    let threads = if count <= MANY * LEAF { 1 } else { available_parallelism().map_or(1, |n| n.get()) };
    let share = count.div_ceil(threads).max(MANY * LEAF);
    let (own, others) = entries.split_at_mut(share.min(count));
    std::thread::scope(|scope| {
        for (k, part) in others.chunks_mut(share).enumerate() {
            scope.spawn(move || fill((k + 1) * share, part));
        }
        fill(0, own);
    });
    let mut boxes = vec![[Leaf::EMPTY; 2]; count.div_ceil(LEAF) - 1];
    let whole = split(&mut entries, &mut boxes, &bounds, 3);
    (entries.into_iter().map(|e| e.item).collect(), whole, boxes)
}

/// Orders the entries of a node and fills the boxes of its branches, on two threads for `threads` levels; the
/// node's own box.
fn split(
    entries: &mut [Entry],
    boxes: &mut [[Leaf; 2]],
    bounds: &(impl Fn(u32) -> Leaf + Sync),
    threads: u32,
) -> Leaf {
    let Some((own, below)) = boxes.split_first_mut() else {
        entries.sort_unstable_by_key(|e| e.item);
        return entries.iter().fold(Leaf::EMPTY, |b, e| b.joined(&bounds(e.item)));
    };
    let leaves = below.len() + 2;
    let first = first_half(leaves);
    let axis = longest(entries);
    entries.select_nth_unstable_by(first * LEAF, |a, b| {
        a.middle[axis].total_cmp(&b.middle[axis]).then(a.item.cmp(&b.item))
    });
    let (low, high) = entries.split_at_mut(first * LEAF);
    let (left, right) = below.split_at_mut(first - 1);
    *own = if threads > 0 && leaves > MANY {
        std::thread::scope(|scope| {
            let side = scope.spawn(|| split(low, left, bounds, threads - 1));
            let other = split(high, right, bounds, threads - 1);
            [side.join().expect("a branch is built"), other]
        })
    } else {
        [split(low, left, bounds, 0), split(high, right, bounds, 0)]
    };
    own[0].joined(&own[1])
}

/// The axis along which the middles spread furthest.
fn longest(entries: &[Entry]) -> usize {
    let mut spread = Leaf::EMPTY;
    for e in entries {
        spread = spread.joined(&Leaf { min: e.middle, max: e.middle });
    }
    let size = [0, 1, 2].map(|i| spread.max[i] - spread.min[i]);
    if size[0] >= size[1] && size[0] >= size[2] {
        0
    } else if size[1] >= size[2] {
        1
    } else {
        2
    }
}

impl Leaf {
    pub const EMPTY: Leaf = Leaf { min: [f32::INFINITY; 3], max: [f32::NEG_INFINITY; 3] };

    pub fn of(points: &[DVec3]) -> Leaf {
        let mut b = Leaf::EMPTY;
        for p in points {
            for (i, x) in p.to_array().into_iter().enumerate() {
                let near = x as f32;
                let (down, up) = (near.next_down(), near.next_up());
                b.min[i] = b.min[i].min(if f64::from(near) > x { down } else { near });
                b.max[i] = b.max[i].max(if f64::from(near) < x { up } else { near });
            }
        }
        b
    }

    fn joined(&self, other: &Leaf) -> Leaf {
        let pick = |i: usize| (self.min[i].min(other.min[i]), self.max[i].max(other.max[i]));
        let [x, y, z] = [0, 1, 2].map(pick);
        Leaf { min: [x.0, y.0, z.0], max: [x.1, y.1, z.1] }
    }

    pub fn middle(&self) -> DVec3 {
        0.5 * (self.low() + self.high())
    }

    /// Half its size.
    pub fn half(&self) -> DVec3 {
        0.5 * (self.high() - self.low())
    }

    pub fn low(&self) -> DVec3 {
        DVec3::from_array(self.min.map(f64::from))
    }

    pub fn high(&self) -> DVec3 {
        DVec3::from_array(self.max.map(f64::from))
    }
}
