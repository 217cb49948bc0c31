//! Tube sections and the pipe sizes of ASME B36.10M and B36.19M.

use std::f64::consts::PI;

use crate::alloy::Alloy;

/// A round tube's cross-section and what it is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Outside diameter, mm.
    pub od: f64,
    /// Wall thickness, mm; less than half of `od`.
    pub wall: f64,
    /// What it is made of.
    pub alloy: &'static Alloy,
}

impl Section {
    /// Outside radius, mm.
    pub fn outer(&self) -> f64 {
        0.5 * self.od
    }

    /// Bore radius, mm.
    pub fn inner(&self) -> f64 {
        0.5 * self.od - self.wall
    }

    /// Bore diameter, mm.
    pub fn bore(&self) -> f64 {
        self.od - 2.0 * self.wall
    }

    /// Area of metal, mm2: `PI (od - wall) wall`.
    pub fn area(&self) -> f64 {
        PI * (self.od - self.wall) * self.wall
    }

    /// Mass of a metre, kg.
    pub fn mass_per_metre(&self) -> f64 {
        self.area() * self.alloy.density * 1e-6
    }
}

/// One row of the pipe table: nominal size and its dimensions.
struct Pipe {
    nominal: &'static str,
    od: f64,
    /// Walls of schedules 5S, 10S, 40S and 80S.
    walls: [f64; 4],
}

/// Schedules in the order of [`Pipe::walls`].
const SCHEDULES: [&str; 4] = ["5S", "10S", "40S", "80S"];

/// Outside diameter and wall in mm of nominal pipe size `nominal` (`1-1/2`) in `schedule` (`10S`, `40`).
///
/// From ASME B36.19M (the S schedules) and B36.10M, whose 5, 10, 40 and 80 have the same walls from
/// NPS 1 to 4. Values as tabulated by the PyPI library fluids 1.3.1. `None` outside that table.
pub fn pipe(nominal: &str, schedule: &str) -> Option<(f64, f64)> {
    let schedule = schedule.trim().to_ascii_uppercase();
    let column = SCHEDULES.iter().position(|s| *s == schedule || s.trim_end_matches('S') == schedule)?;
    let row = PIPES.iter().find(|p| p.nominal == nominal.trim())?;
    Some((row.od, row.walls[column]))
}

/// The nominal sizes and schedules that [`pipe`] knows, for messages.
pub fn pipe_names() -> (Vec<&'static str>, &'static [&'static str]) {
    (PIPES.iter().map(|p| p.nominal).collect(), &SCHEDULES)
}

const PIPES: [Pipe; 8] = [
    Pipe { nominal: "1", od: 33.4, walls: [1.65, 2.77, 3.38, 4.55] },
    Pipe { nominal: "1-1/4", od: 42.2, walls: [1.65, 2.77, 3.56, 4.85] },
    Pipe { nominal: "1-1/2", od: 48.3, walls: [1.65, 2.77, 3.68, 5.08] },
    Pipe { nominal: "2", od: 60.3, walls: [1.65, 2.77, 3.91, 5.54] },
    Pipe { nominal: "2-1/2", od: 73.0, walls: [2.11, 3.05, 5.16, 7.01] },
    Pipe { nominal: "3", od: 88.9, walls: [2.11, 3.05, 5.49, 7.62] },
    Pipe { nominal: "3-1/2", od: 101.6, walls: [2.11, 3.05, 5.74, 8.08] },
    Pipe { nominal: "4", od: 114.3, walls: [2.11, 3.05, 6.02, 8.56] },
];
