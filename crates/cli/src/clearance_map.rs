//! The outside of the whole header, each point with its clearance from the bay.

use clearance::map;
use models::ply::{Coloured, Spot};
use solids::{Mesh, MeshFault, MeshSettings, divided_mesh, extruded_mesh, outside_mesh, transition_mesh};

use crate::failure::Failure;
use crate::reading::Job;

/// The outside of every piece, plate and transition, with the room of its points.
///
/// Errors: a plate or a transition that has no mesh.
pub fn coloured(job: &Job) -> Result<Coloured, Failure> {
    let outside = outside(job)?;
    let rooms = map(&outside.points, &job.design.bay, &job.scans);
    let spots = outside.points.iter().zip(rooms);
    let spot =
        |(at, room): (&_, clearance::Room)| Spot { at: *at, clearance: room.distance, margin: room.margin() };
    Ok(Coloured { spots: spots.map(spot).collect(), triangles: outside.triangles })
}

fn outside(job: &Job) -> Result<Mesh, Failure> {
    let mut all = Mesh::default();
    for part in &job.layout.pieces {
        add(&mut all, outside_mesh(&part.piece, STEP));
    }
    let settings = MeshSettings { chord: CHORD };
    for plate in &job.layout.plates {
        for part in &plate.parts {
            let mesh = extruded_mesh(&part.outline, &plate.frame, plate.reach, settings);
            add(
                &mut all,
                divided_mesh(mesh.map_err(|fault| failed(job, &plate.key(), &part.mark, &fault))?, STEP),
            );
        }
    }
    for part in &job.layout.transitions {
        let mesh = transition_mesh(part).map_err(|fault| failed(job, "", &part.mark, &fault))?;
        add(&mut all, divided_mesh(mesh, STEP));
    }
    Ok(all)
}

fn add(all: &mut Mesh, mesh: Mesh) {
    let first = all.points.len() as u32;
    all.points.extend(mesh.points);
    all.triangles.extend(mesh.triangles.iter().map(|triangle| triangle.map(|k| k + first)));
}

fn failed(job: &Job, key: &str, mark: &str, fault: &MeshFault) -> Failure {
    job.unusable(key, "mesh", format!("{mark}: {fault}"))
}

/// Distance between the points of the map, mm.
const STEP: f64 = 8.0;

/// How far the map's plates may leave their outlines, mm.
const CHORD: f64 = 0.3;
