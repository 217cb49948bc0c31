//! A tree as bytes.
//!
//! Five counts of 8 bytes (points, triangles, loose points, order, boxes), then their numbers one after another:
//! points in 8 bytes a number, all others in 4, little-endian.

use geom::DVec3;

use crate::parts::{Misfit, Parts};
use crate::tree::Tree;

impl Tree {
    /// Adds the tree to some bytes, the same on every machine. See [`Tree::unpacked`].
    pub fn pack(&self, bytes: &mut Vec<u8>) {
        let whole = (!self.order.is_empty()).then_some(&self.whole);
        let boxes = self.boxes.len() * 2 + whole.iter().len();
        let counts = [self.points.len(), self.triangles.len(), self.loose.len(), self.order.len(), boxes];
        bytes.reserve_exact(length(&counts).unwrap_or_default());
        counts.iter().for_each(|&count| bytes.extend((count as u64).to_le_bytes()));
        self.points.iter().flat_map(|p| p.to_array()).for_each(|x| bytes.extend(x.to_le_bytes()));
        let indices = self.triangles.iter().flatten().chain(&self.loose).chain(&self.order);
        indices.for_each(|k| bytes.extend(k.to_le_bytes()));
        for b in whole.into_iter().chain(self.boxes.iter().flatten()) {
            b.min.iter().chain(&b.max).for_each(|x| bytes.extend(x.to_le_bytes()));
        }
    }

    /// The tree that was packed.
    ///
    /// # Errors
    /// Where the bytes are not those of a tree. Never more memory than a small multiple of their length is taken.
    pub fn unpacked(bytes: &[u8]) -> Result<Tree, Misfit> {
        let (heads, mut rest) = bytes.split_at_checked(8 * COUNTS).ok_or(Misfit::Count)?;
        let mut counts = [0_usize; COUNTS];
        for (count, head) in counts.iter_mut().zip(heads.as_chunks::<8>().0) {
            *count = usize::try_from(u64::from_le_bytes(*head)).map_err(|_| Misfit::Count)?;
        }
        if length(&counts) != Some(bytes.len()) {
            return Err(Misfit::Count);
        }
        let mut next = |size: usize| {
            let (own, others) = rest.split_at(size);
            rest = others;
            own
        };
        let [points, triangles, loose, order, boxes] = counts;
        let point = |p: &[[u8; 8]; 3]| DVec3::from_array(p.map(f64::from_le_bytes));
        let numbers =
            |bytes: &[u8]| -> Vec<u32> { words(bytes).iter().map(|w| u32::from_le_bytes(*w)).collect() };
        let points = next(24 * points).as_chunks::<8>().0.as_chunks::<3>().0.iter().map(point).collect();
        let triple = |t: &[[u8; 4]; 3]| t.map(u32::from_le_bytes);
        let triangles = words(next(12 * triangles)).as_chunks::<3>().0.iter().map(triple).collect();
        let (loose, order) = (numbers(next(4 * loose)), numbers(next(4 * order)));
        let six = |b: &[[u8; 4]; 6]| b.map(f32::from_le_bytes);
        let boxes = words(next(24 * boxes)).as_chunks::<6>().0.iter().map(six).collect();
        Tree::from_parts(Parts { points, triangles, loose, order, boxes })
    }
}

/// How many counts there are.
const COUNTS: usize = 5;

/// How many bytes a tree of such counts takes.
fn length(counts: &[usize; COUNTS]) -> Option<usize> {
    let each = [24_usize, 12, 4, 4, 24];
    counts
        .iter()
        .zip(each)
        .try_fold(8 * COUNTS, |sum, (count, each)| sum.checked_add(count.checked_mul(each)?))
}

fn words(bytes: &[u8]) -> &[[u8; 4]] {
    bytes.as_chunks::<4>().0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree() -> Tree {
        let points =
            (0..60).map(|k| DVec3::new(f64::from(k % 7), f64::from(k % 5) / 3.0, f64::from(k))).collect();
        Tree::new(points, (0..50).map(|k| [k, k + 1, k + 5]).collect(), (50..60).collect())
    }

    fn packed(tree: &Tree) -> Vec<u8> {
        let mut bytes = Vec::new();
        tree.pack(&mut bytes);
        bytes
    }

    #[test]
    fn comes_back_to_the_bit() {
        assert_eq!(Tree::unpacked(&packed(&tree())), Ok(tree()));
        let nothing = Tree::new(vec![], vec![], vec![]);
        assert_eq!(Tree::unpacked(&packed(&nothing)), Ok(nothing));
    }

    #[test]
    fn other_lengths_and_counts_are_refused() {
        let bytes = packed(&tree());
        for length in 0..bytes.len() {
            assert!(Tree::unpacked(&bytes[..length]).is_err(), "{length}");
        }
        for (at, count) in [(0, u64::MAX), (8, u64::MAX / 12), (16, 11), (32, 0)] {
            let mut bytes = bytes.clone();
            bytes[at..at + 8].copy_from_slice(&count.to_le_bytes());
            assert_eq!(Tree::unpacked(&bytes), Err(Misfit::Count), "{at}");
        }
        let mut bytes = bytes;
        bytes[40 + 24 * 60] = 200;
        assert_eq!(Tree::unpacked(&bytes), Err(Misfit::Index));
    }
}
