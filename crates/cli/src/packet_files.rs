//! The files of a packet, in memory.

use std::collections::BTreeMap;

use indicatif::ProgressBar;
use layout::layout::Owner;
use sheets::{SheetError, csv};
use solids::{Mesh, MeshFault, MeshSettings, extruded_mesh, part_mesh, transition_mesh};

use crate::cad_files;
use crate::clearance_map;
use crate::console::{Console, json};
use crate::failure::Failure;
use crate::reading::Job;
use crate::report::Report;

/// Files by their path in the packet, with `/` between folders.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Every file of a job's packet, its kinds made side by side. Errors: a sheet, a solid or a mesh that cannot
/// be made of it; of several, the first in the order below.
pub fn files(job: &Job, console: &Console<'_>) -> Result<Files, Failure> {
    let progress = console.progress(job.layout.pieces.len() + 5);
    let kinds: [Kind; 6] = [texts, packet, templates, solids, models, map];
    let made = std::thread::scope(|scope| {
        let progress = &progress;
        let threads = kinds.map(|kind| {
            scope.spawn(move || {
                let made = kind(job, progress);
                progress.inc(1);
                made
            })
        });
        threads.map(|thread| thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    progress.finish_and_clear();
    let mut files = Files::new();
    for made in made {
        files.extend(made?);
    }
    Ok(files)
}

/// Makes one kind of a packet's files; none depends on another.
type Kind = fn(&Job, &ProgressBar) -> Result<Files, Failure>;

/// The report, the tables and the plates' drawings.
fn texts(job: &Job, _: &ProgressBar) -> Result<Files, Failure> {
    let report = json(&Report::of(&job.design, &job.layout, &job.clearance))?;
    let mut files = Files::from([("report.json".to_owned(), report.into_bytes())]);
    tables(job, &mut files);
    drawings(job, &mut files);
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

/// `packet.pdf`.
fn packet(job: &Job, _: &ProgressBar) -> Result<Files, Failure> {
    let bytes =
        sheets::packet(&job.design, &job.layout, &job.clearance).map_err(|error| unprintable(job, &error))?;
    Ok(Files::from([("packet.pdf".to_owned(), bytes)]))
}

/// `templates.pdf`.
fn templates(job: &Job, _: &ProgressBar) -> Result<Files, Failure> {
    let bytes = sheets::templates(&job.design, &job.layout).map_err(|error| unprintable(job, &error))?;
    Ok(Files::from([("templates.pdf".to_owned(), bytes)]))
}

fn unprintable(job: &Job, error: &SheetError) -> Failure {
    job.unusable("", "sheet", error.to_string())
}

/// `models/header.step`.
fn solids(job: &Job, _: &ProgressBar) -> Result<Files, Failure> {
    let mut files = Files::new();
    cad_files::add_step(job, &mut files)?;
    Ok(files)
}

/// `models/clearance.ply`, where there is a bay.
fn map(job: &Job, _: &ProgressBar) -> Result<Files, Failure> {
    if job.design.bay.obstacles.is_empty() {
        return Ok(Files::new());
    }
    let surface = clearance_map::coloured(job)?;
    Ok(Files::from([("models/clearance.ply".to_owned(), models::clearance_ply(&surface))]))
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

/// The meshes: each piece's, plate's and transition's, and the whole header's.
fn models(job: &Job, progress: &ProgressBar) -> Result<Files, Failure> {
    let mut shells = Shells::default();
    for part in &job.layout.pieces {
        let table = if matches!(part.owner, Owner::Run(_)) { "run" } else { "merge" };
        let key = format!("{table}.{}", job.layout.owner_name(part));
        shells.add(job, &key, &part.mark, part_mesh(&part.piece, MeshSettings::default()))?;
        progress.inc(1);
    }
    for plate in &job.layout.plates {
        let key = plate.key();
        for part in &plate.parts {
            let mesh = extruded_mesh(&part.outline, &plate.frame, plate.reach, MeshSettings::default());
            shells.add(job, &key, &part.mark, mesh)?;
        }
    }
    for part in &job.layout.transitions {
        shells.add(job, "", &part.mark, transition_mesh(part))?;
    }
    let failed = |fault: MeshFault| job.unusable("", "mesh", fault.to_string());
    let Shells { mut files, meshes } = shells;
    files.insert("models/header.stl".to_owned(), models::shells(&meshes).map_err(failed)?);
    files.insert("models/header.3mf".to_owned(), cad_files::threemf(job, &meshes).map_err(failed)?);
    Ok(files)
}

/// Meshes as files of their own and, in single precision, for the whole header's.
#[derive(Default)]
struct Shells {
    files: Files,
    meshes: Vec<Mesh>,
}

impl Shells {
    /// Adds the mesh of the part `mark`, which the spec's `key` describes.
    fn add(
        &mut self,
        job: &Job,
        key: &str,
        mark: &str,
        mesh: Result<Mesh, MeshFault>,
    ) -> Result<(), Failure> {
        let failed = |fault: MeshFault| job.unusable(key, "mesh", format!("{mark}: {fault}"));
        let mesh = models::rounded(&mesh.map_err(failed)?).map_err(failed)?;
        let shell = models::shells(std::slice::from_ref(&mesh)).map_err(failed)?;
        self.files.insert(format!("models/pieces/{mark}.stl"), shell);
        self.meshes.push(mesh);
        Ok(())
    }
}
