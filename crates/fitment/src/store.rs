//! Solids kept between runs, and who is told how far the work is.

use solids::Mesh;
use xxhash_rust::xxh3::Xxh3;

/// Where solids that took long are kept. What it gives back under a key must be what was put there, whole; what is no
/// solid is made anew.
pub trait Store: Sync {
    /// The mesh that was put under a key.
    fn get(&self, key: &str) -> Option<Mesh>;
    /// Keeps a mesh, if it can.
    fn put(&self, key: &str, mesh: &Mesh);
}

/// Keeps nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoStore;

impl Store for NoStore {
    fn get(&self, _: &str) -> Option<Mesh> {
        None
    }

    fn put(&self, _: &str, _: &Mesh) {}
}

/// Who is told how far the work is. It may be told from several threads at once.
pub trait Progress: Sync {
    /// So many of the steps are done; `what` was done last, in words: `part P3`.
    fn done(&self, what: &str, done: usize, of: usize);
}

/// Hears nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Silent;

impl Progress for Silent {
    fn done(&self, _: &str, _: usize, _: usize) {}
}

/// Changes whenever the same meshes would be united to something else.
const FORMAT: u32 = 2;

/// The key of what is made of these meshes, put together and taken away: a hash of 128 bits of all their points and
/// triangles, as 32 hexadecimal digits. Points of 0 and of -0 differ.
pub fn key(adds: &[&Mesh], takes: &[&Mesh]) -> String {
    let mut hash = Xxh3::new();
    hash.update(&FORMAT.to_le_bytes());
    for (meshes, word) in [(adds, b'+'), (takes, b'-')] {
        for mesh in meshes {
            hash.update(&[word]);
            hash.update(&(mesh.points.len() as u64).to_le_bytes());
            hash.update(&(mesh.triangles.len() as u64).to_le_bytes());
            for point in &mesh.points {
                point.to_array().iter().for_each(|x| hash.update(&x.to_le_bytes()));
            }
            for corner in mesh.triangles.iter().flatten() {
                hash.update(&corner.to_le_bytes());
            }
        }
    }
    format!("{:032x}", hash.digest128())
}

#[cfg(test)]
mod tests {
    use super::*;
    use geom::DVec3;

    /// A mesh taken away is not one added, and one more bit is another key.
    #[test]
    fn other_meshes_have_other_keys() {
        let one = Mesh { points: vec![DVec3::X, DVec3::Y, DVec3::Z], triangles: vec![[0, 1, 2]] };
        let mut other = one.clone();
        other.points[2].z = f64::from_bits(1_f64.to_bits() + 1);
        let keys = [key(&[&one], &[]), key(&[], &[&one]), key(&[&other], &[]), key(&[&one], &[&one])];
        for (i, a) in keys.iter().enumerate() {
            assert!(a.len() == 32 && keys[..i].iter().all(|b| b != a), "{keys:?}");
        }
        assert_eq!(key(&[&one], &[]), keys[0]);
    }
}
