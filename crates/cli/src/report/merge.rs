//! Merges in the report.

use layout::FlangePlate;
use layout::Layout;
use layout::layout::{Leg, Merge};
use serde::Serialize;
use spec::design::Way;

use super::number::{Num, Point, Pose, Unit, point, unit};

/// A merge.
#[derive(Debug, Serialize)]
pub struct MergeRow<'a> {
    name: &'a str,
    at: Point,
    along: [Unit; 3],
    inside: [Unit; 3],
    outlet: &'a str,
    way: &'static str,
    spike: Point,
    /// How far upstream of the mouth neighbours first touch, along the axis.
    first_contact: Num,
    mouth: Mouth,
    #[serde(skip_serializing_if = "Option::is_none")]
    perimeters: Option<Perimeters>,
    #[serde(skip_serializing_if = "Option::is_none")]
    valley: Option<Valley>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cone: Option<&'a str>,
    legs: Vec<LegRow<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    void: Option<VoidRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plug: Option<PlugRow<'a>>,
}

/// The pointed void between three or more legs, and its section where it opens upstream.
#[derive(Debug, Serialize)]
struct VoidRow {
    /// How far upstream of the mouth it opens, along the axis.
    from: Num,
    /// From there to the spike, where it ends.
    length: Num,
    /// From the axis to its corners.
    corner_radius: Num,
    area_mm2: Num,
    perimeter: Num,
}

/// The plate that closes the void.
#[derive(Debug, Serialize)]
struct PlugRow<'a> {
    mark: &'a str,
    alloy: &'a str,
    thickness: Num,
    /// How far upstream of the mouth its upstream face stands, along the axis.
    from: Num,
    /// The middle of its upstream face.
    at: Point,
    /// From the axis to its corners, and to the middles of its sides.
    corner_radius: Num,
    hollow_radius: Num,
    volume_mm3: Num,
    area_mm2: Num,
    perimeter: Num,
    blank: [Num; 2],
    mass: Num,
    weld_length: Num,
    gap: Gap,
}

/// Between a plug's edge and the legs.
#[derive(Debug, Serialize)]
struct Gap {
    /// At its downstream face.
    least: Num,
    /// In the middles of its sides, at its upstream face.
    largest: Num,
}

/// The mouth: its outside diameter, and how far downstream of the spike it is.
#[derive(Debug, Serialize)]
struct Mouth {
    od: Num,
    from_spike: Num,
}

/// The sawn outline's length at the mouth.
#[derive(Debug, Serialize)]
struct Perimeters {
    outside: Num,
    bore: Num,
}

/// Distances from the axis of the sawn outline's outside, and their difference.
#[derive(Debug, Serialize)]
struct Valley {
    lobe_radius: Num,
    radius: Num,
    depth: Num,
}

#[derive(Debug, Serialize)]
struct LegRow<'a> {
    piece: &'a str,
    run: &'a str,
    azimuth: Num,
    to_tip: Num,
    inlet: Pose,
}

impl<'a> MergeRow<'a> {
    /// A merge of a layout.
    pub fn of(index: usize, layout: &'a Layout) -> MergeRow<'a> {
        let merge = &layout.merges[index];
        let mouth = Mouth { od: Num(merge.mouth_od), from_spike: Num(merge.spike_depth()) };
        let valley = |[lobe, valley]: [f64; 2]| Valley {
            lobe_radius: Num(lobe),
            radius: Num(valley),
            depth: Num(lobe - valley),
        };
        MergeRow {
            name: &merge.name,
            at: point(merge.frame.at),
            along: unit(merge.frame.along),
            inside: unit(merge.frame.inside),
            outlet: &layout.runs[merge.outlet].name,
            way: way_name(merge.way),
            spike: point(merge.spike()),
            first_contact: Num(merge.first_contact_depth()),
            mouth,
            perimeters: merge.outline.map(|[o, b]| Perimeters { outside: Num(o), bore: Num(b) }),
            valley: merge.lobe_and_valley.map(valley),
            cone: merge.cone.map(|piece| layout.pieces[piece].mark.as_str()),
            legs: merge.legs.iter().map(|leg| LegRow::of(leg, layout)).collect(),
            void: VoidRow::of(merge),
            plug: PlugRow::of(index, layout),
        }
    }
}

impl<'a> PlugRow<'a> {
    fn of(index: usize, layout: &'a Layout) -> Option<PlugRow<'a>> {
        let (merge, plate) = (&layout.merges[index], layout.plug_plate(index)?);
        let (plug, part) = (merge.plug?, plate.parts.first()?);
        let blank = FlangePlate::blank(part);
        Some(PlugRow {
            mark: &part.mark,
            alloy: plate.alloy.name,
            thickness: Num(plate.thickness()),
            from: Num(merge.mouth - plug.from),
            at: point(plate.frame.at),
            corner_radius: Num(plug.corner),
            hollow_radius: Num(plug.hollow),
            volume_mm3: Num(plate.volume()),
            area_mm2: Num(part.outline.area()),
            perimeter: Num(part.outline.perimeter()),
            blank: [Num(blank.x), Num(blank.y)],
            mass: Num(plate.mass()),
            weld_length: Num(plate.weld_length()),
            gap: Gap { least: Num(plug.gap[0]), largest: Num(plug.gap[1]) },
        })
    }
}

impl VoidRow {
    fn of(merge: &Merge) -> Option<VoidRow> {
        let (cluster, rho) = (merge.cluster, merge.cluster.outer);
        let from = cluster.void_from(rho)?;
        let section = cluster.void_section(from, rho)?;
        Some(VoidRow {
            from: Num(merge.mouth - from),
            length: Num(cluster.spike(rho) - from),
            corner_radius: Num(section.corner),
            area_mm2: Num(section.area),
            perimeter: Num(section.perimeter),
        })
    }
}

impl<'a> LegRow<'a> {
    fn of(leg: &'a Leg, layout: &'a Layout) -> LegRow<'a> {
        LegRow {
            piece: &layout.pieces[leg.piece].mark,
            run: &layout.runs[leg.run].name,
            azimuth: Num::degrees(leg.azimuth),
            to_tip: Num(leg.to_tip),
            inlet: Pose::of(&leg.inlet),
        }
    }
}

fn way_name(way: Way) -> &'static str {
    match way {
        Way::Trimmed => "trimmed",
        Way::Fitted => "fitted",
    }
}
