//! Chance that is the same everywhere: a small generator, and noise that changes smoothly from place to place.

/// The generator SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
pub struct Random(u64);

impl Random {
    /// A stream of its own for each seed and number.
    pub fn new(seed: u64, number: u64) -> Random {
        Random(mixed(seed ^ mixed(number.wrapping_add(STEP))))
    }

    /// A number in [-1, 1).
    pub fn signed(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(STEP);
        2.0 * unit(mixed(self.0)) - 1.0
    }

    /// Near to a normal spread with deviation 1: the sum of three numbers in [-1, 1).
    pub fn normal(&mut self) -> f64 {
        self.signed() + self.signed() + self.signed()
    }
}

/// A number in [0, 1) that changes smoothly over cells of this many mm: lattice values, blended.
pub fn smooth_noise(seed: u64, [u, v]: [f64; 2], cell: f64) -> f64 {
    let (x, y) = (u / cell, v / cell);
    let (i, j) = (x.floor(), y.floor());
    let (s, t) = (eased(x - i), eased(y - j));
    let value = |a: f64, b: f64| {
        let [a, b] = [a as i64 as u64, b as i64 as u64];
        unit(mixed(seed ^ mixed(a.wrapping_mul(STEP) ^ mixed(b.wrapping_add(1)))))
    };
    let low = value(i, j) * (1.0 - s) + value(i + 1.0, j) * s;
    let high = value(i, j + 1.0) * (1.0 - s) + value(i + 1.0, j + 1.0) * s;
    low * (1.0 - t) + high * t
}

/// From 0 to 1 as `x` does, flat at both ends, and no further.
pub fn eased(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

fn mixed(x: u64) -> u64 {
    let x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

fn unit(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1_u64 << 53) as f64
}

const STEP: u64 = 0x9e37_79b9_7f4a_7c15;
