//! Points of equal coordinates made one, in their order, with little memory.

use geom::DVec3;

/// Slots that hold no point.
const FREE: u32 = u32::MAX;

/// Points without their doubles, numbered as they first came.
pub(crate) struct Weld {
    points: Vec<DVec3>,
    slots: Slots,
}

impl Weld {
    /// With room for `expected` different points before it has to grow.
    pub(crate) fn with_room(expected: usize) -> Weld {
        Weld { points: Vec::with_capacity(expected), slots: Slots::for_points(expected) }
    }

    /// The index of `point`, which must be finite; -0 is 0.
    pub(crate) fn index_of(&mut self, point: DVec3) -> u32 {
        let point = unsigned(point);
        if self.slots.full(self.points.len()) {
            self.slots = Slots::of(&self.points);
        }
        let next = self.points.len() as u32;
        let index = self.slots.index_of(&self.points, point, next);
        if index == next {
            self.points.push(point);
        }
        index
    }

    /// The points, each once.
    pub(crate) fn into_points(self) -> Vec<DVec3> {
        let Weld { mut points, slots } = self;
        drop(slots);
        points.shrink_to_fit();
        points
    }
}

/// Makes equal points one; of each point as it was, its new index.
pub(crate) fn merge(points: &mut Vec<DVec3>) -> Vec<u32> {
    let mut slots = Slots::for_points(points.len());
    let mut kept = 0;
    let mut merged = Vec::with_capacity(points.len());
    for at in 0..points.len() {
        let point = unsigned(points[at]);
        let index = slots.index_of(&points[..kept], point, kept as u32);
        if index as usize == kept {
            points[kept] = point;
            kept += 1;
        }
        merged.push(index);
    }
    points.truncate(kept);
    points.shrink_to_fit();
    merged
}

/// -0 made 0.
fn unsigned(point: DVec3) -> DVec3 {
    point + DVec3::ZERO
}

/// A table of indices of points with open addressing: 4 bytes a slot, at most 3 slots of 4 in use.
struct Slots(Vec<u32>);

impl Slots {
    fn for_points(count: usize) -> Slots {
        Slots(vec![FREE; (count + count / 3 + 8).next_power_of_two()])
    }

    /// Of `points`, all different, with room for as many again.
    fn of(points: &[DVec3]) -> Slots {
        let mut slots = Slots::for_points(points.len() * 2);
        for (index, point) in points.iter().enumerate() {
            slots.index_of(points, *point, index as u32);
        }
        slots
    }

    fn full(&self, points: usize) -> bool {
        (points + 1) * 4 > self.0.len() * 3
    }

    /// The index of the point that equals `point`; where none does, `next`, which is noted for it.
    fn index_of(&mut self, points: &[DVec3], point: DVec3, next: u32) -> u32 {
        let mask = self.0.len() - 1;
        let mut slot = hash(point) as usize & mask;
        while self.0[slot] != FREE {
            let index = self.0[slot];
            if points[index as usize] == point {
                return index;
            }
            slot = (slot + 1) & mask;
        }
        self.0[slot] = next;
        next
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
