//! The openings of plates in a full print, which has them filled: a groove along the edge of each, sunk into the open face,
//! so that they can be seen where the print is held to the head.

use layout::Layout;
use layout::flange_plate::PlateOf;
use plate::{Loop, Outline};
use solids::{MeshSettings, extruded_mesh};
use spec::Design;
use tube::End;

use crate::fault::Fault;
use crate::figures::Figures;
use crate::header::flange::{at_face, filled, open_end};
use crate::node::{Node, NodeKind};
use crate::settings::{Settings, Variant};
use solids::Mesh;

/// The cutters of the grooves in a node's plate; none where the print leaves openings open, or where no plate is.
///
/// The outer edge of a groove is the edge of the opening at that face, so that the face beyond it, bolt holes and rim stay
/// as they are. It is as wide and as deep as a stroke of the figures; an opening too narrow for that is sunk whole. Error:
/// an opening whose mesh does not come out closed.
pub(crate) fn grooves(
    design: &Design,
    layout: &Layout,
    node: &Node,
    settings: &Settings,
) -> Result<Vec<Mesh>, Fault> {
    let NodeKind::Flange(index, number) = node.kind else { return Ok(Vec::new()) };
    let (plate, part) = (&layout.plates[index], &layout.plates[index].parts[number]);
    let PlateOf::Flange(flange) = plate.of else { return Ok(Vec::new()) };
    if settings.variant != Variant::Solid {
        return Ok(Vec::new());
    }
    let Figures { stroke, depth, .. } = Figures::new("", settings.printer.nozzle);
    let depth = depth.min(DEEPEST * plate.thickness());
    let reach = match open_end(design, flange) {
        End::Start => [plate.reach[0] - PROUD, plate.reach[0] + depth],
        End::End => [plate.reach[1] - depth, plate.reach[1] + PROUD],
    };
    let fine = MeshSettings { chord: 0.5 * settings.chord };
    let edges = filled(plate, part).into_iter().flat_map(at_face);
    let cutters = edges.map(|edge| extruded_mesh(&groove(edge, stroke), &plate.frame, reach, fine));
    cutters.collect::<Result<_, _>>().map_err(Fault::mesh(format!("plate {}", part.mark)))
}

/// What lies within an edge, no further than `width` mm from it.
fn groove(edge: Loop, width: f64) -> Outline {
    let inner = edge.offset(-width).ok();
    Outline::new(edge, inner.into_iter().collect())
}

/// How deep a groove is at most, of its plate's thickness (common practice, no source).
const DEEPEST: f64 = 0.25;

/// How far a cutter stands out of the face, mm.
const PROUD: f64 = 0.5;
