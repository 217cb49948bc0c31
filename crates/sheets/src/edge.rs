//! The edge of a cut around a tube, as points dense enough to print and to list.

use std::f64::consts::TAU;

use geom::angle::from_degrees;
use geom::roots;
use tube::{End, Piece};

use crate::canvas::Point;

/// Clocks, rad in `[0, TAU)` ascending, at which the edges of a cut or the printed line have a corner:
/// the corners of the inner and of the outer edge, and where one overtakes the other.
pub fn corners(piece: &Piece, end: End) -> Vec<f64> {
    let mut corners = piece.kinks(end, 0.0);
    corners.extend(piece.kinks(end, 1.0));
    corners.extend(crossings(piece, end, &corners));
    tidy(corners)
}

/// Clocks, rad in `[0, TAU)` ascending, at which a cut is listed: each `step` rad, its corners and its
/// longest and shortest points.
pub fn listed_clocks(piece: &Piece, end: End, step: f64) -> Vec<f64> {
    let count = (TAU / step).round() as u32;
    let mut clocks: Vec<f64> = (0..count).map(|i| f64::from(i) * step).collect();
    if piece.cut(end).kind() != "square" {
        clocks.extend(corners(piece, end));
        for depth in [0.0, 1.0] {
            let extremes = piece.extremes(end, depth);
            clocks.extend([extremes.longest.0, extremes.shortest.0]);
        }
    }
    tidy(clocks)
}

/// Largest distance along the axis between the inner and the outer edge, mm, and its clock, rad: the
/// bevel to file where the cut is to close on both.
pub fn bevel(piece: &Piece, end: End) -> (f64, f64) {
    let apart = |clock: f64| (piece.edge(end, clock, 1.0) - piece.edge(end, clock, 0.0)).abs();
    let mut clocks = listed_clocks(piece, end, from_degrees(1.0));
    clocks.dedup();
    clocks.into_iter().map(|c| (apart(c), c)).max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0.0))
}

/// The points of the curve `at` over `[from, to]`, with every one of `corners` inside among them, and no
/// chord further from the curve than `tolerance` mm (judged at its quarter points).
pub fn curve(
    at: impl Fn(f64) -> Point,
    corners: &[f64],
    (from, to): (f64, f64),
    tolerance: f64,
) -> Vec<Point> {
    let mut breaks = vec![from];
    breaks.extend(corners.iter().copied().filter(|c| *c > from + 1e-9 && *c < to - 1e-9));
    breaks.push(to);
    let mut points = vec![at(from)];
    for pair in breaks.windows(2) {
        const PARTS: u32 = 8;
        let step = (pair[1] - pair[0]) / f64::from(PARTS);
        for i in 0..PARTS {
            let a = pair[0] + f64::from(i) * step;
            let b = if i + 1 == PARTS { pair[1] } else { a + step };
            refine(&at, (a, b), tolerance, 14, &mut points);
        }
    }
    points
}

fn refine(
    at: &impl Fn(f64) -> Point,
    (a, b): (f64, f64),
    tolerance: f64,
    depth: u32,
    points: &mut Vec<Point>,
) {
    let (p, q) = (at(a), at(b));
    let far = [0.25, 0.5, 0.75].iter().any(|t| off_chord(at(a + t * (b - a)), p, q) > tolerance);
    if depth == 0 || !far {
        points.push(q);
        return;
    }
    let middle = 0.5 * (a + b);
    refine(at, (a, middle), tolerance, depth - 1, points);
    refine(at, (middle, b), tolerance, depth - 1, points);
}

/// Distance of `x` from the line through `p` and `q`, mm.
fn off_chord(x: Point, p: Point, q: Point) -> f64 {
    let (ux, uy) = (q[0] - p[0], q[1] - p[1]);
    let (vx, vy) = (x[0] - p[0], x[1] - p[1]);
    let length = (ux * ux + uy * uy).sqrt();
    if length == 0.0 { (vx * vx + vy * vy).sqrt() } else { (ux * vy - uy * vx).abs() / length }
}

/// Where the outer edge overtakes the inner one, between corners.
fn crossings(piece: &Piece, end: End, corners: &[f64]) -> Vec<f64> {
    let ahead = |clock: f64| piece.edge(end, clock, 1.0) - piece.edge(end, clock, 0.0);
    let mut clocks: Vec<f64> = (0..=180).map(|i| from_degrees(2.0 * f64::from(i))).collect();
    clocks.extend(corners);
    clocks.sort_by(f64::total_cmp);
    clocks.windows(2).filter_map(|w| roots::bracketed(ahead, w[0], w[1], 1e-12)).collect()
}

fn tidy(mut clocks: Vec<f64>) -> Vec<f64> {
    clocks.retain(|c| *c < TAU - 1e-9);
    clocks.sort_by(f64::total_cmp);
    clocks.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    clocks
}
