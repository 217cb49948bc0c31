//! Files damaged at random, the same way every time.

/// A linear congruential generator with Knuth's constants.
pub struct Dice(pub u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mixed = self.0 ^ (self.0 >> 29);
        mixed.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 16
    }

    /// Below `end`, or 0.
    pub fn below(&mut self, end: usize) -> usize {
        (self.roll() % end.max(1) as u64) as usize
    }

    fn pick<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        of[self.below(of.len())]
    }

    /// A range within `length`, mostly short.
    fn range(&mut self, length: usize) -> std::ops::Range<usize> {
        let most = [1, 4, 16, 64, length][self.below(5)].min(length);
        let begin = self.below(length);
        begin..(begin + 1 + self.below(most)).min(length)
    }
}

/// Words that a number's place can hold and should not.
const WORDS: [&str; 24] = [
    "nan",
    "inf",
    "-inf",
    "0",
    "-0",
    "-1",
    "1",
    "3",
    "255",
    "65536",
    "4294967295",
    "4294967296",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551615",
    "1e308",
    "1e-320",
    "1e999",
    "1,5",
    "1/2/3",
    "-1//",
    "\\",
    "",
    "#",
];

/// Between one and five kinds of damage, one after another. `other` is a file to take pieces from.
pub fn damage(dice: &mut Dice, file: &mut Vec<u8>, other: &[u8]) {
    for _ in 0..1 + dice.below(5) {
        if file.is_empty() {
            return;
        }
        match dice.below(11) {
            0 => flip(dice, file),
            1 => file.truncate(dice.below(file.len())),
            2 => drop(file.drain(dice.range(file.len()))),
            3 => splice(dice, file, other),
            4 => overwrite(dice, file, other),
            5 | 6 => whole(dice, file),
            7 => real(dice, file),
            8 => word(dice, file),
            9 => digits(dice, file),
            _ => swap(dice, file),
        }
    }
}

fn flip(dice: &mut Dice, file: &mut [u8]) {
    for _ in 0..1 + dice.below(8) {
        let at = dice.below(file.len());
        file[at] ^= 1 << dice.below(8);
    }
}

/// A piece of this file or the other put in.
fn splice(dice: &mut Dice, file: &mut Vec<u8>, other: &[u8]) {
    let from = if dice.below(2) == 0 || other.is_empty() { file.clone() } else { other.to_vec() };
    let piece = &from[dice.range(from.len())];
    let at = dice.below(file.len() + 1);
    file.splice(at..at, piece.iter().copied());
}

/// A piece of the other file, or one byte all over, laid over this.
fn overwrite(dice: &mut Dice, file: &mut [u8], other: &[u8]) {
    let range = dice.range(file.len());
    let (begin, byte) = (dice.below(other.len()), dice.below(256) as u8);
    let from_other = dice.below(2) == 0;
    for (k, at) in range.enumerate() {
        file[at] = if from_other { other.get(begin + k).copied().unwrap_or(byte) } else { byte };
    }
}

fn lay(file: &mut [u8], at: usize, bytes: &[u8]) {
    for (slot, byte) in file[at..].iter_mut().zip(bytes) {
        *slot = *byte;
    }
}

/// A whole number at its extremes, of some width and order.
fn whole(dice: &mut Dice, file: &mut [u8]) {
    let length = file.len() as u64;
    let values =
        [0, 1, 2, 0x7f, 0xff, 0x7fff, 0xffff, 0x7fff_ffff, 0xffff_ffff, 1 << 32, u64::MAX, 1 << 63, length];
    let value = values[dice.below(values.len())].wrapping_add(dice.below(3) as u64).wrapping_sub(1);
    let width = [1, 2, 4, 8][dice.below(4)];
    let at = [dice.below(file.len()), dice.below(file.len().min(400))][dice.below(2)];
    let bytes = if dice.below(4) == 0 { value.to_be_bytes() } else { value.to_le_bytes() };
    lay(file, at, &bytes[..width]);
}

fn real(dice: &mut Dice, file: &mut [u8]) {
    let value = [f64::NAN, f64::INFINITY, -0.0, 1e300, -1e30, 5e-324, 1e12][dice.below(7)];
    let at = dice.below(file.len());
    match dice.below(4) {
        0 => lay(file, at, &value.to_le_bytes()),
        1 => lay(file, at, &value.to_be_bytes()),
        2 => lay(file, at, &(value as f32).to_le_bytes()),
        _ => lay(file, at, &(value as f32).to_be_bytes()),
    }
}

/// Where words begin and end, near a place.
fn word_at(dice: &mut Dice, file: &[u8]) -> std::ops::Range<usize> {
    let is_word = |byte: &u8| !byte.is_ascii_whitespace() && !b",;\"<>/".contains(byte);
    let at = dice.below(file.len());
    let begin = at - file[..at].iter().rev().take_while(|byte| is_word(byte)).count();
    let end = at + file[at..].iter().take_while(|byte| is_word(byte)).count();
    begin..end
}

fn word(dice: &mut Dice, file: &mut Vec<u8>) {
    let range = word_at(dice, file);
    file.splice(range, dice.pick(&WORDS).bytes());
}

/// Digits made others, as many.
fn digits(dice: &mut Dice, file: &mut [u8]) {
    let range = word_at(dice, file);
    let digit = [b'9', b'0', b'1', b'8'][dice.below(4)];
    for byte in file[range].iter_mut().filter(|byte| byte.is_ascii_digit()) {
        *byte = digit;
    }
}

fn swap(dice: &mut Dice, file: &mut Vec<u8>) {
    let (a, b) = (word_at(dice, file), word_at(dice, file));
    let (a, b) = if a.start <= b.start { (a, b) } else { (b, a) };
    if a.end <= b.start {
        let (first, second) = (file[a.clone()].to_vec(), file[b.clone()].to_vec());
        file.splice(b, first);
        file.splice(a, second);
    }
}

/// Makes an E57 file's pages whole, their checksums right and the stated length true, so that the damage gets
/// past them.
pub fn mend_pages(file: &mut Vec<u8>) {
    file.resize(file.len().div_ceil(1024).max(1) * 1024, 0);
    let length = file.len() as u64;
    lay(file, 16, &length.to_le_bytes());
    for page in file.chunks_exact_mut(1024) {
        let checksum = crc32c(&page[..1020]);
        page[1020..].copy_from_slice(&checksum.to_be_bytes());
    }
}

/// The Castagnoli polynomial, reversed.
fn crc32c(bytes: &[u8]) -> u32 {
    let mut crc = !0_u32;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0x82f6_3b78 & (crc & 1).wrapping_neg());
        }
    }
    !crc
}
