//! Parts laid out on plates.
//!
//! Each outline is taken as the polygon of 24 sides, 15 degrees apart, that touches it all around. Turned by steps
//! of 15 degrees such polygons keep the same 24 directions, so that two of them are apart exactly where along one
//! of these directions the sum of how far both reach is less than their distance.

use std::f64::consts::TAU;

use geom::DMat3;
use geom::math::sin_cos;
use glam::DVec2;
use spec::shop::Printer;

use crate::placement::Placement;

/// Where an outline lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Which plate, from 0.
    pub plate: usize,
    /// How far it is turned about the origin first, rad, counter-clockwise.
    pub angle: f64,
    /// Then moved by this, mm.
    pub by: DVec2,
}

/// The plates to lay parts on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bed {
    /// Width and depth, mm, before the printer's scale.
    pub size: DVec2,
    /// Least distance between two parts and to the edge, mm.
    pub apart: f64,
}

impl Bed {
    /// The bed of a printer: where it prints x and y unlike, everything is apart enough along both.
    pub fn of(printer: &Printer) -> Bed {
        let [x, y, _] = printer.scale;
        Bed { size: DVec2::from(printer.bed) / DVec2::new(x, y), apart: printer.apart / x.min(y) }
    }
}

impl Spot {
    /// The placement of a part that stood at `placement`, laid here.
    pub fn placed(&self, placement: &Placement) -> Placement {
        let turn = DMat3::from_rotation_z(self.angle);
        Placement { turn: turn * placement.turn, by: turn * placement.by + self.by.extend(0.0) }
    }
}

/// Lays convex outlines on as few plates as were found, each as near to the front as it goes, the largest first; by
/// area, length and width, whichever takes fewer. An outline larger than the bed has a plate for itself, at its
/// origin.
pub fn nested(outlines: &[Vec<DVec2>], bed: Bed) -> Vec<Spot> {
    let reaches: Vec<Reach> = outlines.iter().map(|o| Reach::of(o)).collect();
    let measures: [fn(&Reach) -> f64; 3] = [Reach::area, Reach::length, Reach::width];
    let laid = measures.map(|measure| {
        let mut order: Vec<usize> = (0..reaches.len()).collect();
        order.sort_by(|a, b| measure(&reaches[*b]).total_cmp(&measure(&reaches[*a])));
        laid(&reaches, &order, bed)
    });
    let plates = |spots: &[Spot]| spots.iter().map(|s| s.plate + 1).max().unwrap_or(0);
    laid.into_iter().min_by_key(|spots| plates(spots)).unwrap_or_default()
}

/// How far an outline reaches in each direction, mm.
#[derive(Clone, Debug)]
struct Reach([f64; SIDES]);

/// An outline laid down.
struct Laid {
    reach: Reach,
    by: DVec2,
}

impl Reach {
    fn of(outline: &[DVec2]) -> Reach {
        let far = |k: usize| outline.iter().map(|p| p.dot(direction(k))).fold(f64::NEG_INFINITY, f64::max);
        Reach(std::array::from_fn(|k| if outline.is_empty() { 0.0 } else { far(k) }))
    }

    /// Turned by `steps` of 15 degrees.
    fn turned(&self, steps: usize) -> Reach {
        Reach(std::array::from_fn(|k| self.0[(k + SIDES - steps) % SIDES]))
    }

    /// The corner between side `k` and the next, `out` mm further out.
    fn corner(&self, k: usize, out: f64) -> DVec2 {
        let (s, c) = sin_cos(TAU / SIDES as f64);
        let (a, b) = (self.0[k] + out, self.0[(k + 1) % SIDES] + out);
        direction(k) * a + direction(k).perp() * ((b - a * c) / s)
    }

    fn area(&self) -> f64 {
        let corners: Vec<DVec2> = (0..SIDES).map(|k| self.corner(k, 0.0)).collect();
        0.5 * (0..SIDES).map(|k| corners[k].perp_dot(corners[(k + 1) % SIDES])).sum::<f64>()
    }

    fn across(&self, k: usize) -> f64 {
        self.0[k] + self.0[(k + SIDES / 2) % SIDES]
    }

    fn length(&self) -> f64 {
        (0..SIDES).map(|k| self.across(k)).fold(0.0, f64::max)
    }

    fn width(&self) -> f64 {
        (0..SIDES).map(|k| self.across(k)).fold(f64::INFINITY, f64::min)
    }

    /// Where this may not be beside `other`: the directions in which it would reach to it.
    fn barred_by(&self, other: &Laid, apart: f64) -> Reach {
        let far = |k: usize| other.reach.0[k] + other.by.dot(direction(k)) + self.0[(k + SIDES / 2) % SIDES];
        Reach(std::array::from_fn(|k| far(k) + apart))
    }

    fn holds(&self, point: DVec2) -> bool {
        (0..SIDES).all(|k| point.dot(direction(k)) < self.0[k] - NEAR)
    }
}

/// Each outline in `order` on the first plate that has room for it.
fn laid(reaches: &[Reach], order: &[usize], bed: Bed) -> Vec<Spot> {
    let mut plates: Vec<Vec<Laid>> = Vec::new();
    let mut spots = vec![Spot { plate: 0, angle: 0.0, by: DVec2::ZERO }; reaches.len()];
    for &index in order {
        let reach = &reaches[index];
        let found = plates.iter().enumerate().find_map(|(at, plate)| Some((at, free(reach, plate, bed)?)));
        let (plate, (steps, by)) = found.unwrap_or_else(|| {
            plates.push(Vec::new());
            let at_origin = (0, -DVec2::new(-reach.0[SIDES / 2], -reach.0[3 * SIDES / 4]));
            (plates.len() - 1, free(reach, &[], bed).unwrap_or(at_origin))
        });
        plates[plate].push(Laid { reach: reach.turned(steps), by });
        spots[index] = Spot { plate, angle: TAU * steps as f64 / SIDES as f64, by };
    }
    spots
}

/// The place nearest to the front on a plate: steps of turning, and where to.
fn free(reach: &Reach, plate: &[Laid], bed: Bed) -> Option<(usize, DVec2)> {
    let mut best: Option<((i64, i64), usize, DVec2)> = None;
    for steps in 0..SIDES {
        let turned = reach.turned(steps);
        let low = DVec2::new(turned.0[SIDES / 2], turned.0[3 * SIDES / 4]) + bed.apart;
        let high = bed.size - DVec2::new(turned.0[0], turned.0[SIDES / 4]) - bed.apart;
        if (high - low).min_element() < -NEAR {
            continue;
        }
        let high = high.max(low);
        let barred: Vec<Reach> = plate.iter().map(|l| turned.barred_by(l, bed.apart)).collect();
        for place in places(&barred, low, high) {
            let inside = place.cmpge(low - NEAR).all() && place.cmple(high + NEAR).all();
            let steps_of = |t: f64| (t / EVEN).round() as i64;
            let rank = (steps_of(place.y + turned.0[SIDES / 4]), steps_of(place.x + turned.0[0]));
            let better = best.as_ref().is_none_or(|(least, ..)| rank < *least);
            if inside && better && !barred.iter().any(|b| b.holds(place)) {
                best = Some((rank, steps, place));
            }
        }
    }
    best.map(|(_, steps, by)| (steps, by))
}

/// Where a part may touch: where the sides of the room, and those of what bars it that lie along x and y, meet each
/// other and all other sides; and the corners of what bars it.
fn places(barred: &[Reach], low: DVec2, high: DVec2) -> Vec<DVec2> {
    let along = |k: usize| barred.iter().flat_map(move |b| [b.0[k], -b.0[k + SIDES / 2]]);
    let xs: Vec<f64> = along(0).chain([low.x, high.x]).filter(|x| low.x <= *x && *x <= high.x).collect();
    let ys: Vec<f64> =
        along(SIDES / 4).chain([low.y, high.y]).filter(|y| low.y <= *y && *y <= high.y).collect();
    let mut places: Vec<DVec2> = xs.iter().flat_map(|x| ys.iter().map(|y| DVec2::new(*x, *y))).collect();
    for bar in barred {
        for k in 0..SIDES {
            let (a, b) = (bar.corner((k + SIDES - 1) % SIDES, 0.0), bar.corner(k, 0.0));
            places.push(b);
            let at_x = |x: &f64| DVec2::new(*x, a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
            let at_y = |y: &f64| DVec2::new(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y), *y);
            let meets = |t: f64, from: f64, to: f64| from.min(to) <= t && t <= from.max(to) && from != to;
            places.extend(xs.iter().filter(|x| meets(**x, a.x, b.x)).map(at_x));
            places.extend(ys.iter().filter(|y| meets(**y, a.y, b.y)).map(at_y));
        }
    }
    places
}

/// The direction square to side `k`.
fn direction(k: usize) -> DVec2 {
    let (s, c) = sin_cos(TAU * k as f64 / SIDES as f64);
    DVec2::new(c, s)
}

/// How many sides: turns of 15 degrees.
const SIDES: usize = 24;

/// What is nearer than this touches, mm.
const NEAR: f64 = 1e-9;

/// Places that differ by less than this are as near to the front, mm.
const EVEN: f64 = 1e-4;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calipers::outline;

    fn rectangle(width: f64, depth: f64) -> Vec<DVec2> {
        [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)].map(|(x, y)| DVec2::new(x, y)).to_vec()
    }

    fn corners(outline: &[DVec2], spot: &Spot) -> Vec<DVec2> {
        let turn = DVec2::from_angle(spot.angle);
        outline.iter().map(|p| turn.rotate(*p) + spot.by).collect()
    }

    /// Distance of two convex outlines by every corner to every side; 0 or less where they overlap.
    fn distance(a: &[DVec2], b: &[DVec2]) -> f64 {
        let to_side = |p: DVec2, a: DVec2, b: DVec2| {
            let t = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
            p.distance(a.lerp(b, t))
        };
        let one_way = |a: &[DVec2], b: &[DVec2]| {
            let sides = || b.iter().zip(b.iter().cycle().skip(1));
            if a.iter().any(|p| sides().all(|(s, t)| (*t - *s).perp_dot(*p - *s) > 0.0)) {
                return 0.0;
            }
            let all = a.iter().flat_map(|p| sides().map(|(s, t)| to_side(*p, *s, *t)));
            all.fold(f64::INFINITY, f64::min)
        };
        one_way(a, b).min(one_way(b, a))
    }

    #[test]
    fn parts_keep_their_distance_and_stay_on_the_bed() {
        let bed = Bed { size: DVec2::new(220.0, 200.0), apart: 5.0 };
        let mut state = 7_u64;
        let mut next = |most: f64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            most * ((state >> 40) as f64 / (1_u64 << 24) as f64)
        };
        let shapes: Vec<Vec<DVec2>> = (0..30)
            .map(|_| {
                let size = DVec2::new(20.0 + next(90.0), 10.0 + next(60.0));
                outline(&(0..12).map(|_| DVec2::new(next(1.0), next(1.0)) * size).collect::<Vec<_>>())
            })
            .collect();
        let spots = nested(&shapes, bed);
        let laid: Vec<Vec<DVec2>> = shapes.iter().zip(&spots).map(|(o, s)| corners(o, s)).collect();
        for (i, a) in laid.iter().enumerate() {
            assert!(
                a.iter()
                    .all(|p| p.cmpge(DVec2::splat(5.0 - 1e-6)).all() && p.cmple(bed.size - 5.0 + 1e-6).all())
            );
            for (j, b) in
                laid.iter().enumerate().skip(i + 1).filter(|(j, _)| spots[*j].plate == spots[i].plate)
            {
                assert!(distance(a, b) >= 5.0 - 1e-6, "{i} {j} {}", distance(a, b));
            }
        }
        let area: f64 = shapes.iter().map(|o| Reach::of(o).area()).sum();
        let plates = spots.iter().map(|s| s.plate).max().unwrap() + 1;
        assert!(plates as f64 <= (2.0 * area / (210.0 * 190.0)).ceil(), "{plates} plates for {area} mm2");
    }

    /// Printed larger along x and smaller along y, parts stand as far apart, and a part as large as the room fits.
    #[test]
    fn a_scaled_bed_keeps_its_distances() {
        let printer = Printer { scale: [1.04, 0.97, 1.0], ..Printer::default() };
        let room = crate::fits::Room::of(&printer).bed;
        let half = rectangle(0.5 * room.x - 3.0, room.y);
        let spots = nested(&[rectangle(room.x, room.y), half.clone(), half.clone()], Bed::of(&printer));
        assert_eq!(spots.iter().map(|s| s.plate).collect::<Vec<_>>(), [0, 1, 1]);
        let scale = DVec2::new(1.04, 0.97);
        let printed = |spot: &Spot| corners(&half, spot).into_iter().map(|p| p * scale).collect::<Vec<_>>();
        let [a, b] = [printed(&spots[1]), printed(&spots[2])];
        assert!(distance(&a, &b) >= printer.apart - 1e-9);
        let bed = DVec2::from(printer.bed);
        let edge = a.iter().chain(&b).map(|p| p.min(bed - *p).min_element()).fold(f64::INFINITY, f64::min);
        assert!(edge >= printer.apart - 1e-9, "{edge}");
    }

    #[test]
    fn twenty_equal_blocks_fill_one_bed() {
        // Four columns of five: 4 x 45 + 5 x 5 = 205 and 5 x 34 + 6 x 5 = 200.
        let bed = Bed { size: DVec2::new(205.0, 200.0), apart: 5.0 };
        let spots = nested(&vec![rectangle(45.0, 34.0); 20], bed);
        assert!(spots.iter().all(|s| s.plate == 0), "{spots:?}");
        let fuller = nested(&vec![rectangle(45.0, 34.0); 21], bed);
        assert_eq!(fuller.iter().filter(|s| s.plate == 1).count(), 1);
    }

    #[test]
    fn a_spot_moves_a_placement_as_it_moves_its_outline() {
        let placement = Placement { turn: DMat3::from_rotation_x(0.3), by: geom::DVec3::new(1.0, 2.0, 3.0) };
        let spot = Spot { plate: 0, angle: 0.7, by: DVec2::new(40.0, 50.0) };
        let point = geom::DVec3::new(5.0, -6.0, 7.0);
        let there = spot.placed(&placement).apply(point);
        let flat = placement.apply(point).truncate();
        assert!((there.truncate() - (DVec2::from_angle(0.7).rotate(flat) + spot.by)).length() < 1e-12);
    }
}
