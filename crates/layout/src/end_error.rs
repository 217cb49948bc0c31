//! What small errors in a run's rows do to its end.

use geom::DVec3;
use geom::angle::from_degrees;
use geom::unit::{INCH, Units};
use spec::shop::Accuracy;
use tube::{Centreline, Segment};

use crate::layout::EndError;

/// How far a run's end moves when each of its numbers is off by its rounding or the shop's accuracy.
///
/// `joints` is how many lengths the run is put together from beyond those of its bends: pieces after the
/// first, and overlaps.
///
/// First-order: a feed moves the end by its error; a turn or a bend by its angle times the end's
/// distance from the axis of that turn or bend. The worst sum is enlarged by the sum of the angles,
/// which bounds what the first order leaves out.
pub(crate) fn end_error(line: &Centreline, joints: usize, units: Units, shop: Accuracy) -> EndError {
    let half_length = match units {
        Units::Millimetre => 0.05,
        Units::Inch => 0.005 * INCH,
    };
    let half_angle = from_degrees(0.05);
    let print = moves(
        line,
        joints,
        Accuracy { length: half_length, bend: half_angle, turn: half_angle },
        MITRE_PRINT,
    );
    let shop = moves(line, joints, shop, shop.bend);
    EndError { print: worst(&print), shop: worst(&shop), shop_likely: likely(&shop) }
}

/// A mitre's cut angle is printed to 0.01 degree and stands on both sides of it, rad.
const MITRE_PRINT: f64 = 2.0 * 0.005 * std::f64::consts::PI / 180.0;

/// Each number's share: how far the end moves, and the angle behind it; `mitre` is the error of a mitre's
/// turn, rad.
fn moves(line: &Centreline, joints: usize, off: Accuracy, mitre: f64) -> Vec<(f64, f64)> {
    let end = line.end().at;
    let mut moves = vec![(off.length, 0.0); 1 + joints];
    let mut bends = 0;
    for span in line.spans() {
        let Segment::Arc { radius, angle, .. } = span.segment else { continue };
        let frame = span.frame.turned(span.plane);
        let lever = |at: DVec3, axis: DVec3| (end - at).cross(axis).length();
        moves.push((off.length, 0.0));
        if bends > 0 {
            moves.push((off.turn * lever(frame.at, frame.along), off.turn));
        }
        let after = frame.bent(radius, angle);
        let bend = if span.is_mitre() { mitre } else { off.bend };
        moves.push((bend * lever(after.at + after.inside * radius, after.side()), bend));
        bends += 1;
    }
    moves
}

fn worst(moves: &[(f64, f64)]) -> f64 {
    let angles: f64 = moves.iter().map(|m| m.1).sum();
    moves.iter().map(|m| m.0).sum::<f64>() * (1.0 + angles)
}

fn likely(moves: &[(f64, f64)]) -> f64 {
    moves.iter().map(|m| m.0 * m.0).sum::<f64>().sqrt()
}
