//! Points of equal coordinates made one.

use geom::DVec3;

/// Slots that hold no point.
const FREE: u32 = u32::MAX;

/// Points without their doubles, numbered as they first came. A table of indices with open addressing:
/// 4 bytes a slot, at most 3 slots of 4 in use.
pub(crate) struct Weld {
    points: Vec<DVec3>,
    slots: Vec<u32>,
}

impl Weld {
    /// With room for `expected` different points before it has to grow.
    pub(crate) fn with_room(expected: usize) -> Weld {
        let slots = (expected + expected / 3 + 8).next_power_of_two();
        Weld { points: Vec::with_capacity(expected), slots: vec![FREE; slots] }
    }

    /// The index of `point`, which must be finite; -0 is 0.
    pub(crate) fn index_of(&mut self, point: DVec3) -> u32 {
        // -0 + 0 is 0.
        let point = point + DVec3::ZERO;
        if (self.points.len() + 1) * 4 > self.slots.len() * 3 {
            self.grow();
        }
        let slot = self.slot_of(point);
        if self.slots[slot] == FREE {
            self.slots[slot] = self.points.len() as u32;
            self.points.push(point);
        }
        self.slots[slot]
    }

    /// The points, each once.
    pub(crate) fn into_points(mut self) -> Vec<DVec3> {
        self.slots = Vec::new();
        self.points.shrink_to_fit();
        self.points
    }

    /// The slot that holds `point`, or the free one where it belongs.
    fn slot_of(&self, point: DVec3) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = hash(point) as usize & mask;
        while self.slots[slot] != FREE && self.points[self.slots[slot] as usize] != point {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        self.slots = vec![FREE; self.slots.len() * 2];
        for index in 0..self.points.len() {
            let slot = self.slot_of(self.points[index]);
            self.slots[slot] = index as u32;
        }
    }
}

/// The same on every machine; every bit of the coordinates bears on the low bits.
fn hash(point: DVec3) -> u64 {
    let mut hash = 0_u64;
    for value in point.to_array() {
        hash = (hash ^ value.to_bits()).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        hash ^= hash >> 32;
    }
    hash
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubles_are_one_and_minus_zero_is_zero() {
        let mut weld = Weld::with_room(0);
        assert_eq!(weld.index_of(DVec3::new(0.0, 1.0, 2.0)), 0);
        assert_eq!(weld.index_of(DVec3::new(-0.0, 1.0, 2.0)), 0);
        for k in 0..1000 {
            assert_eq!(weld.index_of(DVec3::new(f64::from(k), 0.5, 0.0)), k as u32 + 1);
        }
        for k in 0..1000 {
            assert_eq!(weld.index_of(DVec3::new(f64::from(k), 0.5, -0.0)), k as u32 + 1);
        }
        let points = weld.into_points();
        assert_eq!(points.len(), 1001);
        assert!(points[0].x.is_sign_positive());
    }
}
