//! Ends of a piece that touch each other, or a bend.

use std::f64::consts::TAU;

use geom::roots;
use tube::{End, Piece, Shape};

use super::opening::moved_off;
use super::solid::DEPTHS;
use super::wall::Wall;

/// The piece with its ends apart where they touch each other or a bend, and the clocks at which they did;
/// its holes a hair off the bends that they touch.
pub fn parted(piece: &Piece) -> (Piece, Vec<f64>) {
    let walls = Wall::all(piece);
    let oblique = |end: End| piece.cut(end).shape != Shape::Square;
    let alone = walls.len() == 1;
    let low = |clock, depth| match alone {
        true => piece.edge(End::Start, clock, depth),
        false => walls.last().map_or(0.0, |w| w.station),
    };
    let room = walls.get(1).map_or(piece.length(), |w| w.station);
    let mut parted = piece.clone();
    let mut clocks = Vec::new();
    for depth in DEPTHS {
        if oblique(End::End) {
            let above = |clock| piece.edge(End::End, clock, depth) - low(clock, depth);
            let touches = touches(above);
            if !touches.is_empty() {
                parted.end = piece.end.moved(2.0 * NECK);
            }
            clocks.extend(touches);
        }
        if oblique(End::Start) {
            let touches = touches(|clock| room - piece.edge(End::Start, clock, depth));
            if !touches.is_empty() {
                parted.start = piece.start.moved(-2.0 * NECK);
            }
            clocks.extend(touches);
        }
    }
    for (i, hole) in piece.holes.iter().enumerate() {
        let middle = 0.5 * (hole.extent(piece).0.0 + hole.extent(piece).0.1);
        let Some(wall) = walls.iter().rposition(|w| w.station <= middle) else { continue };
        let begin = if wall == 0 { f64::NEG_INFINITY } else { walls[wall].station };
        let end = walls.get(wall + 1).map_or(f64::INFINITY, |w| w.station);
        parted.holes[i] = moved_off(piece, hole, (begin, end));
    }
    (parted, clocks)
}

/// The clocks at which a height is least and under [`NECK`], looked for at every third degree and
/// narrowed down.
fn touches(height: impl Fn(f64) -> f64) -> Vec<f64> {
    const STEPS: usize = 120;
    let step = TAU / STEPS as f64;
    let heights: Vec<f64> = (0..STEPS).map(|i| height(i as f64 * step)).collect();
    let mut clocks = Vec::new();
    for i in 0..STEPS {
        let (before, after) = (heights[(i + STEPS - 1) % STEPS], heights[(i + 1) % STEPS]);
        if heights[i] <= before && heights[i] <= after {
            let at = i as f64 * step;
            let clock = roots::minimum(&height, at - step, at + step, 1e-10);
            if height(clock) < NECK {
                clocks.push(clock);
            }
        }
    }
    clocks
}

/// Ends that come nearer than this touch, mm.
pub const NECK: f64 = 1e-6;
