//! Formed ends: the end of a tube expanded or swaged until it meets another.

use std::f64::consts::PI;

use crate::section::Section;

/// An end of a tube formed round on a mandrel or in a die: a taper away from the tube's own section, then a
/// land with the new one, cut square. Both walls of the taper are straight from one end to the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// Length of the taper along the axis, mm.
    pub taper: f64,
    /// Length of the land, mm.
    pub land: f64,
    /// Outside diameter of the land, mm.
    pub od: f64,
    /// Wall of the land, mm.
    pub wall: f64,
}

impl Form {
    /// A tube's end formed until its outside is `od`.
    ///
    /// Forming stretches the wall around: under uniaxial hoop stress, axial strain and thickness strain are
    /// each half the hoop strain, the other way (plasticity at constant volume, from memory). So with the
    /// mean diameter d the wall goes as 1 / sqrt(d), and so does the length.
    pub fn of(section: &Section, od: f64, taper: f64, land: f64) -> Form {
        let before = section.od - section.wall;
        let mut wall = section.wall;
        // The wall changes by half of what the diameter does: this closes in on it by a factor of od / wall.
        for _ in 0..16 {
            wall = section.wall * (before / (od - wall)).sqrt();
        }
        Form { taper, land, od, wall }
    }

    /// Length of the formed end along the axis, mm.
    pub fn length(&self) -> f64 {
        self.taper + self.land
    }

    /// Length of tube that becomes the formed end, mm: as much as holds its volume. More than its length
    /// where it is expanded, less where it is swaged.
    pub fn consumed(&self, section: &Section) -> f64 {
        self.volume(section) / section.area()
    }

    /// By which part of itself the mean diameter grows; below 0 where it shrinks.
    pub fn stretch(&self, section: &Section) -> f64 {
        (self.od - self.wall) / (section.od - section.wall) - 1.0
    }

    /// Volume of metal in taper and land, mm3.
    pub fn volume(&self, section: &Section) -> f64 {
        let frustum = |a: f64, b: f64| PI * self.taper / 3.0 * (a * a + a * b + b * b);
        let (outer, inner) = (0.5 * self.od, 0.5 * self.od - self.wall);
        let taper = frustum(section.outer(), outer) - frustum(section.inner(), inner);
        taper + PI * (outer * outer - inner * inner) * self.land
    }

    /// Area of its outside, mm2.
    pub fn outside_area(&self, section: &Section) -> f64 {
        let (from, to) = (section.outer(), 0.5 * self.od);
        let slant = (self.taper * self.taper + (to - from) * (to - from)).sqrt();
        PI * (from + to) * slant + 2.0 * PI * to * self.land
    }

    /// Area of outside, bore and end that it has more than the tube's own end of that length, mm2.
    pub(crate) fn added_area(&self, section: &Section) -> f64 {
        let skin = |from: f64, to: f64| {
            let slant = (self.taper * self.taper + (to - from) * (to - from)).sqrt();
            PI * (from + to) * slant + 2.0 * PI * (to * self.land - from * self.length())
        };
        let (outer, inner) = (0.5 * self.od, 0.5 * self.od - self.wall);
        let end = PI * (outer * outer - inner * inner) - section.area();
        skin(section.outer(), outer) + skin(section.inner(), inner) + end
    }

    /// Radius at `depth` in the wall (0 bore, 1 outside) and `from_end` mm from the formed end, mm.
    pub fn radius(&self, section: &Section, depth: f64, from_end: f64) -> f64 {
        let formed = 0.5 * self.od - (1.0 - depth) * self.wall;
        let own = section.inner() + depth * section.wall;
        if from_end <= self.land {
            formed
        } else if from_end < self.length() {
            formed + (own - formed) * (from_end - self.land) / self.taper
        } else {
            own
        }
    }
}
