//! The CAD files of a packet: every piece as an exact solid.

use layout::layout::{Owner, Part};
use models::step::{StepGroup, StepModel, StepSettings, StepSolid, solid, step};

use crate::failure::Failure;
use crate::packet_files::Files;
use crate::reading::Job;

/// Adds `models/header.step`: the header, in it `run.<name>` and `merge.<name>`, in them their pieces.
///
/// Errors: a piece that has no exact solid.
pub fn add(job: &Job, files: &mut Files) -> Result<(), Failure> {
    let layout = &job.layout;
    let runs = (0..layout.runs.len()).map(Owner::Run);
    let merges = (0..layout.merges.len()).map(Owner::Merge);
    let mut groups = Vec::new();
    for owner in runs.chain(merges) {
        let mut solids = Vec::new();
        for part in layout.pieces.iter().filter(|part| part.owner == owner) {
            solids.push(part_solid(job, part)?);
        }
        groups.push(StepGroup { name: key(job, owner), solids });
    }
    let model = StepModel { name: job.design.name.clone(), groups };
    files.insert("models/header.step".to_owned(), step(&model));
    Ok(())
}

fn part_solid(job: &Job, part: &Part) -> Result<StepSolid, Failure> {
    let brep = solid(&part.piece, StepSettings::default()).map_err(|fault| {
        job.unusable(
            &key(job, part.owner),
            "solid",
            format!("piece {} has no exact solid: {fault}", part.mark),
        )
    })?;
    Ok(StepSolid { name: part.mark.clone(), brep })
}

/// The spec's own name of what a piece belongs to: a run and a merge may be called alike.
fn key(job: &Job, owner: Owner) -> String {
    match owner {
        Owner::Run(run) => format!("run.{}", job.layout.runs[run].name),
        Owner::Merge(merge) => format!("merge.{}", job.layout.merges[merge].name),
    }
}
