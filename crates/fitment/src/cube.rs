//! A cube to measure the printer by, with sockets of several gaps, and a loose spigot to try in them.

use geom::{DVec3, Frame};
use plate::DVec2;
use solids::extruded::divided;
use solids::{Mesh, MeshFault};
use spec::shop::Printer;
use tube::Centreline;

use crate::figures::{Figures, Surface};
use crate::fitment::TestCube;
use crate::keyed::Keyed;
use crate::profile::Profile;
use crate::store::Store;
use crate::sweep::{Sweep, Tip, swept};
use crate::unite::combined;

/// The cube, standing on z = 0 in the middle of x and y, and its spigot, standing there too.
///
/// X, Y and Z are sunk into the faces to measure across; the sockets' gaps beside them in their top. The bottom edges
/// are broken, so that the first layer's squeezed edge is not measured. Errors: a solid that came out wrong.
pub fn cube(printer: &Printer, chord: f64, store: &dyn Store) -> Result<TestCube, MeshFault> {
    let sockets = GAPS.into_iter().zip(PLACES);
    let mut takes = Vec::new();
    for (gap, place) in sockets {
        takes.push(socket(&key(printer, gap), place)?);
    }
    for (gap, place) in GAPS.into_iter().zip(FIGURES) {
        takes.push(top(&format!("{gap:.1}"), GAP_FIGURES, place, printer)?);
    }
    takes.push(top("Z", AXIS_FIGURES, Z_PLACE, printer)?);
    for (axis, text) in [(DVec3::X, "X"), (DVec3::Y, "Y")] {
        let at = axis * HALF + DVec3::Z * HALF;
        let frame = Frame { at, along: axis, inside: DVec3::Z.cross(axis) };
        takes.push(sunk(text, AXIS_FIGURES, frame, printer)?);
    }
    let takes: Vec<&Mesh> = takes.iter().collect();
    Ok(TestCube {
        cube: combined(&[&body()], &takes, store)?,
        spigot: spigot(&key(printer, GAPS[0]), chord)?,
        gaps: GAPS.to_vec(),
    })
}

/// The joint that is tried, with a gap.
fn key(printer: &Printer, gap: f64) -> Keyed {
    let length = printer.spigot.min(DEEPEST);
    Keyed { radius: 5.0, length, rib_width: 4.0, rib_height: 2.0, clock: 0.0, draft: 0.0, gap }
}

/// The cube without anything in it.
fn body() -> Mesh {
    let mut mesh = Mesh::default();
    for (half, z) in [(HALF - BROKEN, 0.0), (HALF, BROKEN), (HALF, 2.0 * HALF)] {
        let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        mesh.points.extend(corners.map(|(x, y)| DVec3::new(half * x, half * y, z)));
    }
    mesh.triangles.extend([[0, 2, 1], [0, 3, 2], [8, 9, 10], [8, 10, 11]]);
    for ring in [0, 4] {
        for k in 0..4 {
            let [a, b] = [ring + k, ring + (k + 1) % 4];
            mesh.triangles.extend([[a, b, b + 4], [a, b + 4, a + 4]]);
        }
    }
    mesh
}

/// What a socket in the top takes away: it reaches out of it.
fn socket(key: &Keyed, place: DVec2) -> Result<Mesh, MeshFault> {
    let section: Vec<DVec2> = key.socket(0.0).into_iter().map(|p| p + place).collect();
    let count = section.len() as u32;
    let mut mesh = Mesh::default();
    for z in [2.0 * HALF - key.depth(), 2.0 * HALF + PROUD] {
        mesh.points.extend(section.iter().map(|p| DVec3::new(p.x, p.y, z)));
    }
    for k in 0..count {
        let [a, b] = [k, (k + 1) % count];
        mesh.triangles.extend([[a, b, b + count], [a, b + count, a + count]]);
    }
    for [a, b, c] in divided(&[section])? {
        mesh.triangles.extend([[a, c, b], [a + count, b + count, c + count]]);
    }
    mesh.check()?;
    Ok(mesh)
}

/// The loose spigot on a foot to hold it by.
fn spigot(key: &Keyed, chord: f64) -> Result<Mesh, MeshFault> {
    let line = Centreline::straight(Frame { at: DVec3::ZERO, along: DVec3::Z, inside: DVec3::X }, FOOT);
    let outside = Profile::constant(0.0, FOOT, FOOT_RADIUS);
    let tips = [Tip::Square, Tip::Spigot(*key)];
    let (hollows, wheels) = (Vec::new(), Vec::new());
    swept(&Sweep { line: &line, outside: &outside, from: 0.0, to: FOOT, tips, hollows, wheels, chord })
}

/// Text sunk into the top.
fn top(text: &str, height: f64, place: DVec2, printer: &Printer) -> Result<Mesh, MeshFault> {
    let at = DVec3::new(place.x, place.y, 2.0 * HALF);
    sunk(text, height, Frame { at, along: DVec3::Z, inside: DVec3::X }, printer)
}

fn sunk(text: &str, height: f64, frame: Frame, printer: &Printer) -> Result<Mesh, MeshFault> {
    Figures { height, ..Figures::new(text, printer.nozzle) }.sunk(&Surface::Flat(frame))
}

/// Half the cube's edge, mm.
const HALF: f64 = 25.0;

/// How far the bottom edges are broken, mm.
const BROKEN: f64 = 0.6;

/// Gaps of the sockets, mm, and where they stand on the top.
const GAPS: [f64; 5] = [0.1, 0.2, 0.3, 0.4, 0.5];
/// See [`GAPS`].
const PLACES: [DVec2; 5] = [
    DVec2::new(-14.0, 14.0),
    DVec2::new(14.0, 14.0),
    DVec2::new(0.0, 0.0),
    DVec2::new(-14.0, -14.0),
    DVec2::new(14.0, -14.0),
];

/// Where the gaps' figures stand, and how high they are, mm.
const FIGURES: [DVec2; 5] = [
    DVec2::new(-16.0, 5.0),
    DVec2::new(16.0, 5.0),
    DVec2::new(0.0, 9.0),
    DVec2::new(-16.0, -5.0),
    DVec2::new(16.0, -5.0),
];
/// See [`FIGURES`].
const GAP_FIGURES: f64 = 3.5;

/// Where the Z stands, and how high X, Y and Z are, mm.
const Z_PLACE: DVec2 = DVec2::new(0.0, -14.0);
/// See [`Z_PLACE`].
const AXIS_FIGURES: f64 = 6.0;

/// The deepest socket, mm.
const DEEPEST: f64 = 20.0;

/// How far cutters stand out of the cube, mm.
const PROUD: f64 = 0.5;

/// Height and radius of the loose spigot's foot, mm.
const FOOT: f64 = 8.0;
/// See [`FOOT`].
const FOOT_RADIUS: f64 = 10.0;
