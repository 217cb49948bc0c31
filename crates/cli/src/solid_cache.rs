//! Solids of a fitment model kept between runs: what booleans gave.
//!
//! One file a solid, `<key>.solid`: the key is the hash of all that it was made of. It holds a head with [`FORMAT`],
//! this program's version and the key, the counts, the points, the triangles, and a checksum of all that. What does
//! not read back whole and fitting is made anew.

use fitment::Store;
use geom::DVec3;
use solids::Mesh;
use xxhash_rust::xxh3::xxh3_128;

use crate::cache::Cache;

/// Changes whenever the layout here does; how solids are made is in their key and the program's version.
const FORMAT: u32 = 1;

/// Solids in the user's cache; none is kept where there is no cache.
pub struct SolidCache(pub Option<Cache>);

impl Store for SolidCache {
    fn get(&self, key: &str) -> Option<Mesh> {
        self.0.as_ref()?.get(&name(key), |bytes| unpacked(bytes, key))
    }

    fn put(&self, key: &str, mesh: &Mesh) {
        if let Some(cache) = &self.0 {
            cache.keep(&name(key), &packed(mesh, key));
        }
    }
}

fn name(key: &str) -> String {
    format!("{key}.solid")
}

fn head(key: &str) -> Vec<u8> {
    format!("hotside kept solid {FORMAT} {} {key}\n", env!("CARGO_PKG_VERSION")).into_bytes()
}

/// A kept solid's bytes.
fn packed(mesh: &Mesh, key: &str) -> Vec<u8> {
    let mut bytes = head(key);
    for count in [mesh.points.len(), mesh.triangles.len()] {
        bytes.extend((count as u64).to_le_bytes());
    }
    bytes.extend(mesh.points.iter().flat_map(|point| point.to_array()).flat_map(f64::to_le_bytes));
    bytes.extend(mesh.triangles.iter().flatten().flat_map(|corner| corner.to_le_bytes()));
    let sum = xxh3_128(&bytes);
    bytes.extend(sum.to_le_bytes());
    bytes
}

/// The solid of such bytes; `None` where they are damaged or another's.
fn unpacked(bytes: &[u8], key: &str) -> Option<Mesh> {
    let (bytes, sum) = bytes.split_last_chunk::<16>()?;
    let rest = bytes.strip_prefix(&head(key)[..])?;
    if xxh3_128(bytes) != u128::from_le_bytes(*sum) {
        return None;
    }
    let (points, rest) = rest.split_first_chunk::<8>()?;
    let (triangles, rest) = rest.split_first_chunk::<8>()?;
    let [points, triangles] = [points, triangles].map(|count| usize::try_from(u64::from_le_bytes(*count)));
    let (points, triangles) = (points.ok()?, triangles.ok()?);
    let (places, corners) = rest.split_at_checked(points.checked_mul(24)?)?;
    if corners.len() != triangles.checked_mul(12)? {
        return None;
    }
    let points = places.as_chunks::<24>().0.iter().map(point).collect();
    let corner = |word: &[u8; 4]| u32::from_le_bytes(*word);
    let corners: Vec<u32> = corners.as_chunks::<4>().0.iter().map(corner).collect();
    let mesh = Mesh { points, triangles: corners.as_chunks::<3>().0.to_vec() };
    let within = mesh.triangles.iter().flatten().all(|corner| (*corner as usize) < mesh.points.len());
    within.then_some(mesh)
}

fn point(bytes: &[u8; 24]) -> DVec3 {
    let words = bytes.as_chunks::<8>().0;
    DVec3::from_array(std::array::from_fn(|i| f64::from_le_bytes(words[i])))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pyramid() -> Mesh {
        Mesh {
            points: vec![DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::new(0.1, -0.2, 3.5)],
            triangles: vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]],
        }
    }

    #[test]
    fn a_solid_reads_back_to_the_bit_under_its_own_key_only() {
        let bytes = packed(&pyramid(), "one");
        assert_eq!(unpacked(&bytes, "one"), Some(pyramid()));
        assert_eq!(unpacked(&bytes, "two"), None);
    }

    #[test]
    fn a_damaged_solid_is_none() {
        let whole = packed(&pyramid(), "one");
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] ^= 16;
            assert_eq!(unpacked(&bytes, "one"), None, "byte {at}");
            assert_eq!(unpacked(&whole[..at], "one"), None, "{at} bytes");
        }
    }
}
