//! The transitions of the report.

use layout::{Layout, Transition};
use serde::Serialize;
use spec::Design;
use spec::design::TransitionMake;

use super::number::{Num, Point, Unit, point, unit};

/// A transition between a shape and a round tube.
#[derive(Debug, Serialize)]
pub struct TransitionRow<'a> {
    mark: &'a str,
    run: &'a str,
    flange: &'a str,
    make: &'static str,
    /// Middle of the shape's end, and the direction to the round end.
    at: Point,
    along: [Unit; 3],
    length: Num,
    least_length: Num,
    lean: Num,
    od: Num,
    wall: Num,
    alloy: &'a str,
    shape_perimeter: Num,
    shape_area_mm2: Num,
    round_perimeter: Num,
    round_area_mm2: Num,
    stretch_percent: Num,
    volume_mm3: Num,
    mass: Num,
    weld_length: Num,
}

impl<'a> TransitionRow<'a> {
    /// A transition of a layout.
    pub fn of(part: &'a Transition, design: &'a Design, layout: &'a Layout) -> TransitionRow<'a> {
        TransitionRow {
            mark: &part.mark,
            run: &layout.runs[part.run].name,
            flange: &design.flanges[part.flange].name,
            make: match part.make {
                TransitionMake::Tube => "tube",
                TransitionMake::Sheet => "sheet",
            },
            at: point(part.frame.at),
            along: unit(part.frame.along),
            length: Num(part.length),
            least_length: Num(part.least_length()),
            lean: Num::degrees(part.lean()),
            od: Num(part.section.od),
            wall: Num(part.section.wall),
            alloy: part.section.alloy.name,
            shape_perimeter: Num(part.shape_perimeter()),
            shape_area_mm2: Num(part.shape_area()),
            round_perimeter: Num(part.round_perimeter()),
            round_area_mm2: Num(part.round_area()),
            stretch_percent: Num(100.0 * part.stretch()),
            volume_mm3: Num(part.volume()),
            mass: Num(part.mass()),
            weld_length: Num(part.weld_length()),
        }
    }
}
