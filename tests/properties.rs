//! Properties that hold for every tube: conversion, mirror, reversal, rigid motion.

use geom::angle::wrap_signed;
use geom::{DVec3, Frame};
use glam::DQuat;
use proptest::prelude::*;
use tube::merge::{Cluster, LegCut};
use tube::{Centreline, Cut, Piece, Row, Rows, Section, Shape, VertexTolerance};

fn frame() -> Frame {
    Frame { at: DVec3::new(3.0, -5.0, 11.0), along: DVec3::X, inside: DVec3::Z }
}

fn a_row() -> impl Strategy<Value = Row> {
    (1.0..300.0, -3.1..3.1, 0.05..2.9, 30.0..120.0).prop_map(|(feed, rotate, bend, radius)| Row {
        feed,
        rotate,
        bend,
        radius,
    })
}

fn a_tube() -> impl Strategy<Value = Centreline> {
    (prop::collection::vec(a_row(), 1..7), 1.0..200.0).prop_map(|(mut rows, tail)| {
        rows[0].rotate = 0.0;
        Centreline::from_rows(frame(), &Rows { rows, tail })
    })
}

fn same(a: &Rows, b: &Rows, within: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(a.rows.len(), b.rows.len());
    for (p, q) in a.rows.iter().zip(&b.rows) {
        prop_assert!((p.feed - q.feed).abs() < within, "feed {} {}", p.feed, q.feed);
        prop_assert!((p.bend - q.bend).abs() < within, "bend {} {}", p.bend, q.bend);
        prop_assert!(wrap_signed(p.rotate - q.rotate).abs() < within, "rotate {} {}", p.rotate, q.rotate);
        prop_assert!((p.radius - q.radius).abs() < within);
    }
    prop_assert!((a.tail - b.tail).abs() < within);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn vertices_to_rows_and_back(line in a_tube()) {
        let end = line.end().at;
        let back = Centreline::from_vertices(line.start.at, &line.vertices(), end, VertexTolerance::default());
        let back = back.map_err(|e| TestCaseError::fail(format!("{e:?}")))?;
        // The tangent length's condition near 150 degrees costs two digits of 1e-12.
        same(&line.rows(), &back.rows(), 1e-9)?;
        prop_assert!(back.end().at.distance(end) < 1e-9);
    }

    #[test]
    fn a_mirror_flips_every_rotate_and_nothing_else(line in a_tube()) {
        let (rows, mirrored) = (line.rows(), line.mirrored().rows());
        for (p, q) in rows.rows.iter().zip(&mirrored.rows) {
            prop_assert_eq!((p.feed, p.bend, p.radius), (q.feed, q.bend, q.radius));
            prop_assert!((wrap_signed(p.rotate + q.rotate)).abs() < 1e-12);
        }
        let (a, b) = (line.end().at, line.mirrored().end().at);
        prop_assert!((a - DVec3::new(b.x, b.y, -b.z)).length() < 1e-9);
    }

    #[test]
    fn reversal_reverses_and_keeps_rotates(line in a_tube()) {
        let back = line.reversed();
        prop_assert!(back.end().at.distance(line.start.at) < 1e-9);
        prop_assert!((back.end().along + line.start.along).length() < 1e-9);
        let twice = back.reversed();
        same(&line.rows(), &twice.rows(), 1e-12)?;
        prop_assert!(twice.start.at.distance(line.start.at) < 1e-9);
        let n = line.rows().rows.len();
        for i in 1..n {
            let (p, q) = (line.rows().rows[i].rotate, back.rows().rows[n - i].rotate);
            prop_assert!(wrap_signed(p - q).abs() < 1e-12);
        }
    }

    #[test]
    fn rigid_motion_changes_nothing(line in a_tube(), axis in (-1.0..1.0, -1.0..1.0, 0.1..1.0), angle in -3.0..3.0) {
        let turn = DQuat::from_axis_angle(DVec3::new(axis.0, axis.1, axis.2).normalize(), angle);
        let shift = DVec3::new(100.0, -40.0, 7.0);
        let corners: Vec<_> = line
            .vertices()
            .into_iter()
            .map(|v| tube::Vertex { at: turn * v.at + shift, radius: v.radius })
            .collect();
        let moved = Centreline::from_vertices(
            turn * line.start.at + shift, &corners, turn * line.end().at + shift, VertexTolerance::default(),
        );
        let moved = moved.map_err(|e| TestCaseError::fail(format!("{e:?}")))?;
        same(&line.rows(), &moved.rows(), 1e-8)?;
    }

    #[test]
    fn parts_of_a_line_join_up(line in a_tube(), at in 0.05..0.95) {
        let cut = line.length() * at;
        let (a, b) = (line.between(0.0, cut), line.between(cut, line.length()));
        prop_assert!((a.length() + b.length() - line.length()).abs() < 1e-9);
        prop_assert!(a.end().at.distance(b.start.at) < 1e-9);
        prop_assert!(b.end().at.distance(line.end().at) < 1e-8);
        prop_assert!((b.end().inside - line.end().inside).length() < 1e-9);
    }
}

#[test]
fn half_a_turn_stays_half_a_turn() {
    let row = |rotate: f64| Row { feed: 50.0, rotate, bend: 0.7, radius: 60.0 };
    let rows = Rows { rows: vec![row(0.0), row(std::f64::consts::PI), row(0.0)], tail: 20.0 };
    let line = Centreline::from_rows(frame(), &rows);
    let rotates: Vec<f64> = line.mirrored().rows().rows.iter().map(|r| r.rotate.abs()).collect();
    assert_eq!(rotates, [0.0, std::f64::consts::PI, 0.0]);
}

/// Near the bore a fitted outlet ends a leg twice around, with a step on the plane through the leg's axis:
/// a corner that the quadrature has to know, or the volume depends on how the leg is turned.
#[test]
fn a_legs_volume_does_not_depend_on_its_roll() {
    let cluster =
        Cluster { legs: 4, convergence: geom::angle::from_degrees(12.0), outer: 22.225, inner: 20.725 };
    let outlet = cluster.fitted_outlet(58.4, -0.0275).unwrap();
    let volume = |roll: f64| {
        let section = Section { od: 44.45, wall: 1.5, alloy: &tube::alloy::ALLOYS[0] };
        let end = Cut { station: 180.0, roll, shape: Shape::Leg(LegCut { cluster, outlet }) };
        let line = Centreline::straight(frame(), 180.0);
        Piece::tube(line, section, Cut::square(0.0), end).unwrap().volume()
    };
    let first = volume(0.0);
    for roll in [0.4, 1.1, 2.5, -0.9, -2.2] {
        assert!((volume(roll) / first - 1.0).abs() < 1e-9, "{} {first}", volume(roll));
    }
}
