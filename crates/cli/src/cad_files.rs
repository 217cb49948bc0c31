//! The files of a packet that hold the whole header, nested by its runs and merges.

use layout::FlangePlate;
use layout::flange_plate::PlateOf;
use layout::layout::{Owner, Part};
use models::step::{
    SolidFault, StepGroup, StepModel, StepSettings, StepSolid, extruded, faceted, solid, step,
};
use models::threemf::{ThreemfGroup, ThreemfModel};
use solids::{Mesh, MeshFault, transition_mesh};

use crate::failure::Failure;
use crate::packet_files::Files;
use crate::reading::Job;

/// Adds `models/header.step`: the header, in it `run.<name>`, `merge.<name>` and
/// `flange.<name>`, in them their pieces and plates.
///
/// Errors: a piece that has no exact solid.
pub fn add_step(job: &Job, files: &mut Files) -> Result<(), Failure> {
    let mut groups = Vec::new();
    for owner in owners(job) {
        let mut solids = Vec::new();
        for part in job.layout.pieces.iter().filter(|part| part.owner == owner) {
            solids.push(part_solid(job, part)?);
        }
        for plate in job.layout.plates.iter().filter(|plate| belongs(plate, owner)) {
            plate_solids(job, plate, &mut solids)?;
        }
        groups.push(StepGroup { name: key(job, owner), solids });
    }
    for plate in job.layout.plates.iter().filter(|plate| matches!(plate.of, PlateOf::Flange(_))) {
        let mut solids = Vec::new();
        plate_solids(job, plate, &mut solids)?;
        groups.push(StepGroup { name: plate.key(), solids });
    }
    if !job.layout.transitions.is_empty() {
        groups.push(StepGroup { name: TRANSITIONS.to_owned(), solids: transitions(job)? });
    }
    let model = StepModel { name: job.design.name.clone(), groups };
    files.insert("models/header.step".to_owned(), step(&model));
    Ok(())
}

fn plate_solids(job: &Job, plate: &FlangePlate, solids: &mut Vec<StepSolid>) -> Result<(), Failure> {
    for part in &plate.parts {
        let brep = extruded(&part.outline, &plate.frame, plate.reach)
            .map_err(|fault| unsolid(job, &plate.key(), &part.mark, &fault))?;
        solids.push(StepSolid { name: part.mark.clone(), brep });
    }
    Ok(())
}

/// Whether a plate is a piece of metal of a run or merge.
fn belongs(plate: &FlangePlate, owner: Owner) -> bool {
    matches!((plate.of, owner), (PlateOf::Merge(of), Owner::Merge(merge)) if of == merge)
}

/// Transitions, which are defined by points of their two ends, as solids of flat faces.
fn transitions(job: &Job) -> Result<Vec<StepSolid>, Failure> {
    let mut solids = Vec::new();
    for part in &job.layout.transitions {
        let mesh = transition_mesh(part)
            .map_err(|fault| job.unusable("", "mesh", format!("transition {}: {fault}", part.mark)))?;
        let brep = faceted(&mesh).map_err(|fault| unsolid(job, "", &part.mark, &fault))?;
        solids.push(StepSolid { name: part.mark.clone(), brep });
    }
    Ok(solids)
}

/// The bytes of `models/header.3mf`: every piece's mesh, then every plate's, as `meshes` has them, with a
/// colour for each run, merge and flange.
///
/// Errors: a file that cannot be written.
pub fn threemf(job: &Job, meshes: &[Mesh]) -> Result<Vec<u8>, MeshFault> {
    let group = |owner: Owner| {
        let parts = job.layout.pieces.iter().zip(meshes).filter(|(part, _)| part.owner == owner);
        ThreemfGroup {
            name: key(job, owner),
            objects: parts.map(|(part, mesh)| (part.mark.as_str(), mesh)).collect(),
        }
    };
    let mut groups: Vec<ThreemfGroup<'_>> = owners(job).map(group).collect();
    let mut rest = meshes[job.layout.pieces.len()..].iter();
    for plate in &job.layout.plates {
        let objects = plate.parts.iter().zip(rest.by_ref()).map(|(part, mesh)| (part.mark.as_str(), mesh));
        let name = plate.key();
        match groups.iter_mut().find(|group| group.name == name) {
            Some(group) => group.objects.extend(objects),
            None => groups.push(ThreemfGroup { name, objects: objects.collect() }),
        }
    }
    if !job.layout.transitions.is_empty() {
        let parts = job.layout.transitions.iter().zip(rest);
        let objects = parts.map(|(part, mesh)| (part.mark.as_str(), mesh)).collect();
        groups.push(ThreemfGroup { name: TRANSITIONS.to_owned(), objects });
    }
    models::threemf(&ThreemfModel { title: &job.design.name, groups: &groups })
}

/// What pieces can belong to, in the order of the files.
pub fn owners(job: &Job) -> impl Iterator<Item = Owner> {
    let runs = (0..job.layout.runs.len()).map(Owner::Run);
    runs.chain((0..job.layout.merges.len()).map(Owner::Merge))
}

fn part_solid(job: &Job, part: &Part) -> Result<StepSolid, Failure> {
    let brep = solid(&part.piece, StepSettings::default())
        .map_err(|fault| unsolid(job, &key(job, part.owner), &part.mark, &fault))?;
    Ok(StepSolid { name: part.mark.clone(), brep })
}

fn unsolid(job: &Job, key: &str, mark: &str, fault: &SolidFault) -> Failure {
    job.unusable(key, "solid", format!("piece {mark} has no exact solid: {fault}"))
}

/// The spec's own name of what a piece belongs to: a run and a merge may be called alike.
pub fn key(job: &Job, owner: Owner) -> String {
    match owner {
        Owner::Run(run) => format!("run.{}", job.layout.runs[run].name),
        Owner::Merge(merge) => format!("merge.{}", job.layout.merges[merge].name),
    }
}

/// Name of the group of all transitions.
const TRANSITIONS: &str = "transitions";
