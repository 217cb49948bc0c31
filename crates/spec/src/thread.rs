//! Which thread a hole is for, and how wide its hex is.

use geom::unit::{INCH, Units};

/// How far a hole may be outside its range and still be of it, mm: drills are sold in tenths and in 64ths.
const SLACK: f64 = 0.05;

/// A thread's clearance holes, from the fine to the coarse series, and the width across flats of its hex.
struct Hex {
    holes: (f64, f64),
    across: f64,
}

const fn hex(least: f64, most: f64, across: f64) -> Hex {
    Hex { holes: (least, most), across }
}

/// M5 to M16, mm: holes of ISO 273, hexes of ISO 4014 and ISO 4032; all from memory.
const METRIC: [Hex; 7] = [
    hex(5.3, 5.8, 8.0),
    hex(6.4, 7.0, 10.0),
    hex(8.4, 10.0, 13.0),
    hex(10.5, 12.0, 16.0),
    hex(13.0, 14.5, 18.0),
    hex(15.0, 16.5, 21.0),
    hex(17.0, 18.5, 24.0),
];

/// 1/4 to 5/8, in: holes of ASME B18.2.8, hexes of ASME B18.2.1 and B18.2.2, the wider of bolt and nut; all from
/// memory.
const INCHES: [Hex; 6] = [
    hex(0.266, 0.297, 0.4375),
    hex(0.328, 0.359, 0.5),
    hex(0.391, 0.422, 0.5625),
    hex(0.453, 0.484, 0.6875),
    hex(0.531, 0.609, 0.75),
    hex(0.656, 0.734, 0.9375),
];

/// The width across flats, mm, of the hex whose thread a hole of `diameter` mm is for: metric or inch, as the
/// file's units are. `None`: no thread of the table.
pub(crate) fn across_flats(diameter: f64, units: Units) -> Option<f64> {
    let (table, scale): (&[Hex], f64) = match units {
        Units::Millimetre => (&METRIC, 1.0),
        Units::Inch => (&INCHES, INCH),
    };
    let fits =
        |hex: &&Hex| diameter >= hex.holes.0 * scale - SLACK && diameter <= hex.holes.1 * scale + SLACK;
    table.iter().find(fits).map(|hex| hex.across * scale)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hole_tells_its_thread_in_the_files_units() {
        // M8: ISO 273 medium 9 mm, ISO 4014 13 mm across flats. 3/8: a hole of 13/32, 9/16 across flats.
        assert_eq!(across_flats(9.0, Units::Millimetre), Some(13.0));
        assert_eq!(across_flats(8.4, Units::Millimetre), Some(13.0));
        assert_eq!(across_flats(13.0 / 32.0 * INCH, Units::Inch), Some(9.0 / 16.0 * INCH));
        assert_eq!(across_flats(9.0, Units::Inch), Some(12.7));
    }

    #[test]
    fn a_hole_between_two_threads_tells_none() {
        for diameter in [3.0, 7.6, 12.5, 40.0] {
            assert_eq!(across_flats(diameter, Units::Millimetre), None);
        }
        for table in [&METRIC[..], &INCHES[..]] {
            assert!(table.windows(2).all(|pair| pair[0].holes.1 < pair[1].holes.0 - 2.0 * SLACK / INCH));
        }
    }
}
