//! Random solids and triangles, from a seed.
#![allow(dead_code)]

use distance::{Bend, Capsule, Cone, Cylinder, Solid};
use geom::{DVec3, Frame};

/// Numbers in a fixed order (Vigna's splitmix64).
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    pub fn vector(&mut self, size: f64) -> DVec3 {
        DVec3::new(self.between(-size, size), self.between(-size, size), self.between(-size, size))
    }

    pub fn direction(&mut self) -> DVec3 {
        loop {
            let v = self.vector(1.0);
            if v.length() > 0.1 && v.length() <= 1.0 {
                return v.normalize();
            }
        }
    }

    pub fn frame(&mut self, size: f64) -> Frame {
        loop {
            // Now and then along the axes, where things are built square.
            let along = if self.below(4) == 0 { DVec3::X } else { self.direction() };
            let towards = if self.below(4) == 0 { DVec3::Z } else { self.direction() };
            if let Some(frame) = Frame::new(self.vector(size), along, towards) {
                return frame;
            }
        }
    }

    pub fn cylinder(&mut self) -> Cylinder {
        let (length, radius) = (self.between(30.0, 120.0), self.between(5.0, 30.0));
        Cylinder::square(self.frame(50.0), length, radius)
    }

    pub fn mitred(&mut self) -> Cylinder {
        let mut c = self.cylinder();
        c.length = c.radius * self.between(2.5, 5.0);
        let lean = |dice: &mut Dice| {
            (c.frame.along + c.frame.outward(dice.between(0.0, 6.0)) * dice.between(0.0, 1.0)).normalize()
        };
        c.ends = [-lean(self), lean(self)];
        c
    }

    pub fn bend(&mut self) -> Bend {
        let radius = self.between(5.0, 30.0);
        let clr = if self.below(5) == 0 { radius } else { radius * self.between(1.0, 4.0) };
        let angle = if self.below(4) == 0 { self.between(3.0, 6.2) } else { self.between(0.05, 3.1) };
        Bend { frame: self.frame(50.0), clr, angle, radius }
    }

    pub fn cone(&mut self) -> Cone {
        let mut radii = [self.between(0.0, 40.0), self.between(1.0, 40.0)];
        if self.below(5) == 0 {
            radii[self.below(2)] = 0.0;
        }
        Cone { frame: self.frame(50.0), length: self.between(5.0, 100.0), radii }
    }

    pub fn capsule(&mut self) -> Capsule {
        let from = self.vector(50.0);
        let to = if self.below(4) == 0 { from } else { from + self.vector(80.0) };
        Capsule { from, to, radius: self.between(1.0, 30.0) }
    }

    /// A solid of the kind `kind % 5`.
    pub fn solid(&mut self, kind: usize) -> Solid {
        match kind % 5 {
            0 => Solid::Cylinder(self.cylinder()),
            1 => Solid::Cylinder(self.mitred()),
            2 => Solid::Bend(self.bend()),
            3 => Solid::Cone(self.cone()),
            _ => Solid::Capsule(self.capsule()),
        }
    }

    /// Triangles of many sizes; some have shrunk to a line or a point, some lie square to the axes.
    pub fn triangle(&mut self) -> [DVec3; 3] {
        let size = [0.01, 3.0, 30.0, 300.0, 3000.0][self.below(5)];
        let middle = self.vector(120.0);
        let mut corners = [0; 3].map(|_| middle + self.vector(size));
        match self.below(12) {
            0 => corners[2] = corners[0],
            1 => corners = [corners[0]; 3],
            2 => corners[2] = 0.5 * (corners[0] + corners[1]),
            3 => corners.iter_mut().for_each(|c| c.x = middle.x),
            4 => corners.iter_mut().for_each(|c| c.z = middle.z),
            _ => {}
        }
        corners
    }
}
