//! How far bought tube may be off its size, from the standards that it is made to, as trade sheets reproduce
//! them.

use geom::unit::INCH;

use crate::section::Section;

/// Limits of a tube's size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// The outside diameter may be this much larger, mm.
    pub over: f64,
    /// The outside diameter may be this much smaller, mm.
    pub under: f64,
    /// The wall may be this part of itself thicker or thinner.
    pub wall: f64,
    /// The standard, and how far it holds.
    pub source: &'static str,
}

impl Tolerance {
    /// The tolerance of a tube as bought.
    ///
    /// Stainless of the 300 and 400 series: ASTM A554 (welded mechanical tube); outside its table ASTM A269
    /// (seamless and welded, general service). Mild steel: ASTM A513 type 5 (drawn over mandrel). Nickel
    /// alloys and titanium: no figures were confirmed, and those of ASTM A269 stand in. Walls 10 % (A554,
    /// A269); of A513, where none was confirmed, the same.
    pub fn of(section: &Section) -> Tolerance {
        let symmetric = |off: f64, source| Tolerance { over: off, under: off, wall: WALL, source };
        match section.alloy.name {
            "304" | "321" | "347" | "409" => match welded(section) {
                Some(off) => symmetric(off, A554),
                None => symmetric(general(section.od), A269),
            },
            "mild steel" => Tolerance { over: drawn(section.od), under: 0.0, wall: WALL, source: A513 },
            _ => symmetric(general(section.od), STAND_IN),
        }
    }

    /// The smallest and the largest outside diameter, mm.
    pub fn outside(&self, section: &Section) -> [f64; 2] {
        [section.od - self.under, section.od + self.over]
    }

    /// The smallest and the largest bore, mm.
    pub fn bore(&self, section: &Section) -> [f64; 2] {
        let [small, large] = self.outside(section);
        [small - 2.0 * section.wall * (1.0 + self.wall), large - 2.0 * section.wall * (1.0 - self.wall)]
    }
}

const A554: &str = "ASTM A554 as trade sheets reproduce it, wall 10 %";
const A269: &str = "ASTM A269 as trade sheets reproduce it, wall 10 %";
const A513: &str =
    "ASTM A513 type 5 (drawn over mandrel) as a trade sheet reproduces it; wall 10 % unconfirmed";
const STAND_IN: &str = "ASTM A269 as a stand-in: this alloy's own tolerance was not confirmed";

/// A wall's tolerance, as a part of it.
const WALL: f64 = 0.10;

/// ASTM A554: outside diameter, mm, of tubes above the first and up to the second size (inches) with a wall
/// in the range that follows (inches): plus or minus the last (inches).
const WELDED: [([f64; 2], [f64; 2], f64); 7] = [
    ([0.0, 0.4999], [0.020, 0.049], 0.004),
    ([0.4999, 1.0], [0.020, 0.065], 0.005),
    ([1.0, 1.5], [0.025, 0.065], 0.008),
    ([1.5, 2.0], [0.025, 0.049], 0.010),
    ([1.5, 2.0], [0.0491, 0.083], 0.011),
    ([2.0, 2.5], [0.032, 0.065], 0.012),
    ([2.5, 3.5], [0.032, 0.165], 0.014),
];

/// The diameter's tolerance by ASTM A554, mm, where its table has the size.
fn welded(section: &Section) -> Option<f64> {
    let (od, wall) = (section.od / INCH, section.wall / INCH);
    // Metric sizes stand a little beside the table's inches.
    let near = 1e-3;
    let holds = |row: &&([f64; 2], [f64; 2], f64)| {
        od > row.0[0] + near && od <= row.0[1] + near && wall >= row.1[0] - near && wall <= row.1[1] + near
    };
    WELDED.iter().find(holds).map(|row| row.2 * INCH)
}

/// The diameter's tolerance by ASTM A269, mm, for outside diameters from 0 to 203.2 mm; beyond, its last.
fn general(od: f64) -> f64 {
    let rows = [(38.1, 0.13), (88.9, 0.25), (139.7, 0.38)];
    rows.iter().find(|row| od < row.0).map_or(0.76, |row| row.1)
}

/// How much larger a tube by ASTM A513 type 5 may be, mm; it may not be smaller.
fn drawn(od: f64) -> f64 {
    let rows = [(1.7, 0.005), (2.1, 0.006), (2.5, 0.007), (2.9, 0.008), (3.3, 0.009)];
    rows.iter().find(|row| od / INCH < row.0 - 1e-3).map_or(0.010, |row| row.1) * INCH
}
