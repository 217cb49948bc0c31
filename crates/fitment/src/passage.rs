//! Whether a part gets past the others on its way off them.
//!
//! It moves straight until its spigots are out, and from there straight on, or aside: that is how a hand takes it off.
//! Bodies are balls that lie within them, so that what is found to touch does touch.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

use geom::DVec3;

use crate::assembly::leant;
use crate::balls::{Balls, Leg};

/// What is moved, or stays.
#[derive(Clone, Copy)]
pub(crate) struct Body<'a> {
    pub balls: &'a Balls,
    /// The atom, or the one that carries the spigot.
    pub atom: usize,
    /// The atom that a spigot stands in; none of what is no spigot.
    pub stands_in: Option<usize>,
}

/// The direction in which `moved` goes on once it has moved along `way` as far as `out`, past all that is `still`: `way`
/// itself, or else one aside of it. None where it touches in every one of them.
pub(crate) fn past(moved: &[Body], still: &[Body], way: DVec3, out: f64) -> Option<DVec3> {
    let pairs = || moved.iter().flat_map(|a| still.iter().map(move |b| (a, b)));
    let first = Leg { from: DVec3::ZERO, way, out };
    let joined = |a: &Body, b: &Body| a.stands_in == Some(b.atom) || b.stands_in == Some(a.atom);
    if pairs().any(|(a, b)| !joined(a, b) && a.balls.touch(b.balls, &first)) {
        return None;
    }
    let free = |on: &DVec3| {
        let second = Leg { from: way * out, way: *on, out: f64::INFINITY };
        !pairs().any(|(a, b)| a.balls.touch(b.balls, &second))
    };
    std::iter::once(way).chain(aside(way)).find(free)
}

/// Directions 45 and 90 degrees aside of a direction, eight of each.
fn aside(way: DVec3) -> impl Iterator<Item = DVec3> {
    [FRAC_PI_4, FRAC_PI_2].into_iter().flat_map(move |angle| leant(way, angle))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ball(at: DVec3, radius: f64) -> Balls {
        Balls::of(vec![(at, radius)])
    }

    /// Balls of 75 mm, 100 mm away in these directions.
    fn around(ways: &[DVec3]) -> Vec<Balls> {
        ways.iter().map(|way| ball(*way * 100.0, 75.0)).collect()
    }

    fn bodies(balls: &[Balls]) -> Vec<Body<'_>> {
        balls.iter().enumerate().map(|(k, balls)| Body { balls, atom: k + 1, stands_in: None }).collect()
    }

    #[test]
    fn what_stands_far_off_in_the_way_is_gone_around() {
        let part = ball(DVec3::ZERO, 10.0);
        let moved = [Body { balls: &part, atom: 0, stands_in: None }];
        assert_eq!(past(&moved, &[], DVec3::Z, 12.0), Some(DVec3::Z));
        let ahead = around(&[DVec3::Z]);
        let on = past(&moved, &bodies(&ahead), DVec3::Z, 12.0).unwrap();
        assert!(on != DVec3::Z && on.dot(DVec3::Z) >= -1e-12);
        // Nearer than its spigot is long.
        let near = [ball(DVec3::Z * 95.0, 75.0)];
        assert_eq!(past(&moved, &bodies(&near), DVec3::Z, 12.0), None);
        // Shut in, but for the way back.
        let cage = around(&[DVec3::Z, DVec3::X, DVec3::Y, DVec3::NEG_X, DVec3::NEG_Y]);
        assert_eq!(past(&moved, &bodies(&cage), DVec3::Z, 12.0), None);
    }

    #[test]
    fn a_spigot_may_leave_its_own_socket_only() {
        let (part, spigot, other) =
            (ball(DVec3::Z * 20.0, 10.0), ball(DVec3::NEG_Z * 4.0, 4.0), ball(DVec3::NEG_Z * 10.0, 10.0));
        let moved = |stands_in| {
            [
                Body { balls: &part, atom: 0, stands_in: None },
                Body { balls: &spigot, atom: 0, stands_in: Some(stands_in) },
            ]
        };
        let still = [Body { balls: &other, atom: 1, stands_in: None }];
        let lean = DVec3::new(0.8, 0.0, -0.6);
        assert!(past(&moved(1), &still, lean, 12.0).is_some());
        assert!(past(&moved(2), &still, lean, 12.0).is_none());
    }
}
