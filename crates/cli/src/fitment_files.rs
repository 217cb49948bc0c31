//! The files of a fitment model, in memory.

use fitment::{Fitment, NodeKind, Placement, Printed, Settings};
use geom::{DMat3, DVec3};
use layout::layout::Owner;
use models::threemf::{ThreemfGroup, ThreemfModel};
use solids::{Mesh, MeshFault};
use spec::shop::Printer;

use crate::cad_files::{key, owners};
use crate::console::json;
use crate::failure::Failure;
use crate::fitment_report::FitmentReport;
use crate::packet_files::Files;
use crate::reading::Job;

/// Every file of a model. Errors: a mesh that does not stay closed in single precision; a sheet that cannot be drawn.
pub fn files(job: &Job, settings: &Settings, model: &Fitment) -> Result<Files, Failure> {
    let mut files = Files::new();
    let report = json(&FitmentReport::of(job, settings, model))?;
    files.insert("fitment.json".to_owned(), report.into_bytes());
    let sheets = sheets::fitment(&job.design, &job.layout, settings, model)
        .map_err(|error| job.unusable("", "sheet", error.to_string()))?;
    files.insert("fitment.pdf".to_owned(), sheets);
    solids(&mut files, model).map_err(|(what, fault)| spoilt(job, &what, &fault))?;
    part_plates(&mut files, job, settings, model).map_err(|(what, fault)| spoilt(job, &what, &fault))?;
    collar_plates(&mut files, job, settings, model).map_err(|(what, fault)| spoilt(job, &what, &fault))?;
    cube(&mut files, settings, model).map_err(|fault| spoilt(job, "the test cube", &fault))?;
    Ok(files)
}

/// The name of a collar's file, without folder and ending.
pub fn collar_name(collar: &fitment::Collar) -> String {
    match collar.half {
        (_, 1) => format!("{}-{}", collar.piece, collar.end),
        (half, _) => format!("{}-{}-half-{half}", collar.piece, collar.end),
    }
}

/// What a mesh belongs to, and why it cannot be written.
type Spoilt = (String, MeshFault);

fn spoilt(job: &Job, what: &str, fault: &MeshFault) -> Failure {
    job.unusable("", "mesh", format!("{what}: {fault}"))
}

/// The solids in the axes in which they are described: the whole header, its parts, the collars.
fn solids(files: &mut Files, model: &Fitment) -> Result<(), Spoilt> {
    let parts = model.parts.iter().map(|part| (format!("parts/{}.stl", part.mark), &part.mesh));
    let collars = model.collars.iter().map(|c| (format!("collars/{}.stl", collar_name(c)), &c.mesh));
    for (name, mesh) in parts.chain(collars).chain([("whole.stl".to_owned(), &model.whole)]) {
        let bytes = models::stl(mesh).map_err(|fault| (name.clone(), fault))?;
        files.insert(name, bytes);
    }
    Ok(())
}

/// The plates of parts, coloured by run, merge and flange as the packet's model is.
fn part_plates(files: &mut Files, job: &Job, settings: &Settings, model: &Fitment) -> Result<(), Spoilt> {
    let colours = colours(job);
    for (index, plate) in model.plates.iter().enumerate() {
        let mut placed = Vec::new();
        for part in plate.holds.iter().map(|held| &model.parts[*held]) {
            let mesh = on_bed(&part.mesh, &part.placement, &settings.printer)
                .map_err(|fault| (format!("part {} on its plate", part.mark), fault))?;
            let colour = place_of(&colours, &belongs_to(job, model, part));
            placed.push(Placed { name: part.mark.clone(), colour, mesh });
        }
        let title = format!("{}: plate {} of {}", job.design.name, index + 1, model.plates.len());
        add_plate(files, &format!("plates/plate-{}", index + 1), (&title, &colours), &placed)
            .map_err(|fault| (title.clone(), fault))?;
    }
    Ok(())
}

/// The plates of collars, coloured by the run or merge of their pieces.
fn collar_plates(files: &mut Files, job: &Job, settings: &Settings, model: &Fitment) -> Result<(), Spoilt> {
    let colours = colours(job);
    for (index, plate) in model.collar_plates.iter().enumerate() {
        let mut placed = Vec::new();
        for collar in plate.holds.iter().map(|held| &model.collars[*held]) {
            let name = collar_name(collar);
            let mesh = on_bed(&collar.mesh, &collar.placement, &settings.printer)
                .map_err(|fault| (format!("collar {name} on its plate"), fault))?;
            let piece = job.layout.pieces.iter().find(|part| part.mark == collar.piece);
            let colour = piece.map_or(0, |part| place_of(&colours, &key(job, part.owner)));
            placed.push(Placed { name, colour, mesh });
        }
        let title =
            format!("{}: collars, plate {} of {}", job.design.name, index + 1, model.collar_plates.len());
        add_plate(files, &format!("plates/collars-{}", index + 1), (&title, &colours), &placed)
            .map_err(|fault| (title.clone(), fault))?;
    }
    Ok(())
}

/// The test cube beside its spigot, never scaled: it is what the scale is measured by.
fn cube(files: &mut Files, settings: &Settings, model: &Fitment) -> Result<(), MeshFault> {
    let apart = settings.printer.apart;
    let (cube, end) = standing(&model.cube.cube, apart, apart);
    let (spigot, _) = standing(&model.cube.spigot, end + apart.max(LEAST_APART), apart);
    let placed = [
        Placed { name: "cube".to_owned(), colour: 0, mesh: models::rounded(&cube)? },
        Placed { name: "spigot".to_owned(), colour: 0, mesh: models::rounded(&spigot)? },
    ];
    add_plate(files, "test/cube", ("test cube and spigot", &["test".to_owned()]), &placed)
}

/// Room between cube and spigot, mm.
const LEAST_APART: f64 = 2.0;

/// A thing on a plate.
struct Placed {
    name: String,
    /// Index of its group, and so of its colour.
    colour: usize,
    mesh: Mesh,
}

/// Adds a plate as 3MF and STL. Groups without anything on it keep their colour.
fn add_plate(
    files: &mut Files,
    name: &str,
    (title, colours): (&str, &[String]),
    placed: &[Placed],
) -> Result<(), MeshFault> {
    let of = |group: usize| placed.iter().filter(move |placed| placed.colour == group);
    let groups: Vec<ThreemfGroup<'_>> = colours
        .iter()
        .enumerate()
        .map(|(group, name)| ThreemfGroup {
            name: name.clone(),
            objects: of(group).map(|placed| (placed.name.as_str(), &placed.mesh)).collect(),
        })
        .collect();
    files.insert(format!("{name}.3mf"), models::threemf(&ThreemfModel { title, groups: &groups })?);
    let meshes: Vec<Mesh> = placed.iter().map(|placed| placed.mesh.clone()).collect();
    files.insert(format!("{name}.stl"), models::shells(&meshes)?);
    Ok(())
}

/// The groups that have a colour each, in the order of the packet's model: runs, merges, flanges.
fn colours(job: &Job) -> Vec<String> {
    let mut groups: Vec<String> = owners(job).map(|owner| key(job, owner)).collect();
    for plate in job.layout.plates.iter().map(|plate| plate.key()) {
        if !groups.contains(&plate) {
            groups.push(plate);
        }
    }
    groups
}

/// The place of a group among all; the first where it has no colour of its own.
fn place_of(colours: &[String], group: &str) -> usize {
    colours.iter().position(|colour| colour == group).unwrap_or(0)
}

/// What a part is coloured as: its merge, else its flange, else its first run.
fn belongs_to(job: &Job, model: &Fitment, part: &Printed) -> String {
    let plan = model.division.parts.iter().find(|plan| plan.mark == part.mark);
    let kinds = || plan.iter().flat_map(|plan| &plan.nodes).map(|node| model.nodes[*node].kind);
    let merge = kinds().find_map(|kind| match kind {
        NodeKind::Merge(merge) => Some(key(job, Owner::Merge(merge))),
        _ => None,
    });
    let flange = || {
        kinds().find_map(|kind| match kind {
            NodeKind::Flange(plate, _) => Some(job.layout.plates[plate].key()),
            _ => None,
        })
    };
    let run = || plan.and_then(|plan| plan.stretches.first()).map(|s| model.strands[s.strand].run);
    merge.or_else(flange).or_else(|| run().map(|run| key(job, Owner::Run(run)))).unwrap_or_default()
}

/// A mesh where it stands on the bed, as large as the printer has to print it, in single precision.
///
/// Errors: it does not stay closed.
fn on_bed(mesh: &Mesh, placement: &Placement, printer: &Printer) -> Result<Mesh, MeshFault> {
    let scale = DMat3::from_diagonal(DVec3::from_array(printer.scale));
    let points = mesh.points.iter().map(|point| scale * placement.apply(*point)).collect();
    models::rounded(&Mesh { points, triangles: mesh.triangles.clone() })
}

/// A mesh moved so that it stands on the bed with its least x and y there; and where it ends in x.
fn standing(mesh: &Mesh, x: f64, y: f64) -> (Mesh, f64) {
    let least = mesh.points.iter().fold(DVec3::INFINITY, |least, point| least.min(*point));
    let most = mesh.points.iter().fold(DVec3::NEG_INFINITY, |most, point| most.max(*point));
    let by = DVec3::new(x, y, 0.0) - least;
    let points = mesh.points.iter().map(|point| *point + by).collect();
    (Mesh { points, triangles: mesh.triangles.clone() }, most.x + by.x)
}
