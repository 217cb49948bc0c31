//! Spigots in their sockets: as far apart as meant, and at one clock only.

mod shared;

use std::f64::consts::TAU;

use distance::{Shell, Solid, Tree};
use fitment::keyed::room;
use fitment::{Keyed, Sweep, Tip, swept};
use geom::math::{cos, hypot, sin};
use geom::{DMat3, DVec3, Frame};
use shared::{line, plain, profile};
use solids::Mesh;
use spec::shop::Printer;
use tube::{Centreline, End};

const CUT: f64 = 90.0;

/// The parts on both sides of a cut, spigot and socket, and the cut's frame.
fn pair(line: &Centreline, keyed: Keyed, spigot: End) -> ([Mesh; 2], Frame) {
    let outside = profile(&[(0.0, 22.0)]);
    let [up, down] = match spigot {
        End::End => [Tip::Spigot(keyed), Tip::Socket(keyed)],
        End::Start => [Tip::Socket(keyed), Tip::Spigot(keyed)],
    };
    let whole = plain(line, &outside, [Tip::Square; 2]);
    let upstream = Sweep { to: CUT, tips: [Tip::Square, up], ..whole.clone() };
    let downstream = Sweep { from: CUT, tips: [down, Tip::Square], ..whole };
    let [a, b] = [upstream, downstream].map(|s| swept(&s).unwrap());
    let parts = if spigot == End::End { [a, b] } else { [b, a] };
    (parts, line.frame_at(CUT))
}

fn tree(mesh: &Mesh) -> Tree {
    Tree::new(mesh.points.clone(), mesh.triangles.clone(), Vec::new())
}

/// Triangles of the spigot's mesh that stand out of its cut.
fn standing(mesh: &Mesh, frame: &Frame, spigot: End) -> Vec<[DVec3; 3]> {
    let sign = if spigot == End::End { 1.0 } else { -1.0 };
    let out = |p: DVec3| sign * frame.local_point(p).z;
    let near = |p: DVec3| p.distance(frame.at) < 40.0;
    mesh.corners()
        .filter(|t| t.iter().all(|p| near(*p) && out(*p) > -1e-9))
        .filter(|t| t.iter().any(|p| out(*p) > 1.0))
        .collect()
}

fn keys() -> Vec<Keyed> {
    let printer = Printer::default();
    let wide = Printer { fit_gap: 0.45, nozzle: 0.6, ..Printer::default() };
    let fitting = |room, draft, printer: &Printer| Keyed::fitting(room, 2.2, draft, printer).unwrap();
    vec![
        fitting(22.0, 0.0, &printer),
        fitting(14.0, 0.0, &printer),
        fitting(22.0, 0.0, &wide),
        fitting(22.0, 0.12, &printer),
        fitting(21.0, 0.45, &wide),
    ]
}

/// Points all over a triangle.
fn spread([a, b, c]: [DVec3; 3]) -> Vec<DVec3> {
    let parts = 6;
    let places = (0..=parts).flat_map(|i| (0..=parts - i).map(move |j| (i, j)));
    places.map(|(i, j)| a + ((b - a) * f64::from(i) + (c - a) * f64::from(j)) / f64::from(parts)).collect()
}

/// The distance is asked of an exact search among the socket's triangles: nowhere less than the gap, the gap itself
/// over each flat's middle, and no more than the diagonal in the corner beside the rib.
#[test]
fn a_spigot_is_everywhere_the_gap_from_its_socket() {
    for line in [line(&[], 180.0), line(&[[75.0, 0.0, 1.4, 70.0]], 80.0)] {
        for (keyed, spigot) in keys().into_iter().flat_map(|k| [(k, End::End), (k, End::Start)]) {
            let ([male, female], frame) = pair(&line, keyed, spigot);
            let (tree, flats) = (tree(&female), standing(&male, &frame, spigot));
            assert!(flats.len() > 60);
            for triangle in flats {
                let [a, b, c] = triangle;
                let to = |p: DVec3| tree.nearest_to_point(p, 10.0).unwrap().distance;
                let middle = to((a + b + c) / 3.0);
                assert!((middle - keyed.gap).abs() < 1e-9, "{middle} {keyed:?}");
                for distance in spread(triangle).into_iter().map(to) {
                    let range = keyed.gap - 1e-9..1.42 * keyed.gap;
                    assert!(range.contains(&distance), "{distance} {keyed:?}");
                }
            }
        }
    }
}

/// Turned by more than its play, some part of the spigot stands in the other part's plastic.
#[test]
fn a_spigot_enters_at_its_own_clock_only() {
    let line = line(&[], 180.0);
    for keyed in keys() {
        let ([male, female], frame) = pair(&line, keyed, End::End);
        let wall = Solid::Shell(Shell { points: female.points, triangles: female.triangles });
        let flats = standing(&male, &frame, End::End);
        let places: Vec<DVec3> = flats.into_iter().map(|[a, b, c]| (a + b + c) / 3.0).collect();
        let stuck = |turn: f64| {
            let about = DMat3::from_axis_angle(frame.along, turn);
            places.iter().any(|p| wall.contains(frame.at + about * (*p - frame.at)))
        };
        let play = keyed.gap / keyed.radius;
        for turn in [0.0, 0.5 * play, -0.5 * play] {
            assert!(!stuck(turn), "{turn} {keyed:?}");
        }
        for step in 1..60 {
            let turn = 2.0 * play + (TAU - 4.0 * play) * f64::from(step - 1) / 58.0;
            assert!(stuck(turn), "{turn} {keyed:?}");
        }
    }
}

/// Moved out askew by less than the draft, nothing catches: the least distance never falls.
#[test]
fn a_leaning_spigot_comes_out_askew() {
    let line = line(&[], 180.0);
    for keyed in keys().into_iter().filter(|k| k.draft > 0.0) {
        let ([male, female], frame) = pair(&line, keyed, End::End);
        let tree = tree(&female);
        let flats = standing(&male, &frame, End::End);
        let askew = keyed.draft - 1_f64.to_radians();
        for way in 0..8 {
            let to = frame.outward(TAU * f64::from(way) / 8.0);
            let out = -frame.along * cos(askew) + to * sin(askew);
            for moved in [0.3, 1.0, 3.0, 7.0] {
                for triangle in &flats {
                    let middle = (triangle[0] + triangle[1] + triangle[2]) / 3.0 + out * moved;
                    let distance = tree.nearest_to_point(middle, 1e3).unwrap().distance;
                    assert!(distance > keyed.gap - 1e-9, "{moved} {distance}");
                }
            }
        }
    }
}

#[test]
fn what_is_missing_is_told() {
    for (draft, nozzle) in [(0.0, 0.4), (0.3, 0.4), (0.0, 1.0)] {
        let printer = Printer { nozzle, ..Printer::default() };
        let missing = Keyed::fitting(7.0, 0.0, draft, &printer).unwrap_err();
        assert!(missing > 0.0);
        let keyed = Keyed::fitting(7.0 + 0.5 * missing, 0.0, draft, &printer).unwrap();
        assert!(Keyed::fitting(6.99 + 0.5 * missing, 0.0, draft, &printer).is_err());
        assert!(keyed.reach() + 3_f64.max(4.0 * nozzle) <= 7.0 + 0.5 * missing + 1e-9);
    }
}

/// The wall around every fitting socket is as thick as it has to be.
#[test]
fn sockets_leave_their_wall() {
    let printer = Printer::default();
    for tenth in 80..400 {
        for draft in [0.0, 0.1, 0.2, 0.45] {
            let room = 0.1 * f64::from(tenth);
            if let Ok(keyed) = Keyed::fitting(room, 1.0, draft, &printer) {
                assert!(keyed.reach() <= room - 3.0 + 1e-9);
                assert!(keyed.rib_height > 2.0 * keyed.gap && keyed.radius >= 4.0);
                assert!(keyed.spigot(keyed.length).iter().all(|p| p.length() > 1.5));
            }
        }
    }
    assert!(Keyed::fitting(12.7, 0.0, 0.0, &printer).is_ok(), "a tube of 25.4 mm");
}

/// In a bend the tangent leaves the line by the bend's own sagitta.
#[test]
fn room_in_a_bend_is_less_by_the_sagitta() {
    let outside = profile(&[(0.0, 22.0), (30.0, 22.0), (30.0, 20.0)]);
    let bent = line(&[[75.0, 0.0, 1.4, 70.0]], 80.0);
    for (station, end, depth, free) in
        [(20.0, End::Start, 9.9, 22.0), (20.0, End::Start, 12.0, 20.0), (42.0, End::End, 13.0, 20.0)]
    {
        assert!((room(&bent, &outside, station, end, depth) - free).abs() < 1e-9);
    }
    let angle = 12.0_f64 / 70.0;
    let off = hypot(70.0 * (1.0 - cos(angle)), 12.0 - 70.0 * sin(angle));
    for (station, end) in [(75.0, End::Start), (100.0, End::Start), (100.0, End::End)] {
        assert!((room(&bent, &outside, station, end, 12.0) - (20.0 - off)).abs() < 1e-9);
    }
}
