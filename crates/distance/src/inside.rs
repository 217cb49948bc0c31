//! Whether a point is inside what a scan shows.

use geom::DVec3;

use crate::build::{LEAF, Leaf, first_half};
use crate::search::Item;
use crate::tree::Tree;

/// What rays from a point say about its being inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Votes {
    /// How many rays passed the triangles from behind and from their front unequally often.
    pub inside: u32,
    /// How many rays were sent.
    pub of: u32,
}

impl Votes {
    /// Whether at least three in four say inside.
    pub fn clear(&self) -> bool {
        4 * self.inside >= 3 * self.of && self.of > 0
    }
}

/// Directions of the rays: of no plane or axis that things are built along.
const RAYS: [[f64; 3]; 9] = [
    [0.812, 0.331, 0.482],
    [-0.537, 0.694, 0.479],
    [0.243, -0.861, 0.447],
    [-0.679, -0.412, 0.608],
    [0.157, 0.289, -0.944],
    [0.591, -0.473, -0.653],
    [-0.389, 0.561, -0.731],
    [-0.886, -0.147, -0.439],
    [0.071, 0.118, 0.990],
];

impl Tree {
    /// Whether `p` is inside its triangles, by rays in fixed directions. Loose points do not count.
    ///
    /// What counts is by how many the passes from behind and from the front differ: in two shells at once a ray
    /// passes an even number of triangles, all from behind.
    pub fn inside(&self, p: DVec3) -> Votes {
        let within = |ray: &&[f64; 3]| {
            let [from_behind, from_front] = self.crossings(p, DVec3::from_array(**ray));
            from_behind != from_front
        };
        Votes { inside: RAYS.iter().filter(within).count() as u32, of: RAYS.len() as u32 }
    }

    /// How many triangles a ray passes: from behind, and from their front.
    fn crossings(&self, from: DVec3, way: DVec3) -> [usize; 2] {
        let mut count = [0; 2];
        let leaves = self.order.len().div_ceil(LEAF);
        let mut open =
            if leaves > 0 && self.whole.met(from, way) { vec![(0, 0, leaves)] } else { Vec::new() };
        while let Some((node, start, leaves)) = open.pop() {
            if leaves == 1 {
                let end = ((start + 1) * LEAF).min(self.order.len());
                for &number in &self.order[start * LEAF..end] {
                    if let Item::Triangle(i) = self.item(number) {
                        match passes(self.corners(i), from, way) {
                            Some(Side::Behind) => count[0] += 1,
                            Some(Side::Front) => count[1] += 1,
                            None => {}
                        }
                    }
                }
                continue;
            }
            let (first, pair): (usize, &[Leaf; 2]) = (first_half(leaves), &self.boxes[node]);
            if pair[0].met(from, way) {
                open.push((node + 1, start, first));
            }
            if pair[1].met(from, way) {
                open.push((node + first, start + first, leaves - first));
            }
        }
        count
    }
}

impl Leaf {
    /// Whether a ray meets the box.
    fn met(&self, from: DVec3, way: DVec3) -> bool {
        let (a, b) = ((self.low() - from) / way, (self.high() - from) / way);
        let (enter, leave) = (a.min(b).max_element(), a.max(b).min_element());
        leave >= enter.max(0.0) - 1e-9
    }
}

/// The side of a triangle from which a ray comes.
enum Side {
    Behind,
    Front,
}

/// From which side a ray passes a triangle, if it does (Moeller and Trumbore, 1997).
fn passes([a, b, c]: [DVec3; 3], from: DVec3, way: DVec3) -> Option<Side> {
    let (ab, ac) = (b - a, c - a);
    let h = way.cross(ac);
    let size = ab.dot(h);
    if size == 0.0 {
        return None;
    }
    let s = from - a;
    let u = s.dot(h) / size;
    let q = s.cross(ab);
    let v = way.dot(q) / size;
    let passes = u >= 0.0 && v >= 0.0 && u + v <= 1.0 && ac.dot(q) / size > 0.0;
    // `size` is the ray's way against the triangle's normal.
    passes.then_some(if size < 0.0 { Side::Behind } else { Side::Front })
}
