//! `fitment.json`: every number of a fitment model, for other programs. mm, degrees, kg, mm3.

use fitment::{Collar, Fitment, Placement, PrintPlate, Printed, Settings};
use geom::{DVec3, Frame};
use serde::Serialize;
use spec::shop::Printer;
use tube::End;

use crate::fitment_files::collar_name;
use crate::reading::Job;
use crate::report::{FindingRow, Num, Point, Unit, point, unit};

/// The whole report.
#[derive(Debug, Serialize)]
pub struct FitmentReport<'a> {
    format: u32,
    spec: &'a str,
    hotside: &'static str,
    variant: &'static str,
    chord: Num,
    printer: PrinterRow<'a>,
    whole: WholeRow,
    parts: Vec<PartRow<'a>>,
    joints: Vec<JointRow<'a>>,
    plates: Vec<PlateRow>,
    collars: Vec<CollarRow<'a>>,
    collar_plates: Vec<PlateRow>,
    cube: CubeRow,
    totals: Totals,
    findings: Vec<FindingRow<'a>>,
}

#[derive(Debug, Serialize)]
struct PrinterRow<'a> {
    stated: bool,
    bed: [Num; 2],
    height: Num,
    nozzle: Num,
    material: &'a str,
    density: Num,
    fit_gap: Num,
    spigot: Num,
    #[serde(skip_serializing_if = "Option::is_none")]
    wall: Option<Num>,
    overhang: Num,
    apart: Num,
    scale: [Unit; 3],
}

#[derive(Debug, Serialize)]
struct WholeRow {
    file: &'static str,
    volume_mm3: Num,
    least: Point,
    most: Point,
}

#[derive(Debug, Serialize)]
struct PartRow<'a> {
    mark: &'a str,
    /// When it is put in, from 1.
    order: usize,
    file: String,
    plate: usize,
    to_header: Transform,
    size: Point,
    volume_mm3: Num,
    /// Before figures and datum were sunk, without a boss behind the datum.
    plain_volume_mm3: Num,
    /// What that adds.
    boss_mm3: Num,
    mass: Num,
    overhang_mm2: Num,
    united: bool,
    datum: Option<Spot>,
    figures: Option<Spot>,
    put_in: Option<[Unit; 3]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    aside: Option<[Unit; 3]>,
    /// Whether its tubes touch others on its way in.
    touching: bool,
    lengths: Vec<LengthRow<'a>>,
    holds: Vec<String>,
    joints: Vec<usize>,
}

/// From where a thing stands on its plate, the printer's scale taken off, to where it belongs: turned, then moved.
#[derive(Debug, Serialize)]
struct Transform {
    /// The rotation, row by row.
    turn: [Unit; 9],
    by: Point,
}

/// A place on a part's surface.
#[derive(Debug, Serialize)]
struct Spot {
    at: Point,
    out: [Unit; 3],
}

/// A length of a run in a part, in the run's stations; what continues the run in line reaches beyond its ends.
#[derive(Debug, Serialize)]
struct LengthRow<'a> {
    run: &'a str,
    from: Num,
    to: Num,
}

#[derive(Debug, Serialize)]
struct JointRow<'a> {
    number: usize,
    run: &'a str,
    station: Num,
    at: Point,
    along: [Unit; 3],
    inside: [Unit; 3],
    in_bend: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    steel: Option<&'a str>,
    spigot: &'a str,
    socket: &'a str,
    points_downstream: bool,
    radius: Num,
    length: Num,
    rib_width: Num,
    rib_height: Num,
    clock: Num,
    draft: Num,
    gap: Num,
    spigot_mm3: Num,
    socket_mm3: Num,
}

#[derive(Debug, Serialize)]
struct PlateRow {
    files: [String; 2],
    holds: Vec<String>,
    volume_mm3: Num,
    mass: Num,
}

#[derive(Debug, Serialize)]
struct CollarRow<'a> {
    piece: &'a str,
    end: &'a str,
    half: usize,
    of: usize,
    file: String,
    plate: usize,
    /// From the plate to the collar's own axes.
    to_collar: Transform,
    reach: Num,
    downstream: bool,
    volume_mm3: Num,
}

#[derive(Debug, Serialize)]
struct CubeRow {
    files: [&'static str; 2],
    gaps: Vec<Num>,
}

/// Of all parts, without collars and cube.
#[derive(Debug, Serialize)]
struct Totals {
    volume_mm3: Num,
    mass: Num,
    overhang_mm2: Num,
}

impl<'a> FitmentReport<'a> {
    /// The report of a job's model.
    pub fn of(job: &'a Job, settings: &'a Settings, model: &'a Fitment) -> FitmentReport<'a> {
        let printer = &settings.printer;
        let parts: Vec<PartRow<'a>> =
            (0..model.parts.len()).map(|part| PartRow::of(part, job, printer, model)).collect();
        FitmentReport {
            format: 1,
            spec: &job.design.name,
            hotside: env!("CARGO_PKG_VERSION"),
            variant: settings.variant.name(),
            chord: Num(settings.chord),
            printer: PrinterRow::of(printer),
            whole: WholeRow::of(model),
            totals: Totals::of(printer, model),
            parts,
            joints: (0..model.division.joinings.len()).map(|joining| JointRow::of(joining, model)).collect(),
            plates: plates(&model.plates, "plate", printer, |part| model.parts[part].mark.clone()),
            collars: model.collars.iter().map(CollarRow::of).collect(),
            collar_plates: plates(&model.collar_plates, "collars", printer, |collar| {
                collar_name(&model.collars[collar])
            }),
            cube: CubeRow {
                files: ["test/cube.3mf", "test/cube.stl"],
                gaps: model.cube.gaps.iter().copied().map(Num).collect(),
            },
            findings: job.layout.findings.iter().map(FindingRow::of).collect(),
        }
    }
}

fn plates(
    plates: &[PrintPlate],
    file: &str,
    printer: &Printer,
    name: impl Fn(usize) -> String,
) -> Vec<PlateRow> {
    let row = |(index, plate): (usize, &PrintPlate)| PlateRow {
        files: ["3mf", "stl"].map(|ending| format!("plates/{file}-{}.{ending}", index + 1)),
        holds: plate.holds.iter().map(|held| name(*held)).collect(),
        volume_mm3: Num(plate.volume),
        mass: Num(printer.mass(plate.volume)),
    };
    plates.iter().enumerate().map(row).collect()
}

impl<'a> PrinterRow<'a> {
    fn of(printer: &'a Printer) -> PrinterRow<'a> {
        PrinterRow {
            stated: printer.stated,
            bed: printer.bed.map(Num),
            height: Num(printer.height),
            nozzle: Num(printer.nozzle),
            material: &printer.material,
            density: Num(printer.density),
            fit_gap: Num(printer.fit_gap),
            spigot: Num(printer.spigot),
            wall: printer.wall.map(Num),
            overhang: Num::degrees(printer.overhang),
            apart: Num(printer.apart),
            scale: printer.scale.map(Unit),
        }
    }
}

impl WholeRow {
    fn of(model: &Fitment) -> WholeRow {
        let points = &model.whole.points;
        WholeRow {
            file: "whole.stl",
            volume_mm3: Num(model.whole.volume()),
            least: point(points.iter().fold(DVec3::INFINITY, |least, point| least.min(*point))),
            most: point(points.iter().fold(DVec3::NEG_INFINITY, |most, point| most.max(*point))),
        }
    }
}

impl<'a> PartRow<'a> {
    fn of(index: usize, job: &'a Job, printer: &Printer, model: &'a Fitment) -> PartRow<'a> {
        let (part, plan) = (&model.parts[index], &model.division.parts[index]);
        let length = |stretch: &fitment::Stretch| {
            let strand = &model.strands[stretch.strand];
            LengthRow {
                run: &job.layout.runs[strand.run].name,
                from: Num(stretch.from - strand.origin),
                to: Num(stretch.to - strand.origin),
            }
        };
        let ends = plan.stretches.iter().flat_map(|stretch| [stretch.start, stretch.end]);
        let volume = part.mesh.volume();
        PartRow {
            mark: &part.mark,
            order: index + 1,
            file: format!("parts/{}.stl", part.mark),
            plate: part.plate + 1,
            to_header: Transform::back(&part.placement),
            size: point(part.size),
            volume_mm3: Num(volume),
            plain_volume_mm3: Num(part.plain_volume),
            boss_mm3: Num(part.boss_volume),
            mass: Num(printer.mass(volume)),
            overhang_mm2: Num(part.overhang),
            united: part.united,
            datum: part.datum.map(|frame| Spot::of(&frame)),
            figures: part.figures.map(|frame| Spot::of(&frame)),
            put_in: plan.put_in.map(unit),
            aside: plan.aside.map(unit),
            touching: model.division.touching.contains(&index),
            lengths: plan.stretches.iter().map(length).collect(),
            holds: plan.nodes.iter().map(|node| model.nodes[*node].key()).collect(),
            joints: ends.flatten().map(|joining| model.division.joinings[joining].number).collect(),
        }
    }
}

impl Spot {
    fn of(frame: &Frame) -> Spot {
        Spot { at: point(frame.at), out: unit(frame.along) }
    }
}

impl Transform {
    /// The way back of a placement.
    fn back(placement: &Placement) -> Transform {
        Transform {
            // The columns of a rotation are the rows of its inverse.
            turn: placement.turn.to_cols_array().map(Unit),
            by: point(placement.undo(DVec3::ZERO)),
        }
    }
}

impl<'a> JointRow<'a> {
    fn of(index: usize, model: &'a Fitment) -> JointRow<'a> {
        let joining = &model.division.joinings[index];
        let strand = &model.strands[joining.strand];
        let frame = strand.line.frame_at(joining.station);
        let [spigot, socket] = model.division.mates(index).map(|part| model.parts[part].mark.as_str());
        let keyed = &joining.keyed;
        JointRow {
            number: joining.number,
            run: &strand.name,
            station: Num(joining.station - strand.origin),
            at: point(frame.at),
            along: unit(frame.along),
            inside: unit(frame.inside),
            in_bend: joining.in_bend,
            steel: joining.steel.map(|steel| strand.joints[steel].mark.as_str()),
            spigot,
            socket,
            points_downstream: joining.spigot == End::End,
            radius: Num(keyed.radius),
            length: Num(keyed.length),
            rib_width: Num(keyed.rib_width),
            rib_height: Num(keyed.rib_height),
            clock: Num::degrees(keyed.clock),
            draft: Num::degrees(keyed.draft),
            gap: Num(keyed.gap),
            spigot_mm3: Num(keyed.spigot_volume()),
            socket_mm3: Num(keyed.socket_volume()),
        }
    }
}

impl<'a> CollarRow<'a> {
    fn of(collar: &'a Collar) -> CollarRow<'a> {
        CollarRow {
            piece: &collar.piece,
            end: &collar.end,
            half: collar.half.0,
            of: collar.half.1,
            file: format!("collars/{}.stl", collar_name(collar)),
            plate: collar.plate + 1,
            to_collar: Transform::back(&collar.placement),
            reach: Num(collar.reach),
            downstream: collar.downstream,
            volume_mm3: Num(collar.mesh.volume()),
        }
    }
}

impl Totals {
    fn of(printer: &Printer, model: &Fitment) -> Totals {
        let volume = model.parts.iter().map(|part| part.mesh.volume()).sum();
        Totals {
            volume_mm3: Num(volume),
            mass: Num(printer.mass(volume)),
            overhang_mm2: Num(model.parts.iter().map(|part: &Printed| part.overhang).sum()),
        }
    }
}
