//! The order in which parts are put together.
//!
//! Parts are taken off one by one: a part can be taken off where one direction is near enough to the opening
//! directions of all its joints with the parts still there. Taking a part off only loosens the others, so that
//! any order of taking off that gets stuck is stuck for good. Putting together is the reverse.

use std::f64::consts::FRAC_PI_4;

use geom::DVec3;
use geom::math::{atan2, sin_cos};

/// A joint between two parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// Index of the part upstream.
    pub upstream: usize,
    /// Index of the part downstream.
    pub downstream: usize,
    /// Direction of the strand at the joint, downstream, a unit vector.
    pub along: DVec3,
}

/// A part taken off the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Removal {
    /// Index of the part.
    pub part: usize,
    /// The direction in which it is taken off, a unit vector; none where nothing else holds it any more.
    pub way: Option<DVec3>,
    /// The direction in which it goes on from there where it cannot go straight on.
    pub aside: Option<DVec3>,
}

/// How parts are taken apart, as far as that goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// What is taken off, in order; the last one that is left counts as taken off.
    pub removals: Vec<Removal>,
    /// Parts that hold each other, ascending.
    pub locked: Vec<usize>,
    /// Parts that touch others on the way off, in every direction tried; ascending.
    pub touching: Vec<usize>,
}

/// Asked whether a part can move in a direction past those that are still there: the direction in which it goes on when
/// its spigots are out, none where it cannot.
pub type Passes<'a> = &'a dyn Fn(usize, DVec3, &[bool]) -> Option<DVec3>;

/// [`Passes`] that lets every part pass.
pub fn unhindered(_: usize, way: DVec3, _: &[bool]) -> Option<DVec3> {
    Some(way)
}

/// Takes parts apart; of those that can be taken off the one of the highest rank goes first, of equal ones the last.
/// One that does not pass the others goes only where no other does.
pub fn taken_apart(ranks: &[usize], links: &[Link], passes: Passes) -> Apart {
    let mut there = vec![true; ranks.len()];
    let mut apart =
        Apart { removals: Vec::with_capacity(ranks.len()), locked: Vec::new(), touching: Vec::new() };
    let mut order: Vec<usize> = (0..ranks.len()).collect();
    order.sort_by_key(|p| (ranks[*p], *p));
    loop {
        let free = order.iter().rev().find_map(|p| removable(*p, links, &there, passes));
        let found = free.or_else(|| {
            let forced = order.iter().rev().find_map(|p| removable(*p, links, &there, &unhindered));
            apart.touching.extend(forced.map(|r| r.part));
            forced
        });
        let Some(removal) = found else { break };
        there[removal.part] = false;
        order.retain(|p| *p != removal.part);
        apart.removals.push(removal);
    }
    order.sort_unstable();
    apart.touching.sort_unstable();
    Apart { locked: order, ..apart }
}

/// The direction nearest to all `openings` (unit vectors), and its largest angle to one of them, rad: the middle of the
/// least cap around them, which two or three of them bound. None where they do not lie on one half of the sphere.
pub fn way_out(openings: &[DVec3]) -> Option<(DVec3, f64)> {
    let least = |way: DVec3| openings.iter().map(|o| o.dot(way)).fold(f64::INFINITY, f64::min);
    let count = openings.len();
    let mut ways = openings.to_vec();
    for i in 0..count {
        for j in i + 1..count {
            ways.extend((openings[i] + openings[j]).try_normalize());
            for k in j + 1..count {
                let across = (openings[j] - openings[i]).cross(openings[k] - openings[i]);
                ways.extend(across.try_normalize().into_iter().flat_map(|w| [w, -w]));
            }
        }
    }
    let best = ways.into_iter().map(|w| (w, least(w))).reduce(|a, b| if b.1 > a.1 + 1e-12 { b } else { a });
    best.filter(|(_, least)| *least > 0.0).map(|(way, _)| {
        let angle = openings.iter().map(|o| angle_between(*o, way)).fold(0.0, f64::max);
        (way, angle)
    })
}

/// Angle between two directions, rad.
pub fn angle_between(a: DVec3, b: DVec3) -> f64 {
    atan2(a.cross(b).length(), a.dot(b))
}

/// How much a spigot leans whose strand is `angle` (rad) off the way in which its part moves, rad.
pub fn draft(angle: f64) -> f64 {
    if angle < IN_LINE { 0.0 } else { angle + SPARE_DRAFT }
}

/// The directions in which `part` leaves its joints with the parts that are `there`.
pub fn openings(part: usize, links: &[Link], there: &[bool]) -> Vec<DVec3> {
    let opening = |link: &Link| match (link.upstream == part, link.downstream == part) {
        (true, false) => there[link.downstream].then_some(-link.along),
        (false, true) => there[link.upstream].then_some(link.along),
        _ => None,
    };
    links.iter().filter_map(opening).collect()
}

/// How a part is taken off: in the direction nearest to its openings, or one beside it in which it passes.
fn removable(part: usize, links: &[Link], there: &[bool], passes: Passes) -> Option<Removal> {
    let openings = openings(part, links, there);
    if openings.is_empty() {
        return Some(Removal { part, way: None, aside: None });
    }
    let (way, angle) = way_out(&openings)?;
    if angle > MOST_DRAFT {
        return None;
    }
    let opens = |way: &DVec3| openings.iter().all(|o| angle_between(*o, *way) <= MOST_DRAFT);
    let ways = std::iter::once(way).chain(beside(way).filter(opens));
    ways.into_iter().find_map(|way| {
        let on = passes(part, way, there)?;
        Some(Removal { part, way: Some(way), aside: (on != way).then_some(on) })
    })
}

/// Directions 6, 12, 18 and 24 degrees beside a direction, eight of each.
fn beside(way: DVec3) -> impl Iterator<Item = DVec3> {
    (1..=4).flat_map(move |ring| leant(way, f64::from(ring) * BESIDE))
}

/// Eight directions evenly around one, `angle` (rad) off it.
pub(crate) fn leant(way: DVec3, angle: f64) -> impl Iterator<Item = DVec3> {
    let (x, y) = way.any_orthonormal_pair();
    let (out, along) = sin_cos(angle);
    (0..8).map(move |k| {
        let (s, c) = sin_cos(f64::from(k) * FRAC_PI_4);
        way * along + (x * c + y * s) * out
    })
}

/// The largest angle between a joint and the way in which a part is moved onto it, rad: 25 degrees.
pub const MOST_DRAFT: f64 = 25.0 / 180.0 * std::f64::consts::PI;

/// How far directions beside another are apart, rad: 6 degrees.
const BESIDE: f64 = 6.0 / 180.0 * std::f64::consts::PI;

/// Below this angle a part is moved in along the joint, rad: 0.5 degrees.
const IN_LINE: f64 = 0.5 / 180.0 * std::f64::consts::PI;

/// What a spigot leans beyond the angle, rad: 1 degree.
const SPARE_DRAFT: f64 = 1.0 / 180.0 * std::f64::consts::PI;

#[cfg(test)]
mod tests {
    use super::*;
    use geom::math::{cos, sin};

    fn link(upstream: usize, downstream: usize, along: DVec3) -> Link {
        Link { upstream, downstream, along: along.normalize() }
    }

    #[test]
    fn a_tube_between_two_parts_waits_for_one_of_them() {
        let links = [link(0, 1, DVec3::X), link(1, 2, DVec3::X)];
        let apart = taken_apart(&[0, 1, 2], &links, &unhindered);
        let order: Vec<usize> = apart.removals.iter().map(|r| r.part).collect();
        assert_eq!(order, [2, 1, 0]);
        assert_eq!(apart.removals[0].way, Some(DVec3::X));
        assert_eq!(apart.removals[2].way, None);
        // The same, were the last part to go last: it cannot, being the only one that lets the tube out but the first.
        assert_eq!(taken_apart(&[2, 1, 0], &links, &unhindered).removals[0].part, 0);
    }

    #[test]
    fn four_legs_open_along_the_merge_as_far_as_spigots_lean() {
        let legs = |degrees: f64| -> Vec<Link> {
            let lean = geom::angle::from_degrees(degrees);
            let around = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
            around
                .iter()
                .map(|(x, y)| link(0, 1, DVec3::new(x * sin(lean), y * sin(lean), cos(lean))))
                .collect()
        };
        let apart = taken_apart(&[0, 1], &legs(24.9), &unhindered);
        assert!(apart.locked.is_empty());
        assert!((apart.removals[0].way.unwrap() - DVec3::Z).length() < 1e-12);
        assert_eq!(taken_apart(&[0, 1], &legs(25.1), &unhindered).locked, [0, 1]);
    }

    #[test]
    fn a_part_whose_joints_face_each_other_is_locked_in() {
        let links = [link(0, 1, DVec3::X), link(1, 0, DVec3::X)];
        assert_eq!(taken_apart(&[0, 1], &links, &unhindered).locked, [0, 1]);
    }

    #[test]
    fn the_way_out_is_the_middle_of_the_least_cap() {
        let (way, angle) = way_out(&[DVec3::X, DVec3::Y, DVec3::Z]).unwrap();
        assert!((way - DVec3::ONE.normalize()).length() < 1e-12);
        assert!((cos(angle) - 3.0_f64.sqrt() / 3.0).abs() < 1e-12);
        assert!(way_out(&[DVec3::X, -DVec3::X]).is_none());
    }

    #[test]
    fn a_part_goes_beside_its_joint_where_something_is_in_the_way() {
        let links = [link(0, 1, DVec3::X)];
        let apart = taken_apart(&[0, 1], &links, &|_, way, _| (way.z > 0.2).then_some(way));
        let way = apart.removals[0].way.unwrap();
        assert!(apart.touching.is_empty() && way.z > 0.2 && angle_between(way, DVec3::X) <= MOST_DRAFT);
        let apart = taken_apart(&[0, 1], &links, &|_, _, _| None);
        assert_eq!((apart.removals.len(), &apart.touching[..]), (2, &[1][..]));
    }
}
