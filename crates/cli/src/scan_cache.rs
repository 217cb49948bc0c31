//! Scans kept ready between runs: placed, filtered, with their tree.
//!
//! One file a scan, `<content>-<use>.scan`: the hash of the scan file's bytes, and that of its placement, its filter,
//! its format, [`FORMAT`] and this program's version. It holds a head, both hashes, what is known of the scan, the
//! packed tree, and a checksum of all that. What does not read back whole and fitting is made anew.

use clearance::{Placed, Removed, Rim, ScanTold};
use distance::Tree;
use geom::DVec3;
use spec::design::ScanFile;
use xxhash_rust::xxh3::xxh3_128;

use crate::cache::Cache;

/// Changes whenever the same scan would be kept otherwise: its layout here, or how points, filter, rims or tree are
/// made.
const FORMAT: u32 = 3;

/// The first bytes of a kept scan.
const HEAD: &[u8] = b"hotside kept scan\n";

/// Smaller files are read as fast as they would be found, bytes.
const LEAST: usize = 2 << 20;

/// Scans in the user's cache.
pub struct ScanCache(Cache);

/// Which scan, put to which use.
pub struct Key {
    content: u128,
    to_use: u128,
}

impl ScanCache {
    /// Scans in the user's cache; `None` where there is none.
    pub fn of_user() -> Option<ScanCache> {
        Cache::of_user().map(ScanCache)
    }

    /// The scan that was kept under a key.
    pub fn get(&self, key: &Key) -> Option<Placed> {
        self.0.get(&key.name(), |bytes| unpacked(bytes, key))
    }

    /// Keeps a scan.
    pub fn keep(&self, key: &Key, placed: &Placed) {
        self.0.keep(&key.name(), &packed(placed, key));
    }
}

impl Key {
    /// The key of a scan's bytes as a spec uses it; `None` where they are not worth keeping.
    pub fn of(bytes: &[u8], file: &ScanFile) -> Option<Key> {
        if bytes.len() < LEAST {
            return None;
        }
        let placement = &file.placement;
        let numbers = placement.linear.to_cols_array().into_iter().chain(placement.shift.to_array());
        let mut words: Vec<u8> = numbers.flat_map(|x| x.to_bits().to_le_bytes()).collect();
        let filter = file.isolated.map(|i| (i.within.to_bits(), i.least));
        let version = env!("CARGO_PKG_VERSION");
        words.extend(format!("{FORMAT} {version} {} {filter:?} {}", file.format.name(), bytes.len()).bytes());
        Some(Key { content: xxh3_128(bytes), to_use: xxh3_128(&words) })
    }

    fn name(&self) -> String {
        format!("{:032x}-{:032x}.scan", self.content, self.to_use)
    }

    fn head(&self) -> Vec<u8> {
        [HEAD, &self.content.to_le_bytes(), &self.to_use.to_le_bytes()].concat()
    }
}

/// A kept scan's bytes.
fn packed(placed: &Placed, key: &Key) -> Vec<u8> {
    let ScanTold { points, triangles, bounds, removed, rims } = &placed.told;
    let mut bytes = key.head();
    let mut count = |n: usize| bytes.extend((n as u64).to_le_bytes());
    [*points, *triangles, removed.points, removed.triangles, rims.len()].into_iter().for_each(&mut count);
    rims.iter().for_each(|rim| count(rim.points.len()));
    for point in bounds.iter().chain(rims.iter().flat_map(|rim| &rim.points)) {
        bytes.extend(point.to_array().into_iter().flat_map(f64::to_le_bytes));
    }
    let told = rims.iter().flat_map(|rim| [rim.across, rim.facing]);
    bytes.extend(told.flat_map(f64::to_le_bytes));
    let mut noise = Vec::new();
    placed.noise.pack(&mut noise);
    bytes.extend((noise.len() as u64).to_le_bytes());
    bytes.extend(noise);
    placed.tree.pack(&mut bytes);
    let sum = xxh3_128(&bytes);
    bytes.extend(sum.to_le_bytes());
    bytes
}

/// The scan of such bytes; `None` where they are damaged or another's.
fn unpacked(bytes: &[u8], key: &Key) -> Option<Placed> {
    let (bytes, sum) = bytes.split_last_chunk::<16>()?;
    let mut rest = bytes.strip_prefix(&key.head()[..])?;
    if xxh3_128(bytes) != u128::from_le_bytes(*sum) {
        return None;
    }
    let mut next = || -> Option<[u8; 8]> {
        let (word, others) = rest.split_first_chunk::<8>()?;
        rest = others;
        Some(*word)
    };
    let mut count = || usize::try_from(u64::from_le_bytes(next()?)).ok();
    let (points, triangles) = (count()?, count()?);
    let removed = Removed { points: count()?, triangles: count()? };
    let lengths = (0..count()?).map(|_| count()).collect::<Option<Vec<usize>>>()?;
    let mut point = || {
        let [x, y, z] = [next()?, next()?, next()?].map(f64::from_le_bytes);
        Some(DVec3::new(x, y, z))
    };
    let bounds = [point()?, point()?];
    let rim = |length: usize| (0..length).map(|_| point()).collect::<Option<Vec<DVec3>>>();
    let loops = lengths.into_iter().map(rim).collect::<Option<Vec<Vec<DVec3>>>>()?;
    let mut number = || next().map(f64::from_le_bytes);
    let rim = |points| Some(Rim { points, across: number()?, facing: number()? });
    let rims = loops.into_iter().map(rim).collect::<Option<Vec<Rim>>>()?;
    let length = usize::try_from(u64::from_le_bytes(next()?)).ok()?;
    let (noise, rest) = rest.split_at_checked(length)?;
    let [noise, tree] = [Tree::unpacked(noise).ok()?, Tree::unpacked(rest).ok()?];
    let fits = tree.points().len() == points && tree.triangles().len() == triangles;
    fits.then_some(Placed { tree, noise, told: ScanTold { points, triangles, bounds, removed, rims } })
}
