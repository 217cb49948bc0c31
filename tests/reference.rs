//! The kernel against values that another geometry kernel made: tests/reference says how.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use geom::angle::from_degrees;
use geom::{DVec3, Frame};
use tube::{Body, Centreline, Cut, End, Hole, Piece, Section, alloy};

/// Open CASCADE 8.0.1 (cadquery-ocp 8.0.1.1.0 from PyPI), by tests/reference/holes.py.
const CASES: &str = include_str!("reference/holes_cases.csv");
const POINTS: &str = include_str!("reference/holes_points.csv");

/// A host with its hole, and the tube that starts on it.
struct Case {
    tube: Piece,
    holed: Piece,
    branch: Piece,
    /// Volumes of the three by Open CASCADE, mm3.
    volumes: [f64; 3],
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().skip(1).map(|line| line.split(',').collect())
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|e| panic!("{text}: {e}"))
}

impl Case {
    fn of(row: &[&str]) -> Case {
        let value = |column: usize| number(row[column]);
        let [start_od, end_od, length, wall] = [1, 2, 3, 4].map(value);
        let alloy = alloy::alloy("304").unwrap_or(&alloy::ALLOYS[0]);
        let frame = Frame { at: DVec3::ZERO, along: DVec3::Z, inside: DVec3::X };
        let square = Cut::square;
        let tube = if start_od == end_od {
            let section = Section { od: start_od, wall, alloy };
            Piece::tube(Centreline::straight(frame, length), section, square(0.0), square(length))
        } else {
            Piece::cone(Body::Cone { frame, start_od, end_od, length, wall, alloy }, square(0.0))
        };
        let Some(tube) = tube else { panic!("no host") };
        let (od, branch_wall, set_on) = (value(10), value(11), row[9] == "on");
        let hole = Hole {
            station: value(8),
            clock: from_degrees(value(6)),
            angle: from_degrees(value(5)),
            offset: value(7),
            radius: 0.5 * od - if set_on { branch_wall } else { 0.0 },
        };
        let axis = hole.axis(&tube);
        // As long from its foot as Open CASCADE's, its clock 0 turned away from phi = 0.
        let (axis, reach) = (axis.turned(0.7), 220.0);
        let cut = hole.branch_cut(&tube, if set_on { 1.0 } else { 0.0 }, 0.0, axis);
        let section = Section { od, wall: branch_wall, alloy };
        let branch = Piece::tube(Centreline::straight(axis, reach), section, cut, square(reach));
        let Some(branch) = branch else { panic!("no branch") };
        let mut holed = tube.clone();
        holed.holes.push(hole);
        Case { tube, holed, branch, volumes: [12, 13, 14].map(value) }
    }

    /// The kernel's point of a row of points: `kind`, `depth` in the wall, and phi in rad.
    fn point(&self, kind: &str, depth: f64, phi: f64) -> DVec3 {
        let hole = self.holed.holes[0];
        if kind == "hole" {
            let (clock, station) = hole.edge(&self.holed, phi, depth);
            return self.holed.point(station, clock, depth);
        }
        let zero = self.branch.frame_at(0.0).clock_of(hole.axis(&self.holed).inside);
        self.branch.edge_point(End::Start, (zero + phi) % TAU, depth)
    }
}

fn cases() -> BTreeMap<&'static str, Case> {
    rows(CASES).map(|row| (row[0], Case::of(&row))).collect()
}

/// Section curves every 5 degrees: met within 1e-6 mm.
#[test]
fn saddles_and_holes_are_open_cascades_section_curves() {
    let cases = cases();
    let mut worst: BTreeMap<(&str, &str, &str), f64> = BTreeMap::new();
    let mut count = 0;
    for row in rows(POINTS) {
        let wanted = DVec3::new(number(row[4]), number(row[5]), number(row[6]));
        let found = cases[row[0]].point(row[1], number(row[2]), from_degrees(number(row[3])));
        let off = worst.entry((row[0], row[1], row[2])).or_default();
        *off = off.max(found.distance(wanted));
        count += 1;
    }
    for ((name, kind, depth), off) in &worst {
        println!("{name}, {kind} at depth {depth}: {off:.2e} mm");
        assert!(*off < 1e-6, "{name}, {kind} at depth {depth}: off by {off} mm");
    }
    assert_eq!((cases.len(), count), (14, 14 * 4 * 72));
}

#[test]
fn volumes_of_holed_and_fitted_tubes_are_open_cascades() {
    for (name, case) in cases() {
        let pieces = [(&case.tube, 1e-9), (&case.holed, 1e-8), (&case.branch, 1e-8)];
        for ((piece, within), wanted) in pieces.into_iter().zip(case.volumes) {
            let off = (piece.volume() / wanted - 1.0).abs();
            println!("{name}: {wanted:.3} mm3, {off:.2e}");
            assert!(off < within, "{name}: {} mm3, by Open CASCADE {wanted}", piece.volume());
        }
    }
}
