//! Scans placed by matched points against another method: tests/reference/placements.py says how its values
//! were made.

use geom::{DMat3, DVec3, RigidFit};

/// Kabsch's method by numpy's SVD, see tests/reference/placements.py.
const CASES: &str = include_str!("reference/placements.csv");

struct Case {
    scan: Vec<DVec3>,
    car: Vec<DVec3>,
    turn: DMat3,
    shift: DVec3,
    residual: f64,
}

fn cases() -> Vec<Case> {
    let mut cases: Vec<Case> = Vec::new();
    for line in CASES.lines().skip(1) {
        let numbers: Vec<f64> =
            line.split(',').map(|n| n.parse().unwrap_or_else(|e| panic!("{n}: {e}"))).collect();
        if numbers.len() > 7 {
            cases.push(Case {
                scan: Vec::new(),
                car: Vec::new(),
                turn: DMat3::from_cols_slice(&numbers[7..16]).transpose(),
                shift: DVec3::from_slice(&numbers[16..19]),
                residual: numbers[19],
            });
        }
        let Some(case) = cases.last_mut() else { panic!("no case before {line}") };
        case.scan.push(DVec3::from_slice(&numbers[1..4]));
        case.car.push(DVec3::from_slice(&numbers[4..7]));
    }
    cases
}

#[test]
fn matched_points_are_met_as_the_other_method_meets_them() {
    let cases = cases();
    assert_eq!(cases.len(), 24);
    for (index, case) in cases.iter().enumerate() {
        let Some(fit) = RigidFit::of(&case.scan, &case.car) else { panic!("case {index}") };
        let off = (fit.turn - case.turn).to_cols_array().into_iter().fold(0.0, |a: f64, b| a.max(b.abs()));
        assert!(off < 1e-9, "case {index}: the rotation is {off} off");
        assert!(fit.shift.distance(case.shift) < 1e-6, "case {index}: {} is not {}", fit.shift, case.shift);
        let off = (fit.residual - case.residual).abs();
        assert!(off < 1e-8, "case {index}: {} is not {}", fit.residual, case.residual);
    }
}

/// No small turn or shift away from the answer brings the points nearer: it is a minimum.
#[test]
fn no_small_motion_brings_the_points_nearer() {
    for (index, case) in cases().iter().enumerate() {
        let Some(fit) = RigidFit::of(&case.scan, &case.car) else { panic!("case {index}") };
        let miss = |turn: DMat3, shift: DVec3| {
            let squares = case.scan.iter().zip(&case.car);
            let sum: f64 = squares.map(|(s, c)| (turn * *s + shift - *c).length_squared()).sum();
            (sum / case.scan.len() as f64).sqrt()
        };
        for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
            for small in [1e-3, -1e-3] {
                let turned = DMat3::from_axis_angle(axis, small) * fit.turn;
                assert!(miss(turned, fit.shift) >= fit.residual - 1e-9, "case {index}: turned");
                let moved = miss(fit.turn, fit.shift + axis * small * 100.0);
                assert!(moved >= fit.residual - 1e-9, "case {index}: moved");
            }
        }
    }
}
