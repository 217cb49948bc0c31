//! Swept lengths of strands: closed, as large as closed forms say, with the whole header's own triangles.

mod shared;

use std::collections::BTreeSet;
use std::f64::consts::PI;

use fitment::sweep::Hollow;
use fitment::{Keyed, Profile, Sweep, Tip, Wheel, swept};
use geom::DVec3;
use geom::math::{asin, cos, sin, tan};
use proptest::prelude::*;
use shared::{line, plain, profile, solid};
use solids::MeshFault;
use spec::shop::Printer;

fn keyed(room: f64, draft: f64) -> Keyed {
    Keyed::fitting(room, 0.9, draft, &Printer::default()).unwrap()
}

/// Pappus: a round body along any line has its section's area times the line's length, where the radius changes
/// the integral of it.
fn along(profile: &[(f64, f64)]) -> f64 {
    let frustum = |a: (f64, f64), b: (f64, f64)| PI / 3.0 * (b.0 - a.0) * (a.1 * a.1 + a.1 * b.1 + b.1 * b.1);
    profile.windows(2).map(|w| frustum(w[0], w[1])).sum()
}

#[test]
fn a_bent_tube_has_the_volume_of_pappus() {
    let line = line(&[[60.0, 0.0, 1.3, 70.0], [25.0, 1.0, 0.8, 55.0]], 80.0);
    let outside = profile(&[(0.0, 22.0), (40.0, 22.0), (55.0, 25.0), (200.0, 25.0), (200.0, 24.0)]);
    let exact = along(&[outside.points.clone(), vec![(line.length(), 24.0)]].concat());
    for chord in [0.2, 0.05, 0.01] {
        let mesh = swept(&Sweep { chord, ..plain(&line, &outside, [Tip::Square; 2]) }).unwrap();
        solid(&mesh);
        let short = 1.0 - mesh.volume() / exact;
        // Of a round section inscribed with sagitta s the area is short by 4 s / 3 r.
        assert!(short > 0.0 && short < 1.5 * chord / 24.0, "{chord}: {short}");
    }
}

#[test]
fn spigots_add_and_sockets_take_their_own_volume() {
    let line = line(&[[60.0, 0.0, 1.3, 70.0]], 80.0);
    let outside = profile(&[(0.0, 22.0)]);
    let bare = swept(&plain(&line, &outside, [Tip::Square; 2])).unwrap().volume();
    for draft in [0.0, 0.1, 0.4] {
        let keyed = keyed(22.0, draft);
        let (spigot, socket) = (keyed.spigot_volume(), keyed.socket_volume());
        assert!(socket > spigot && spigot > 0.0);
        for (tips, more) in [
            ([Tip::Spigot(keyed), Tip::Square], spigot),
            ([Tip::Square, Tip::Spigot(keyed)], spigot),
            ([Tip::Socket(keyed), Tip::Square], -socket),
            ([Tip::Socket(keyed), Tip::Spigot(keyed)], spigot - socket),
            ([Tip::Socket(keyed), Tip::Socket(keyed)], -2.0 * socket),
        ] {
            let mesh = swept(&plain(&line, &outside, tips)).unwrap();
            solid(&mesh);
            assert!((mesh.volume() - bare - more).abs() < 1e-9 * bare, "{draft} {tips:?}");
        }
    }
}

/// A pin of flats is smaller than a round one by no more than its flats' bulge.
#[test]
fn a_spigot_is_a_pin_and_a_rib() {
    let keyed = keyed(24.0, 0.0);
    let (r, w, h) = (keyed.radius, keyed.rib_width, keyed.rib_height);
    assert!((r - 14.4).abs() < 1e-12 && w == 6.0 && h == 3.0 && keyed.length == 12.0);
    let half = asin(0.5 * w / r);
    let under = r * r * (half - sin(half) * cos(half));
    let exact = 12.0 * (PI * r * r + w * (r + h - r * cos(half)) - under);
    let short = 1.0 - keyed.spigot_volume() / exact;
    assert!(short > 0.0 && short < 0.003, "{short}");
}

#[test]
fn hollows_are_empty_and_open_where_they_reach_a_flat_end() {
    let line = line(&[[60.0, 0.0, 1.3, 70.0]], 80.0);
    let (outside, bore) = (profile(&[(0.0, 22.0)]), profile(&[(0.0, 20.5)]));
    let (keyed, to) = (keyed(22.0, 0.0), line.length());
    let full = swept(&plain(&line, &outside, [Tip::Socket(keyed), Tip::Square])).unwrap();
    for (from, to) in [(15.0, to), (15.0, to - 4.0)] {
        let hollows = vec![Hollow { bore: &bore, from, to }];
        let sweep = Sweep { hollows, ..plain(&line, &outside, [Tip::Socket(keyed), Tip::Square]) };
        let mesh = swept(&sweep).unwrap();
        solid(&mesh);
        let empty = Sweep { from, to, ..plain(&line, &outside, [Tip::Square; 2]) };
        // The bore has the outside's columns, so its section is the outside's, smaller.
        let part = (20.5_f64 / 22.0).powi(2);
        let volume = swept(&empty).unwrap().volume() * part;
        assert!((full.volume() - mesh.volume() - volume).abs() < 1e-6 * volume);
    }
}

/// A wheel is its ring less its windows, right through: a prism on a straight, and by Pappus in a bend, around
/// whose line its windows lie evenly.
#[test]
fn wheels_are_rings_less_their_windows() {
    let line = line(&[[60.0, 0.0, 1.3, 70.0]], 80.0);
    let steps = |from: f64, to: f64| {
        let points = [(0.0, 4.0), (from, 4.0), (from, 22.0), (to, 22.0), (to, 4.0), (line.length(), 4.0)];
        profile(&points)
    };
    for (from, to) in [(30.0, 32.0), (90.0, 92.4)] {
        let outside = steps(from, to);
        let wheel = Wheel { from, to, bar: 2.0 };
        let windows = wheel.windows(&outside);
        let radii = windows.iter().flatten().map(|p| p.length());
        let (least, most) = radii.fold((f64::INFINITY, 0.0_f64), |(a, b), r| (a.min(r), b.max(r)));
        assert!((least - 5.0).abs() < 1e-9 && (most - 20.0).abs() < 1e-9, "{least} {most}");
        let area = |w: &Vec<plate::DVec2>| {
            let next = w.iter().cycle().skip(1);
            0.5 * w.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
        };
        let exact: f64 = windows.iter().map(area).sum::<f64>() * (to - from);
        let full = plain(&line, &outside, [Tip::Square; 2]);
        let mesh = swept(&Sweep { wheels: vec![wheel], ..full.clone() }).unwrap();
        solid(&mesh);
        let less = swept(&full).unwrap().volume() - mesh.volume();
        assert!((less / exact - 1.0).abs() < 1e-3, "{less} {exact}");
        // Two thirds of the ring.
        assert!(less > 0.6 * PI * 22.0 * 22.0 * (to - from), "{less}");
    }
    // Too small a ring has no room for windows.
    let small = profile(&[(0.0, 4.0), (30.0, 4.0), (30.0, 8.0), (32.0, 8.0), (32.0, 4.0), (90.0, 4.0)]);
    assert!(Wheel { from: 30.0, to: 32.0, bar: 2.0 }.windows(&small).is_empty());
}

#[test]
fn mitres_and_planes_keep_the_volume_along_the_axis() {
    let mitred = line(&[[60.0, 0.0, 0.4, 0.0], [50.0, 2.0, 0.5, 0.0]], 70.0);
    let outside = profile(&[(0.0, 22.0)]);
    let tips = [Tip::Plane { tilt: 0.5, roll: 1.0 }, Tip::Plane { tilt: 0.7, roll: -2.0 }];
    let bare = swept(&plain(&line(&[], 180.0), &outside, [Tip::Square; 2])).unwrap().volume();
    let bore = profile(&[(0.0, 20.0)]);
    for hollow in [false, true] {
        let hollows = if hollow { vec![Hollow { bore: &bore, from: 0.0, to: 180.0 }] } else { Vec::new() };
        let mesh = swept(&Sweep { hollows, ..plain(&mitred, &outside, tips) }).unwrap();
        solid(&mesh);
        let exact = if hollow { bare * (1.0 - (20.0_f64 / 22.0).powi(2)) } else { bare };
        assert!((mesh.volume() / exact - 1.0).abs() < 1e-9);
    }
    for point in swept(&plain(&mitred, &outside, tips)).unwrap().points {
        let local = mitred.start.local_point(point);
        assert!(local.x > -400.0 && local.z > tan(0.5) * -22.0 - 1e-9);
    }
}

#[test]
fn a_step_at_the_cut_and_rings_that_cross_are_told() {
    let outside = profile(&[(0.0, 22.0), (60.0, 22.0), (60.0, 25.0)]);
    let straight = line(&[], 120.0);
    let tips = [Tip::Square; 2];
    let ends: Vec<f64> = [(0.0, 60.0), (60.0, 120.0)]
        .map(|(from, to)| swept(&Sweep { from, to, ..plain(&straight, &outside, tips) }).unwrap().volume())
        .to_vec();
    assert!((ends[1] / ends[0] - (25.0_f64 / 22.0).powi(2)).abs() < 1e-9);
    let tight = line(&[[60.0, 0.0, 1.3, 24.0]], 60.0);
    let crossed = swept(&plain(&tight, &outside, tips));
    assert!(matches!(crossed, Err(MeshFault::Crossed { .. })), "{crossed:?}");
    let mitred = line(&[[61.0, 0.0, 0.6, 0.0]], 60.0);
    assert!(matches!(swept(&plain(&mitred, &outside, tips)), Err(MeshFault::Crossed { .. })));
}

/// Parts put side by side have every point of the undivided strand, and none besides but at the cuts.
#[test]
fn parts_have_the_whole_strands_points() {
    let line = line(&[[60.0, 0.0, 1.3, 70.0], [65.0, 1.0, 0.8, 55.0]], 80.0);
    let outside = profile(&[(0.0, 22.0), (40.0, 22.0), (40.0, 24.0), (180.0, 24.0), (190.0, 22.0)]);
    let bits = |p: &DVec3| p.to_array().map(f64::to_bits);
    let whole = swept(&plain(&line, &outside, [Tip::Square; 2])).unwrap();
    let keyed = keyed(22.0, 0.0);
    let cuts = [0.0, 25.0, 180.5, line.length()];
    let mut left: BTreeSet<[u64; 3]> = whole.points.iter().map(bits).collect();
    let all = left.clone();
    for (k, ends) in cuts.windows(2).enumerate() {
        let tips = [
            if k == 0 { Tip::Square } else { Tip::Socket(keyed) },
            if k == 2 { Tip::Square } else { Tip::Spigot(keyed) },
        ];
        let part = swept(&Sweep { from: ends[0], to: ends[1], ..plain(&line, &outside, tips) }).unwrap();
        solid(&part);
        for point in &part.points {
            left.remove(&bits(point));
            let near = |cut: &f64| point.distance(line.frame_at(*cut).at) < 27.0;
            assert!(all.contains(&bits(point)) || cuts.iter().any(near), "{point}");
        }
    }
    assert!(left.is_empty());
}

/// Rows and tail of a line, a profile on it that holds a spigot everywhere, kinds of tips, and the chord.
type Strand = (Vec<[f64; 4]>, f64, Vec<(f64, f64)>, [u8; 2], f64);

fn any_strand() -> impl Strategy<Value = Strand> {
    let row = (30.0..90.0, -3.1..3.1, 0.05..2.0, 45.0..120.0, prop::bool::weighted(0.2));
    let row = row.prop_map(|(feed, rotate, bend, radius, mitre): (f64, f64, f64, f64, bool)| {
        [feed, rotate, if mitre { 0.3 * bend } else { bend }, if mitre { 0.0 } else { radius }]
    });
    let lengths = prop::collection::vec((0.0..60.0_f64, 16.0..27.0_f64, any::<bool>()), 1..6);
    let profile = lengths.prop_map(|steps| {
        let (mut at, mut points) = (0.0, Vec::new());
        for (length, radius, step) in steps {
            at += length;
            points.extend(step.then(|| (at, points.last().map_or(20.0, |p: &(f64, f64)| p.1))));
            points.push((at, radius));
        }
        points
    });
    (prop::collection::vec(row, 0..4), 40.0..90.0, profile, [0_u8..4, 0_u8..4], 0.02..0.2)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn any_strand_closes((rows, tail, points, kinds, chord) in any_strand()) {
        let line = line(&rows, tail);
        let outside = Profile { points };
        let keyed = Keyed::fitting(16.0, 2.0, 0.2, &Printer::default()).unwrap();
        let tip = |kind: u8| match kind {
            0 => Tip::Square,
            1 => Tip::Plane { tilt: 0.3, roll: 1.0 },
            2 => Tip::Spigot(keyed),
            _ => Tip::Socket(keyed),
        };
        match swept(&Sweep { chord, ..plain(&line, &outside, kinds.map(tip)) }) {
            Ok(mesh) => {
                solid(&mesh);
                let bare = swept(&Sweep { chord: 0.3 * chord, ..plain(&line, &outside, [Tip::Square; 2]) });
                let volume = bare.unwrap().volume();
                let more = |kind: u8| match kind {
                    2 => keyed.spigot_volume(),
                    3 => -keyed.socket_volume(),
                    _ => 0.0,
                };
                let planes = kinds.contains(&1);
                let off = (mesh.volume() - volume - kinds.map(more).iter().sum::<f64>()) / volume;
                prop_assert!(planes || off.abs() < 1.5 * chord / 16.0, "{off}");
            }
            // Steps and planes near a mitre, and nothing else.
            Err(fault) => {
                let near = rows.iter().any(|r| r[3] == 0.0) || kinds.contains(&1);
                prop_assert!(near && matches!(fault, MeshFault::Crossed { .. }), "{fault}");
            }
        }
    }
}
