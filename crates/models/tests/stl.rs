//! STL files: closed after rounding to single precision, the same bytes twice, refused when damaged.

use std::collections::BTreeMap;

use geom::DVec3;
use models::{StlFault, header_stl, read_stl, stl};
use solids::{Mesh, MeshSettings, part_mesh};

use fixture::{holed_pieces, pieces};

#[path = "../../solids/tests/fixture/mod.rs"]
mod fixture;

/// The mesh of loose triangles, points with the same bits being one.
fn joined(triangles: &[[DVec3; 3]]) -> Mesh {
    let mut known = BTreeMap::new();
    let mut mesh = Mesh::default();
    for triangle in triangles {
        let t = triangle.map(|p| {
            *known.entry([p.x, p.y, p.z].map(f64::to_bits)).or_insert_with(|| {
                mesh.points.push(p);
                mesh.points.len() as u32 - 1
            })
        });
        mesh.triangles.push(t);
    }
    mesh
}

#[test]
fn every_piece_is_closed_as_a_reader_finds_it() {
    // Also far from the origin, where single precision is coarse: 2500 mm is beyond any header.
    for far in [DVec3::ZERO, DVec3::new(2500.0, -1800.0, 900.0)] {
        for (name, piece) in pieces().into_iter().chain(holed_pieces()) {
            for chord in [0.05, 0.005] {
                let mut mesh = part_mesh(&piece, MeshSettings { chord }).unwrap();
                mesh.points.iter_mut().for_each(|p| *p += far);
                let bytes = stl(&mesh).unwrap_or_else(|e| panic!("{name} at {chord}, {far}: {e}"));
                let read = joined(&read_stl(&bytes).unwrap());
                assert_eq!(read.check(), Ok(()), "{name} at {chord}, {far}");
                let rounding = 1.3e-4 * mesh.area();
                assert!((read.volume() - mesh.volume()).abs() < rounding, "{name} at {chord}, {far}");
            }
        }
    }
}

#[test]
fn a_header_holds_every_shell_and_the_same_bytes_twice() {
    let meshes: Vec<Mesh> =
        pieces().iter().take(4).map(|(_, p)| part_mesh(p, MeshSettings::default()).unwrap()).collect();
    let bytes = header_stl(&meshes).unwrap();
    assert_eq!(bytes, header_stl(&meshes).unwrap());
    assert!(bytes.starts_with(b"hotside"));
    let alone: usize = meshes.iter().map(|m| stl(m).unwrap().len() - 84).sum();
    assert_eq!(bytes.len(), 84 + alone);
}

#[test]
fn a_mesh_with_a_hole_is_refused() {
    let (_, piece) = &pieces()[0];
    let mut mesh = part_mesh(piece, MeshSettings::default()).unwrap();
    mesh.triangles.pop();
    assert!(stl(&mesh).is_err());
}

#[test]
fn damaged_files_are_refused() {
    let (_, piece) = &pieces()[0];
    let bytes = stl(&part_mesh(piece, MeshSettings::default()).unwrap()).unwrap();
    for cut in [0, 83, 84, bytes.len() - 1] {
        assert!(matches!(read_stl(&bytes[..cut]), Err(StlFault::Length { .. })), "{cut} bytes");
    }
    let mut nan = bytes.clone();
    nan[96..100].copy_from_slice(&f32::NAN.to_le_bytes());
    assert_eq!(read_stl(&nan), Err(StlFault::NotFinite));
}
