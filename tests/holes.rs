//! Holes and the tubes that start on them: in space, by a second integral, and refused where they
//! cannot be.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geom::angle::from_degrees;
use geom::quadrature::integrate;
use geom::{DVec3, Frame};
use proptest::prelude::*;
use tube::hole::LEAST_WEB;
use tube::{Body, Centreline, Cut, End, Hole, HoleFault, Piece, Row, Rows, Section, alloy};

fn section(od: f64, wall: f64) -> Section {
    Section { od, wall, alloy: alloy::alloy("304").unwrap_or(&alloy::ALLOYS[0]) }
}

fn askew() -> Frame {
    Frame::new(DVec3::new(310.0, -95.0, 42.0), DVec3::new(0.3, 0.5, -0.8), DVec3::X)
        .unwrap_or_else(|| panic!("a frame"))
}

fn tube(od: f64, wall: f64, length: f64) -> Piece {
    let line = Centreline::straight(askew(), length);
    Piece::tube(line, section(od, wall), Cut::square(0.0), Cut::square(length))
        .unwrap_or_else(|| panic!("a tube"))
}

fn cone(start_od: f64, end_od: f64, length: f64) -> Piece {
    let body =
        Body::Cone { frame: askew(), start_od, end_od, length, wall: 1.6, alloy: section(1.0, 0.1).alloy };
    Piece::cone(body, Cut::square(0.0)).unwrap_or_else(|| panic!("a cone"))
}

/// A hole of `part` of the largest radius in the middle of a piece; `offset` as a part of the radius
/// that is left then.
fn hole(piece: &Piece, degrees: f64, clock: f64, part: f64, offset: f64) -> Hole {
    let mut hole = Hole { station: 0.0, clock, angle: from_degrees(degrees), offset: 0.0, radius: 0.0 }
        .piercing_at(piece, 0.5 * piece.length());
    hole.radius = part * hole.largest_radius(piece, 0.0);
    let slope = hypot_slope(piece, hole.angle);
    hole.offset = offset * (hole.largest_radius(piece, 0.0) - hole.radius) * slope;
    hole = hole.piercing_at(piece, 0.5 * piece.length());
    hole.radius = hole.radius.min(hole.largest_radius(piece, 0.0));
    hole
}

fn hypot_slope(piece: &Piece, angle: f64) -> f64 {
    geom::math::hypot(1.0, piece.line(0.0, 1.0).slope / geom::math::sin(angle))
}

/// Distance of `point` from the wall of a straight piece at `depth`, along the radius, mm.
fn off_wall(piece: &Piece, point: DVec3, depth: f64) -> f64 {
    let local = piece.frame_at(0.0).local_point(point);
    let line = piece.line(0.0, depth);
    geom::math::hypot(local.x, local.y) - (line.rho + line.slope * local.z)
}

/// Volume and outside area of a hole, added up along the host's own wall lines.
fn second_method(piece: &Piece, hole: &Hole) -> (f64, f64) {
    let column = |clock: f64, depth: f64| {
        let line = piece.line(clock, depth);
        let (a, b) = hole.span(piece, clock, depth).unwrap_or((0.0, 0.0));
        (b - a) * (line.rho + 0.5 * line.slope * (a + b))
    };
    let ring = |depth: f64| {
        let flanks = hole.flanks(piece, depth);
        let (from, to) = (flanks.least.1, flanks.largest.1);
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        // The clocks spread as the sine: the spans end as square roots.
        let spread = |psi: f64| {
            let (s, c) = geom::math::sin_cos(psi);
            half * c * column(middle + half * s, depth)
        };
        integrate(&spread, -FRAC_PI_2, FRAC_PI_2, 1e-7)
    };
    let line = piece.line(0.0, 1.0);
    let across = line.rho - piece.line(0.0, 0.0).rho;
    (across * integrate(&ring, 0.0, 1.0, 1e-7), ring(1.0) * (1.0 + line.slope * line.slope).sqrt())
}

fn check(piece: &Piece, hole: &Hole) -> Result<(), TestCaseError> {
    prop_assert!(hole.faults(piece, &[0.0, 1.0]).is_empty(), "{:?}", hole.faults(piece, &[0.0, 1.0]));
    let axis = hole.axis(piece);
    for i in 0..72 {
        let phi = from_degrees(5.0 * f64::from(i));
        for depth in [0.0, 0.3, 1.0] {
            let (clock, station) = hole.edge(piece, phi, depth);
            let point = piece.point(station, clock, depth);
            prop_assert!((point - hole.edge_point(piece, phi, depth)).length() < 1e-9);
            prop_assert!(off_wall(piece, point, depth).abs() < 1e-9);
            let local = axis.local_point(point);
            prop_assert!((geom::math::hypot(local.x, local.y) - hole.radius).abs() < 1e-9);
            prop_assert!((clock - hole.clock).abs() <= FRAC_PI_2 + 1e-9);
            if let Some((from, to)) = hole.span(piece, clock, depth) {
                // Near the flanks a rounding of the clock moves the station by its square root.
                prop_assert!((from - station).abs().min((to - station).abs()) < 1e-5);
            }
        }
    }
    let (volume, area) = second_method(piece, hole);
    prop_assert!((hole.volume(piece) - volume).abs() < 1e-6 * volume, "{} {volume}", hole.volume(piece));
    prop_assert!((hole.outside_area(piece) - area).abs() < 1e-6 * area);
    let mut holed = piece.clone();
    holed.holes.push(*hole);
    prop_assert!((piece.volume() - holed.volume() - volume).abs() < 1e-7 * piece.volume());
    prop_assert!((piece.outside_area() - holed.outside_area() - area).abs() < 1e-7 * piece.outside_area());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, rng_seed: proptest::test_runner::RngSeed::Fixed(11), ..ProptestConfig::default() })]

    #[test]
    fn a_hole_lies_on_both_surfaces_and_takes_out_what_it_opens(
        degrees in 25.0_f64..155.0, clock in -PI..TAU, part in 0.05_f64..1.0, offset in -1.0_f64..1.0,
        end_od in 55.0_f64..110.0, kind in 0..2,
    ) {
        let piece = if kind == 0 { tube(76.2, 1.65, 400.0) } else { cone(80.0, end_od, 400.0) };
        check(&piece, &hole(&piece, degrees, clock, part, offset))?;
    }

    #[test]
    fn a_branch_starts_on_its_host(
        degrees in 30.0_f64..150.0, clock in -PI..TAU, part in 0.2_f64..1.0, offset in -1.0_f64..1.0,
        kind in 0..2, set_in in 0..2, roll in -PI..PI,
    ) {
        let host = if kind == 0 { tube(76.2, 1.65, 400.0) } else { cone(80.0, 60.0, 400.0) };
        let hole = hole(&host, degrees, clock, part, offset);
        let depth = f64::from(1 - set_in);
        let od = if set_in == 1 { 2.0 * hole.radius } else { 2.0 * hole.radius.min(hole.largest_radius(&host, 0.0)) };
        let axis = hole.axis(&host).turned(roll);
        let line = Centreline::straight(axis, 300.0);
        let branch = Piece::tube(line, section(od, 0.05 * od), hole.branch_cut(&host, depth, 0.0, axis), Cut::square(300.0));
        let Some(branch) = branch else { return Err(TestCaseError::fail("no branch")) };
        let longest = [0.0, 1.0].map(|d| branch.extremes(End::Start, d).longest.1);
        prop_assert!(longest[0].min(longest[1]).abs() < 1e-9, "{longest:?}");
        for i in 0..72 {
            let clock = from_degrees(5.0 * f64::from(i));
            for d in [0.0, 1.0] {
                let point = branch.edge_point(End::Start, clock, d);
                prop_assert!(off_wall(&host, point, depth).abs() < 1e-9);
                // The last meeting going downstream: outside it the branch is clear of the host.
                let ahead = branch.point(branch.edge(End::Start, clock, d) + 0.5, clock, d);
                prop_assert!(off_wall(&host, ahead, depth) > -1e-9);
            }
        }
    }
}

#[test]
fn equal_radii_and_offsets_to_the_limit() {
    let piece = tube(63.5, 1.6, 400.0);
    for degrees in [30.0, 45.0, 60.0, 90.0, 135.0] {
        for (part, offset) in [(1.0, 0.0), (0.999_999, 0.0), (0.5, 1.0), (0.5, -1.0), (0.8, 0.999_999)] {
            let hole = hole(&piece, degrees, 1.0, part, offset);
            check(&piece, &hole).unwrap_or_else(|e| panic!("{degrees} {part} {offset}: {e}"));
        }
    }
}

/// Two equal cylinders that cross square cut `4 R^2` out of each other's one side: a quarter of the
/// surface of Steinmetz' solid, `16 R^2` (textbooks of calculus).
#[test]
fn an_equal_square_hole_opens_a_quarter_of_steinmetz_solid() {
    let (radius, wall) = (30.0, 1e-3);
    let piece = tube(2.0 * (radius + wall), wall, 300.0);
    let hole = hole(&piece, 90.0, 0.0, 1.0, 0.0);
    let thin = 4.0 * radius * radius * wall;
    assert!((hole.volume(&piece) / thin - 1.0).abs() < 1e-2, "{} {thin}", hole.volume(&piece));
}

/// Holes that only touch leave no metal between them: along the axis, side by side, and around the bore.
#[test]
fn holes_that_touch_are_refused() {
    let piece = tube(63.5, 1.6, 120.0);
    let hole = |at: f64, clock: f64, radius: f64| {
        Hole { station: 0.0, clock, angle: FRAC_PI_2, offset: 0.0, radius }.piercing_at(&piece, at)
    };
    let bore = 30.15;
    let beside = 2.0 * geom::math::asin(15.0 / bore);
    for (a, b, touch) in [
        (hole(35.0, 0.0, 20.0), hole(70.0, 0.0, 15.0), true),
        (hole(35.0, 0.0, 20.0), hole(70.01, 0.0, 15.0), false),
        (hole(55.0, 0.3, 15.0), hole(55.0, 0.3 - beside, 15.0), true),
        (hole(55.0, 0.3, 15.0), hole(55.0, 0.29 - beside, 15.0), false),
        (hole(55.0, 0.3, 15.0), hole(57.0, 0.3 - beside, 15.0), false),
        (hole(55.0, 0.0, bore), hole(55.0, PI, bore), true),
        (hole(55.0, 0.0, bore), hole(55.0, PI, bore - 1.0), false),
    ] {
        assert_eq!(a.overlap(&b, &piece).is_some(), touch, "{a:?} {b:?}");
        assert_eq!(b.overlap(&a, &piece).is_some(), touch, "{a:?} {b:?}");
    }
}

#[test]
fn a_hole_that_cannot_be_cut_is_told_by_how_much() {
    let rows = Rows { rows: vec![Row { feed: 150.0, rotate: 0.0, bend: 1.2, radius: 90.0 }], tail: 160.0 };
    let line = Centreline::from_rows(askew(), &rows);
    let length = line.length();
    let piece = Piece::tube(line, section(50.8, 1.65), Cut::square(0.0), Cut::square(length))
        .unwrap_or_else(|| panic!("a tube"));
    let hole = |at: f64, angle: f64, offset: f64, radius: f64| {
        Hole { station: 0.0, clock: 0.4, angle: from_degrees(angle), offset, radius }.piercing_at(&piece, at)
    };
    let faults = |hole: Hole| hole.faults(&piece, &[0.0, 1.0]);
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
    assert_eq!(faults(hole(75.0, 90.0, 0.0, 20.0)), vec![]);
    match faults(hole(75.0, 90.0, 5.0, 20.0))[..] {
        [HoleFault::TooWide { largest }] => near(largest, 23.75 - 5.0),
        ref other => panic!("{other:?}"),
    }
    match faults(hole(15.0, 90.0, 0.0, 20.0))[..] {
        [HoleFault::OverEnd { end: End::Start, by }] => near(by, 5.0 + LEAST_WEB),
        ref other => panic!("{other:?}"),
    }
    match faults(hole(132.0, 90.0, 0.0, 20.0))[..] {
        [HoleFault::IntoBend { by }] => near(by, 2.0),
        ref other => panic!("{other:?}"),
    }
    match faults(hole(length - 13.0, 90.0, 0.0, 20.0))[..] {
        [HoleFault::OverEnd { end: End::End, by }] => near(by, 7.0 + LEAST_WEB),
        ref other => panic!("{other:?}"),
    }
    // On the straight behind the bend, leaning back: its foot lies beyond the piece's end.
    let back = hole(length - 80.0, 150.0, 0.0, 12.0);
    assert!(back.station > length - 40.0);
    assert_eq!(faults(back), vec![]);
    let (a, b) = (hole(60.0, 90.0, 0.0, 20.0), hole(90.0, 90.0, 0.0, 15.0));
    near(a.overlap(&b, &piece).unwrap_or(0.0), 5.0 + LEAST_WEB);
    near(b.overlap(&a, &piece).unwrap_or(0.0), 5.0 + LEAST_WEB);
    assert_eq!(Hole { clock: 0.4 + PI + TAU, ..a }.overlap(&b, &piece), None);
    assert_eq!(hole(30.0, 90.0, 0.0, 20.0).overlap(&b, &piece), None);
    let mut holed = piece.clone();
    holed.holes = vec![a, b];
    assert!(matches!(holed.hole_faults()[..], [(1, HoleFault::Overlaps { other: 0, .. })]));
    let touching = hole(95.0, 90.0, 0.0, 15.0);
    near(a.overlap(&touching, &piece).unwrap_or(0.0), LEAST_WEB);
    let cone = cone(80.0, 200.0, 100.0);
    let flat = Hole { angle: from_degrees(25.0), ..a };
    assert!(matches!(flat.faults(&cone, &[1.0])[..], [HoleFault::TooShallow { .. }]));
}
