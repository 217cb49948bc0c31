//! The files of a packet, in memory.

use std::collections::BTreeMap;

use indicatif::ProgressBar;
use layout::layout::Owner;
use sheets::{SheetError, csv};
use solids::{MeshFault, MeshSettings, extruded_mesh, part_mesh, transition_mesh};

use crate::cad_files;
use crate::console::{Console, json};
use crate::failure::Failure;
use crate::reading::Job;
use crate::report::Report;

/// Files by their path in the packet, with `/` between folders.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Every file of a job's packet. Errors: a sheet or a mesh that cannot be made of it.
pub fn files(job: &Job, console: &Console<'_>) -> Result<Files, Failure> {
    let progress = console.progress(job.layout.pieces.len() + 3);
    let mut files = Files::new();
    progress.set_message("report and tables");
    files.insert("report.json".to_owned(), json(&Report::of(&job.design, &job.layout))?.into_bytes());
    tables(job, &mut files);
    drawings(job, &mut files);
    progress.inc(1);
    progress.set_message("documents");
    documents(job, &mut files)?;
    progress.inc(1);
    progress.set_message("solids");
    cad_files::add_step(job, &mut files)?;
    progress.inc(1);
    progress.set_message("models");
    models(job, &progress, &mut files)?;
    progress.finish_and_clear();
    Ok(files)
}

fn tables(job: &Job, files: &mut Files) {
    let (design, layout) = (&job.design, &job.layout);
    let tables = [
        ("runs", csv::runs(design, layout)),
        ("pieces", csv::pieces(design, layout)),
        ("bends", csv::bends(design, layout)),
        ("cuts", csv::cuts(design, layout)),
        ("joints", csv::joints(design, layout)),
    ];
    let holes = [("holes", csv::holes(design, layout)), ("hole_edges", csv::hole_edges(design, layout))];
    let holes = holes.into_iter().filter_map(|(name, text)| Some((name, text?)));
    for (name, text) in tables.into_iter().chain(holes) {
        files.insert(format!("sheets/{name}.csv"), text.into_bytes());
    }
}

/// The printable documents.
fn documents(job: &Job, files: &mut Files) -> Result<(), Failure> {
    let (design, layout) = (&job.design, &job.layout);
    let failed = |error: SheetError| job.unusable("", "sheet", error.to_string());
    files.insert("packet.pdf".to_owned(), sheets::packet(design, layout).map_err(failed)?);
    files.insert("templates.pdf".to_owned(), sheets::templates(design, layout).map_err(failed)?);
    Ok(())
}

/// The plates' drawings, for the machine that cuts them.
fn drawings(job: &Job, files: &mut Files) {
    for plate in &job.layout.plates {
        for part in &plate.parts {
            let drawing = plate.drawing(part);
            files.insert(format!("flanges/{}.dxf", part.mark), plate::dxf::write(&drawing).into_bytes());
            files.insert(format!("flanges/{}.svg", part.mark), plate::svg::write(&drawing).into_bytes());
        }
    }
}

/// The meshes: each piece's, and the whole header's.
fn models(job: &Job, progress: &ProgressBar, files: &mut Files) -> Result<(), Failure> {
    let mut meshes = Vec::new();
    for part in &job.layout.pieces {
        let failed = |fault: MeshFault| {
            let table = if matches!(part.owner, Owner::Run(_)) { "run" } else { "merge" };
            let key = format!("{table}.{}", job.layout.owner_name(part));
            job.unusable(&key, "mesh", format!("piece {}: {fault}", part.mark))
        };
        let mesh = part_mesh(&part.piece, MeshSettings::default()).map_err(failed)?;
        let mesh = models::rounded(&mesh).map_err(failed)?;
        let shell = models::shells(std::slice::from_ref(&mesh)).map_err(failed)?;
        files.insert(format!("models/pieces/{}.stl", part.mark), shell);
        meshes.push(mesh);
        progress.inc(1);
    }
    for plate in &job.layout.plates {
        let failed = |fault: MeshFault| {
            job.unusable(&format!("flange.{}", plate.name), "mesh", format!("flange {}: {fault}", plate.name))
        };
        for part in &plate.parts {
            let mesh = extruded_mesh(&part.outline, &plate.frame, plate.reach, MeshSettings::default());
            let mesh = models::rounded(&mesh.map_err(failed)?).map_err(failed)?;
            let shell = models::shells(std::slice::from_ref(&mesh)).map_err(failed)?;
            files.insert(format!("models/pieces/{}.stl", part.mark), shell);
            meshes.push(mesh);
        }
    }
    for part in &job.layout.transitions {
        let failed =
            |fault: MeshFault| job.unusable("", "mesh", format!("transition {}: {fault}", part.mark));
        let mesh = models::rounded(&transition_mesh(part).map_err(failed)?).map_err(failed)?;
        let shell = models::shells(std::slice::from_ref(&mesh)).map_err(failed)?;
        files.insert(format!("models/pieces/{}.stl", part.mark), shell);
        meshes.push(mesh);
    }
    let failed = |fault: MeshFault| job.unusable("", "mesh", fault.to_string());
    files.insert("models/header.stl".to_owned(), models::shells(&meshes).map_err(failed)?);
    files.insert("models/header.3mf".to_owned(), cad_files::threemf(job, &meshes).map_err(failed)?);
    Ok(())
}
