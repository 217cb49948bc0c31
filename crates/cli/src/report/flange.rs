//! The flanges of the report, with their plates.

use geom::angle::to_degrees;
use layout::Layout;
use layout::flange_plate::{FlangePlate, Opening, PlacedHole, PlateOf, PlatePart};
use plate::{DVec2, Loop};
use serde::Serialize;
use spec::Design;
use spec::design::{Flange, Plate, PlateForm, PlateSlot};

use super::number::{Num, Point, Unit, point, unit};

/// A flange.
#[derive(Debug, Serialize)]
pub struct FlangeRow<'a> {
    name: &'a str,
    at: Point,
    along: [Unit; 3],
    #[serde(skip_serializing_if = "Option::is_none")]
    plate: Option<PlateRow<'a>>,
}

#[derive(Debug, Serialize)]
struct PlateRow<'a> {
    alloy: &'a str,
    thickness: Num,
    /// Where it begins and ends along the gas from the face.
    from: Num,
    to: Num,
    /// Directions of the drawing's x and y.
    x: [Unit; 3],
    y: [Unit; 3],
    volume_mm3: Num,
    mass: Num,
    weld_length: Num,
    growth: Option<Num>,
    parts: Vec<PartRow<'a>>,
    openings: Vec<OpeningRow<'a>>,
    holes: Vec<HoleRow>,
    slots: Vec<SlotRow>,
    drawn: Vec<DrawnRow>,
}

#[derive(Debug, Serialize)]
struct PartRow<'a> {
    mark: &'a str,
    area_mm2: Num,
    perimeter: Num,
    volume_mm3: Num,
    blank: [Num; 2],
    edges: usize,
}

#[derive(Debug, Serialize)]
struct OpeningRow<'a> {
    name: &'a str,
    run: Option<&'a str>,
    at: [Num; 2],
    kind: &'a str,
    width: Num,
    height: Num,
    area_mm2: Num,
    perimeter: Num,
    bore_mm2: Option<Num>,
    weld_length: Num,
}

#[derive(Debug, Serialize)]
struct HoleRow {
    at: [Num; 2],
    diameter: Num,
    travel: Num,
    washer: Num,
}

/// A slot that the spec lists.
#[derive(Debug, Serialize)]
struct SlotRow {
    /// Its middle.
    at: [Num; 2],
    width: Num,
    travel: Num,
    /// From x towards y, degrees.
    angle: Num,
    area_mm2: Num,
    perimeter: Num,
}

/// A hole that an outline brings along.
#[derive(Debug, Serialize)]
struct DrawnRow {
    /// The middle of its box.
    at: [Num; 2],
    width: Num,
    height: Num,
    area_mm2: Num,
    perimeter: Num,
}

/// Every flange of a design.
pub fn rows<'a>(design: &'a Design, layout: &'a Layout) -> Vec<FlangeRow<'a>> {
    let row = |(index, flange): (usize, &'a Flange)| FlangeRow {
        name: &flange.name,
        at: point(flange.at),
        along: unit(flange.along),
        plate: layout
            .plates
            .iter()
            .find(|p| p.of == PlateOf::Flange(index))
            .map(|plate| PlateRow::of(plate, flange.plate.as_ref(), layout)),
    };
    design.flanges.iter().enumerate().map(row).collect()
}

impl<'a> PlateRow<'a> {
    fn of(plate: &'a FlangePlate, wanted: Option<&Plate>, layout: &'a Layout) -> PlateRow<'a> {
        let drawn = wanted.into_iter().flat_map(|plate| match &plate.form {
            PlateForm::Drawn(outline) => &outline.holes[..],
            PlateForm::Margin(_) => &[],
        });
        PlateRow {
            alloy: plate.alloy.name,
            thickness: Num(plate.thickness()),
            from: Num(plate.reach[0]),
            to: Num(plate.reach[1]),
            x: unit(plate.frame.inside),
            y: unit(plate.frame.side()),
            volume_mm3: Num(plate.volume()),
            mass: Num(plate.mass()),
            weld_length: Num(plate.weld_length()),
            growth: plate.growth.map(Num),
            parts: plate.parts.iter().map(|part| PartRow::of(plate, part)).collect(),
            openings: plate.openings.iter().map(|opening| OpeningRow::of(opening, layout)).collect(),
            holes: plate.holes.iter().map(HoleRow::of).collect(),
            slots: wanted.into_iter().flat_map(|plate| &plate.slots).map(SlotRow::of).collect(),
            drawn: drawn.map(DrawnRow::of).collect(),
        }
    }
}

impl<'a> PartRow<'a> {
    fn of(plate: &FlangePlate, part: &'a PlatePart) -> PartRow<'a> {
        let area = part.outline.area();
        PartRow {
            mark: &part.mark,
            area_mm2: Num(area),
            perimeter: Num(part.outline.perimeter()),
            volume_mm3: Num(area * plate.thickness()),
            blank: pair(FlangePlate::blank(part)),
            edges: part.outline.loops().map(|one| one.edges.len()).sum(),
        }
    }
}

impl<'a> OpeningRow<'a> {
    fn of(opening: &'a Opening, layout: &'a Layout) -> OpeningRow<'a> {
        let (low, high) = opening.through.bounds();
        let bore = opening.tube.map(|tube| Loop::circle(DVec2::ZERO, 0.5 * tube.bore()).area());
        OpeningRow {
            name: &opening.name,
            run: opening.run.map(|run| layout.runs[run].name.as_str()),
            at: pair(opening.centre),
            kind: &opening.kind,
            width: Num(high.x - low.x),
            height: Num(high.y - low.y),
            area_mm2: Num(opening.through.area().abs()),
            perimeter: Num(opening.through.length()),
            bore_mm2: bore.map(Num),
            weld_length: Num(opening.weld_length),
        }
    }
}

impl HoleRow {
    fn of(hole: &PlacedHole) -> HoleRow {
        let PlacedHole { at, diameter, travel, washer, .. } = *hole;
        HoleRow { at: pair(at), diameter: Num(diameter), travel: Num(travel), washer: Num(washer) }
    }
}

impl SlotRow {
    fn of(slot: &PlateSlot) -> SlotRow {
        SlotRow {
            at: pair(slot.at),
            width: Num(slot.width),
            travel: Num(slot.travel),
            angle: Num(to_degrees(slot.angle)),
            area_mm2: Num(slot.edge.area().abs()),
            perimeter: Num(slot.edge.length()),
        }
    }
}

impl DrawnRow {
    fn of(hole: &Loop) -> DrawnRow {
        let (low, high) = hole.bounds();
        DrawnRow {
            at: pair(0.5 * (low + high)),
            width: Num(high.x - low.x),
            height: Num(high.y - low.y),
            area_mm2: Num(hole.area().abs()),
            perimeter: Num(hole.length()),
        }
    }
}

fn pair(point: DVec2) -> [Num; 2] {
    [Num(point.x), Num(point.y)]
}
