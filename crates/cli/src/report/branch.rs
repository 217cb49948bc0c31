//! Branches, bungs and their holes in the report.

use layout::Layout;
use layout::layout::{Branch, Bung, Place};
use serde::Serialize;
use spec::Design;
use tube::Hole;

use super::number::{Num, Point, Pose, point};

/// A branch. Its angle is the flow angle between its travel and its host's.
#[derive(Debug, Serialize)]
pub struct BranchRow<'a> {
    name: &'a str,
    on: &'a str,
    run: &'a str,
    #[serde(flatten)]
    place: PlaceRow<'a>,
    /// Area of its bore and of its host's there, mm2, and the one over the other.
    bore_area: Num,
    host_bore_area: Num,
    bore_ratio: Num,
}

/// A bung.
#[derive(Debug, Serialize)]
pub struct BungRow<'a> {
    piece: &'a str,
    bung: &'a str,
    #[serde(rename = "use")]
    sensor: &'static str,
    thread: &'a str,
    run: &'a str,
    #[serde(flatten)]
    place: PlaceRow<'a>,
    /// How far its axis rises above the horizontal on its way outward, degrees.
    above_horizontal: Num,
    face: Point,
    #[serde(skip_serializing_if = "Option::is_none")]
    tool: Option<ToolRow>,
}

/// Where it goes through a wall; `start` is where its axis pierces the outside, clock 0 toward the host's
/// travel.
#[derive(Debug, Serialize)]
struct PlaceRow<'a> {
    host: &'a str,
    hole: usize,
    station: Num,
    clock: Num,
    angle: Num,
    offset: Num,
    set: &'static str,
    start: Pose,
}

#[derive(Debug, Serialize)]
struct ToolRow {
    od: Num,
    length: Num,
}

/// A hole in a piece's wall: the place of its foot on the piece, as `tube::Hole` has it.
#[derive(Debug, Serialize)]
pub struct HoleRow {
    foot: Num,
    clock: Num,
    angle: Num,
    offset: Num,
    radius: Num,
}

impl<'a> BranchRow<'a> {
    /// A branch of a layout.
    pub fn of(branch: &'a Branch, layout: &'a Layout) -> BranchRow<'a> {
        BranchRow {
            name: &branch.name,
            on: &branch.on,
            run: &layout.runs[branch.run].name,
            place: PlaceRow::of(&branch.place, layout),
            bore_area: Num(branch.bores[0]),
            host_bore_area: Num(branch.bores[1]),
            bore_ratio: Num(branch.bore_ratio()),
        }
    }
}

impl<'a> BungRow<'a> {
    /// A bung of a layout.
    pub fn of(bung: &'a Bung, design: &'a Design, layout: &'a Layout) -> BungRow<'a> {
        let wanted = &design.bungs[bung.bung];
        BungRow {
            piece: &layout.pieces[bung.piece].mark,
            bung: &wanted.name,
            sensor: wanted.sensor.name(),
            thread: &wanted.thread,
            run: &layout.runs[bung.run].name,
            place: PlaceRow::of(&bung.place, layout),
            above_horizontal: Num::degrees(bung.place.above_horizontal()),
            face: point(bung.face),
            tool: wanted.tool.map(|tool| ToolRow { od: Num(tool.od), length: Num(tool.length) }),
        }
    }
}

impl<'a> PlaceRow<'a> {
    fn of(place: &'a Place, layout: &'a Layout) -> PlaceRow<'a> {
        PlaceRow {
            host: &layout.pieces[place.host].mark,
            hole: place.hole + 1,
            station: Num(place.at),
            clock: Num::degrees(place.clock),
            angle: Num::degrees(place.angle),
            offset: Num(place.offset),
            set: place.set.name(),
            start: Pose::of(&place.frame),
        }
    }
}

impl HoleRow {
    /// A hole of a piece.
    pub fn of(hole: &Hole) -> HoleRow {
        HoleRow {
            foot: Num(hole.station),
            clock: Num::degrees(geom::angle::wrap_turn(hole.clock)),
            angle: Num::degrees(hole.angle),
            offset: Num(hole.offset),
            radius: Num(hole.radius),
        }
    }
}
