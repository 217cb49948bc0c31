//! Whether points go into the printer's room in some position.

use std::f64::consts::PI;
use std::sync::LazyLock;

use geom::DVec3;
use geom::math::sin_cos;
use glam::DVec2;
use spec::shop::Printer;

use crate::calipers::{excess, nearest, outline};
use crate::nest::Bed;

/// The room for one part, mm, before the printer's scale: the bed less what stays free along its edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Width and depth.
    pub bed: DVec2,
    /// Height.
    pub height: f64,
}

impl Room {
    /// The room of a printer.
    pub fn of(printer: &Printer) -> Room {
        let bed = Bed::of(printer);
        Room { bed: bed.size - 2.0 * bed.apart, height: printer.height / printer.scale[2] }
    }
}

/// How a body comes nearest to going into a room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Which way is down, a unit vector.
    pub down: DVec3,
    /// Its size then, mm, turned about the vertical as it fits best.
    pub size: DVec3,
    /// The largest of what is missing across, deep and high, mm; not above 0 where it goes in.
    pub missing: f64,
}

/// The points that bound a body: its corners, or of many those furthest out in some [`DIRECTIONS`].
#[derive(Clone, Debug, PartialEq)]
pub struct Extent {
    /// Points, mm.
    pub points: Vec<DVec3>,
    /// How far the body may reach beyond its points, mm.
    pub beyond: f64,
    /// From one to another of two of its points that are as far apart as any were found.
    longest: DVec3,
}

impl Extent {
    /// The extent of all `points`; of more than 400 those furthest out.
    pub fn of(points: Vec<DVec3>) -> Extent {
        if points.len() <= MANY {
            let longest = longest(&points);
            return Extent { points, beyond: 0.0, longest };
        }
        let mut kept: Vec<usize> = DIRECTIONS.iter().filter_map(|d| furthest(&points, *d)).collect();
        kept.sort_unstable();
        kept.dedup();
        let points: Vec<DVec3> = kept.into_iter().map(|i| points[i]).collect();
        let longest = longest(&points);
        Extent { points, beyond: BEYOND, longest }
    }

    /// The extent of two bodies as one.
    pub fn joined(&self, other: &Extent) -> Extent {
        let joined = Extent::of([&self.points[..], &other.points[..]].concat());
        Extent { beyond: joined.beyond.max(self.beyond).max(other.beyond), ..joined }
    }

    /// The first position found in which it goes into `room`, else the nearest to it: downs along `ways` and [`WAYS`],
    /// those that put its length into the room's diagonal, then leaning away from the best of them.
    pub fn fit(&self, room: Room, ways: &[DVec3]) -> Fit {
        let mut tried: Vec<Fit> = Vec::with_capacity(WAYS.len() + ways.len());
        let mut near = f64::INFINITY;
        for down in ways.iter().chain(WAYS.iter()).copied().chain(self.diagonals(room)) {
            let Some(fit) = self.standing(room, down, near + SPREAD) else { continue };
            if fit.missing <= 0.0 {
                return fit;
            }
            near = near.min(fit.missing);
            tried.push(fit);
        }
        tried.sort_by(|a, b| a.missing.total_cmp(&b.missing));
        tried.truncate(2);
        let worth = |f: &Fit| f.missing < LEANING * (room.bed.max_element() + room.height);
        let leaned = tried.iter().filter(|f| worth(f)).map(|fit| self.leaning(room, *fit, FINE));
        let best = leaned.chain(tried.iter().copied()).min_by(|a, b| a.missing.total_cmp(&b.missing));
        best.unwrap_or(Fit { down: -DVec3::Z, size: DVec3::ZERO, missing: 0.0 })
    }

    /// How much longer and wider a printer's bed has to be, and how much higher it has to print, for this to go in: mm,
    /// in whole tenths; 0 where it goes in. The largest of the three is within 2 mm of the least that it
    /// can be, of thin boards within 4 mm.
    pub fn lacks(&self, printer: &Printer, ways: &[DVec3]) -> [f64; 3] {
        let scale = DVec3::from(printer.scale);
        let mut lacks = DVec3::ZERO;
        loop {
            let bed = [0, 1].map(|i| printer.bed[i] + lacks[i]);
            let room = Room::of(&Printer { bed, height: printer.height + lacks.z, ..printer.clone() });
            let fit = self.fit(room, ways);
            if fit.missing <= 0.0 {
                return lacks.to_array();
            }
            // With that much more it may stand otherwise, and has to be found without such care: it is asked again.
            let closest = self.closest(room, ways);
            let short = match closest.missing > 0.0 {
                true => (closest.size - room.bed.extend(room.height)).max(DVec3::ZERO) * scale,
                false => DVec3::splat(MORE),
            };
            lacks = ((lacks + short) * TENTHS - SLIGHT).ceil() / TENTHS;
        }
    }

    /// The position nearest to going in, looked for with more care than in [`Extent::fit`]: leaning away from several of the
    /// best downs, in finer steps, whatever is missing.
    fn closest(&self, room: Room, ways: &[DVec3]) -> Fit {
        let downs = ways.iter().chain(WAYS.iter()).copied().chain(self.diagonals(room));
        let mut tried: Vec<Fit> = downs.filter_map(|down| self.standing(room, down, f64::INFINITY)).collect();
        tried.sort_by(|a, b| a.missing.total_cmp(&b.missing));
        tried.truncate(CLOSEST);
        let leaned = tried.iter().map(|fit| self.leaning(room, *fit, FINEST));
        leaned.min_by(|a, b| a.missing.total_cmp(&b.missing)).unwrap_or_else(|| self.fit(room, ways))
    }

    /// How it stands with `down` down; none where more than `most` is missing.
    pub fn standing(&self, room: Room, down: DVec3, most: f64) -> Option<Fit> {
        let high = self.length_along(down) + 2.0 * self.beyond;
        if high - room.height >= most {
            return None;
        }
        // Two points further apart on the bed than its diagonal.
        let longest = self.longest - down * self.longest.dot(down);
        if longest.length() - room.bed.length() >= most {
            return None;
        }
        let (x, y) = down.any_orthonormal_pair();
        let flat: Vec<DVec2> = self.points.iter().map(|p| DVec2::new(p.dot(x), p.dot(y))).collect();
        let bed = room.bed - 2.0 * self.beyond;
        let turn = nearest(&outline(&flat), bed);
        let size = (turn.size + 2.0 * self.beyond).extend(high);
        let missing = excess(turn.size, bed).max(high - room.height);
        (missing < most).then_some(Fit { down, size, missing })
    }

    /// Downs that put its longest line at the slope of the room's diagonal.
    fn diagonals(&self, room: Room) -> impl Iterator<Item = DVec3> {
        let long = self.longest.normalize_or(DVec3::Z);
        let (x, y) = long.any_orthonormal_pair();
        let (flat, high) = (room.bed.length(), room.height);
        (0..8).map(move |k| {
            let (s, c) = sin_cos(f64::from(k) * 0.25 * PI);
            (long * high + (x * c + y * s) * flat).normalize()
        })
    }

    /// `fit` leaned in smaller and smaller steps, down to the `finest`, for as long as less is missing, or until it goes in.
    fn leaning(&self, room: Room, fit: Fit, finest: f64) -> Fit {
        let mut best = fit;
        let mut step = 0.1;
        while step > finest && best.missing > 0.0 {
            let (x, y) = best.down.any_orthonormal_pair();
            let leaned = [x, -x, y, -y, x + y, -x - y, x - y, y - x];
            let downs = leaned.map(|lean| (best.down + lean * step).normalize());
            let better = downs.into_iter().filter_map(|down| self.standing(room, down, best.missing));
            match better.min_by(|a, b| a.missing.total_cmp(&b.missing)) {
                Some(fit) => best = fit,
                None => step *= 0.5,
            }
        }
        best
    }

    fn length_along(&self, down: DVec3) -> f64 {
        let heights = self.points.iter().map(|p| p.dot(down));
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), z| (l.min(z), h.max(z)));
        (high - low).max(0.0)
    }
}

/// From the point furthest from the first to the point furthest from that.
fn longest(points: &[DVec3]) -> DVec3 {
    let far =
        |from: DVec3| points.iter().copied().max_by(|a, b| a.distance(from).total_cmp(&b.distance(from)));
    let a = points.first().and_then(|p| far(*p));
    a.and_then(|a| far(a).map(|b| b - a)).unwrap_or(DVec3::ZERO)
}

/// Index of the point furthest out in a direction, the first of several.
fn furthest(points: &[DVec3], towards: DVec3) -> Option<usize> {
    let mut best: Option<(usize, f64)> = None;
    for (i, point) in points.iter().enumerate() {
        let reach = point.dot(towards);
        if best.is_none_or(|(_, most)| reach > most) {
            best = Some((i, reach));
        }
    }
    best.map(|(i, _)| i)
}

/// `count` directions spread evenly over the sphere by the golden angle; the first half of them over its lower half.
fn spread(count: usize) -> Vec<DVec3> {
    let golden = PI * (3.0 - 5.0_f64.sqrt());
    let at = |i: usize| {
        let z = (2.0 * i as f64 + 1.0) / count as f64 - 1.0;
        let (s, c) = sin_cos(golden * i as f64);
        let across = (1.0 - z * z).sqrt();
        DVec3::new(across * c, across * s, z)
    };
    (0..count).map(at).collect()
}

/// The directions in which the points furthest out are kept, 3.6 degrees apart.
pub static DIRECTIONS: LazyLock<Vec<DVec3>> = LazyLock::new(|| {
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    axes.into_iter().flat_map(|a| [a, -a]).chain(spread(1000)).collect()
});

/// The directions tried as down: the axes and 128 over half the sphere, as down and up are the same to a box.
pub static WAYS: LazyLock<Vec<DVec3>> = LazyLock::new(|| {
    [DVec3::Z, DVec3::X, DVec3::Y].into_iter().chain(spread(256).into_iter().take(128)).collect()
});

/// Above so many points only those furthest out are kept.
const MANY: usize = 400;

/// Positions that are missing more than the nearest by so much are not looked at again, mm.
const SPREAD: f64 = 20.0;

/// A body that is missing less than this share of bed and height is leaned.
const LEANING: f64 = 0.06;

/// The finest step in which a body is leaned, rad, and that where it is told what is missing.
const FINE: f64 = 0.004;
const FINEST: f64 = 0.0005;

/// How many downs a body is leaned from where it is told what is missing.
const CLOSEST: usize = 12;

/// What is added where a room is only just enough, mm.
const MORE: f64 = 0.5;

/// Less than this of a tenth does not make another, mm.
const SLIGHT: f64 = 1e-9;

/// Parts of a mm in which it is said what is missing.
const TENTHS: f64 = 10.0;

/// How far a body may reach beyond the points kept: on a chord of 100 mm that turns by 3.6 degrees, a sagitta of
/// 0.8 mm.
const BEYOND: f64 = 0.8;

#[cfg(test)]
mod tests {
    use super::*;

    fn bar(length: f64, along: DVec3) -> Extent {
        let (x, y) = along.any_orthonormal_pair();
        let corner = |i: u32| {
            let side = |bit: u32| if i >> bit & 1 == 0 { -1.0 } else { 1.0 };
            along * length * 0.5 * side(0) + x * side(1) + y * side(2)
        };
        Extent::of((0..8).map(corner).collect())
    }

    const ROOM: Room = Room { bed: DVec2::new(200.0, 150.0), height: 120.0 };

    #[test]
    fn a_bar_longer_than_the_bed_stands_in_the_diagonal() {
        // The diagonal of 200 by 150 by 120 is 277.3 mm (Pythagoras); a bar 2 mm thick takes some 4 mm of it.
        let along = DVec3::new(0.3, -0.5, 0.8).normalize();
        assert!(bar(268.0, along).fit(ROOM, &[]).missing <= 0.0);
        let fit = bar(278.0, along).fit(ROOM, &[]);
        assert!(fit.missing > 0.0 && fit.missing < 6.0, "{fit:?}");
    }

    #[test]
    fn a_block_is_missing_what_it_is_larger_by() {
        let corners = (0..8).map(|i: u32| {
            let side = |bit: u32, length: f64| if i >> bit & 1 == 0 { 0.0 } else { length };
            DVec3::new(side(0, 205.0), side(1, 149.0), side(2, 119.0))
        });
        let fit = Extent::of(corners.collect()).fit(ROOM, &[]);
        assert!(fit.missing > 0.0 && fit.missing <= 5.0 + 1e-9, "{fit:?}");
    }

    #[test]
    fn a_printer_larger_by_what_is_missing_holds_it() {
        // Larger than both bed and height by far, and printed larger or smaller than it is.
        let along = DVec3::new(0.2, 0.5, -0.8).normalize();
        for (length, scale) in [(260.0, [1.0; 3]), (230.0, [1.03, 0.98, 1.01]), (60.0, [0.97; 3])] {
            let printer = Printer { bed: [130.0, 110.0], height: 90.0, scale, ..Printer::default() };
            let body = bar(length, along).joined(&bar(0.7 * length, along.any_orthonormal_vector()));
            let lacks = body.lacks(&printer, &[]);
            let bed = [0, 1].map(|i| printer.bed[i] + lacks[i]);
            let larger = Printer { bed, height: printer.height + lacks[2], ..printer };
            assert_eq!(lacks == [0.0; 3], length < 100.0);
            assert!(body.fit(Room::of(&larger), &[]).missing <= 0.0, "{lacks:?}");
        }
    }

    /// The least that is missing of 4000 directions, each of the best leaned.
    fn least_missing(body: &Extent, room: Room) -> f64 {
        let downs = spread(8000).into_iter().take(4000);
        let mut fits: Vec<Fit> = downs.filter_map(|d| body.standing(room, d, f64::INFINITY)).collect();
        fits.sort_by(|a, b| a.missing.total_cmp(&b.missing));
        let leaned = fits.iter().take(20).map(|fit| body.leaning(room, *fit, FINEST).missing);
        leaned.fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn what_is_said_to_be_missing_is_nearly_the_least() {
        // Length, width and thickness; bed and height; how far it may be off.
        let boards = [
            ([300.0, 135.0, 45.0], [150.0, 105.0, 180.0], 2.0),
            ([300.0, 20.0, 20.0], [150.0, 150.0, 150.0], 2.0),
            ([260.0, 60.0, 20.0], [130.0, 91.0, 156.0], 2.0),
            ([500.0, 135.0, 45.0], [220.0, 154.0, 264.0], 2.0),
            ([500.0, 2.0, 2.0], [220.0, 220.0, 220.0], 2.0),
            ([330.0, 135.0, 45.0], [180.0, 126.0, 216.0], 2.0),
            ([388.0, 108.0, 12.0], [220.0, 220.0, 240.0], 4.0),
        ];
        let along = DVec3::new(0.4, -0.5, 0.6).normalize();
        let (x, y) = along.any_orthonormal_pair();
        for (size, [long, wide, height], off) in boards {
            let corner = |i: u32| {
                let side = |bit: u32| size[bit as usize] * (f64::from(i >> bit & 1) - 0.5);
                along * side(0) + x * side(1) + y * side(2)
            };
            let board = Extent::of((0..8).map(corner).collect());
            let printer = Printer { bed: [long, wide], height, ..Printer::default() };
            let most = board.lacks(&printer, &[]).into_iter().fold(0.0, f64::max);
            let least = least_missing(&board, Room::of(&printer));
            assert!(most > 0.0 && most < least + off, "{size:?}: {most} of {least}");
        }
    }

    #[test]
    fn what_is_left_out_of_a_ball_reaches_less_far_than_said() {
        let ball: Vec<DVec3> = spread(20_000).into_iter().map(|d| d * 100.0).collect();
        let kept = Extent::of(ball);
        let least = spread(777).iter().map(|d| kept.length_along(*d)).fold(f64::INFINITY, f64::min);
        assert!(kept.points.len() <= 1006 && least + 2.0 * kept.beyond >= 200.0, "{least}");
    }
}
