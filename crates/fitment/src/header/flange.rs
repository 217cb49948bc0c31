//! Plates of flanges with their transitions, as blocks.

use geom::DVec3;
use layout::Transition;
use layout::flange_plate::{FlangePlate, Opening, PlateOf, PlatePart};
use plate::{Loop, Outline};
use solids::{Mesh, MeshFault, MeshSettings, extruded_mesh};
use spec::Design;
use tube::End;

use super::keeps::STUB;
use super::merge::hold;
use super::{OVERLAP, Whole, full};
use crate::fault::Fault;
use crate::node::{Block, Node, NodeKind};
use crate::strand::Strand;

/// How far a bore reaches out of an open face, mm.
const OUT: f64 = 1.0;

impl Whole<'_> {
    /// The parts of flanges' plates as nodes.
    pub(super) fn flanges(&self, strands: &[Strand]) -> Vec<Result<Node, Fault>> {
        let mut nodes = Vec::new();
        for (index, plate) in self.layout.plates.iter().enumerate() {
            let PlateOf::Flange(flange) = plate.of else { continue };
            for (number, part) in plate.parts.iter().enumerate() {
                let made = self.flange((index, number), flange, strands);
                nodes.push(made.map_err(Fault::mesh(format!("plate {}", part.mark))));
            }
        }
        nodes
    }

    fn flange(
        &self,
        (index, number): (usize, usize),
        flange: usize,
        strands: &[Strand],
    ) -> Result<Node, MeshFault> {
        let plate = &self.layout.plates[index];
        let part = &plate.parts[number];
        let end = open_end(self.design, flange);
        let filled = filled(plate, part);
        let mut holds = Vec::new();
        let mut blocks = vec![self.plate_block(plate, part, &filled, end)?];
        for opening in &filled {
            let Some(run) = opening.run else { continue };
            let (strand, laid) = (&strands[run], &self.layout.runs[run]);
            let length = strand.line.length();
            holds.push(match end {
                End::Start => hold(strand, 0.0, (plate.reach[1] + strand.origin).max(STUB)),
                End::End => {
                    let face = laid.length() + strand.origin;
                    hold(strand, (face + plate.reach[0]).min(length - STUB), length)
                }
            });
            let own = |t: &&Transition| t.run == run && t.flange == flange;
            if let Some(transition) = self.layout.transitions.iter().find(own) {
                blocks.push(transition_block(plate, transition)?);
            }
        }
        let kind = NodeKind::Flange(index, number);
        Ok(Node { name: plate.name.clone(), kind, holds, blocks })
    }

    /// The plate with its bolt holes, the openings that a strand stands in filled.
    fn plate_block(
        &self,
        plate: &FlangePlate,
        part: &PlatePart,
        filled: &[&Opening],
        end: End,
    ) -> Result<Block, MeshFault> {
        let settings = MeshSettings { chord: self.chord };
        let openings: Vec<&Loop> = filled.iter().flat_map(|opening| &opening.cut).collect();
        let stays = |hole: &&Loop| !openings.iter().any(|opening| same_place(opening, hole));
        let holes = part.outline.holes.iter().filter(stays).cloned().collect();
        let outline = Outline::new(part.outline.outer.clone(), holes);
        let outside = extruded_mesh(&outline, &plate.frame, plate.reach, settings)?;
        // The face that is open, and how far a tube or transition stands from it, if it stands in the plate.
        let face = if end == End::Start { plate.reach[0] } else { plate.reach[1] };
        let inward = if end == End::Start { 1.0 } else { -1.0 };
        let mut bores = Vec::new();
        for opening in filled {
            let depth = match opening.ring().is_some() || opening.transition {
                true => plate.thickness() - OVERLAP,
                false => 0.5 * plate.thickness() + OVERLAP,
            };
            let (a, b) = (face - inward * OUT, face + inward * depth);
            for one in at_face(opening) {
                let outline = Outline::new(one, Vec::new());
                bores.push(extruded_mesh(&outline, &plate.frame, [a.min(b), a.max(b)], settings)?);
            }
        }
        Ok(Block { mark: part.mark.clone(), outside, bores })
    }
}

/// The end of its runs at which a flange's plate has its open face: their start at the head, else their end.
pub(crate) fn open_end(design: &Design, flange: usize) -> End {
    if design.flanges[flange].ports.is_empty() { End::End } else { End::Start }
}

/// The openings of a plate's part in which a strand stands.
pub(crate) fn filled<'a>(plate: &'a FlangePlate, part: &PlatePart) -> Vec<&'a Opening> {
    let here = |opening: &&Opening| opening.run.is_some() && part.outline.outer.contains(opening.centre);
    plate.openings.iter().filter(here).collect()
}

/// What the gas has of an opening at the open face: the bore of a tube that stands in the plate, the port where a
/// transition begins, else what is cut.
pub(crate) fn at_face(opening: &Opening) -> Vec<Loop> {
    let round = opening.tube.filter(|_| opening.ring().is_none() && !opening.transition);
    match round {
        Some(tube) => vec![Loop::circle(opening.centre, tube.inner())],
        None if opening.transition => opening.port.iter().cloned().collect(),
        None => opening.cut.clone(),
    }
}

/// Whether two loops are one opening: their boxes are the same.
fn same_place(a: &Loop, b: &Loop) -> bool {
    let ((low, high), (other_low, other_high)) = (a.bounds(), b.bounds());
    low.distance(other_low) < SAME && high.distance(other_high) < SAME
}

/// Boxes nearer to each other are one, mm.
const SAME: f64 = 1e-6;

/// A transition filled, from the middle of the plate.
fn transition_block(plate: &FlangePlate, part: &Transition) -> Result<Block, MeshFault> {
    let middle = plate.frame.at + plate.frame.along * (0.5 * (plate.reach[0] + plate.reach[1]));
    let first = (middle - part.frame.at).dot(part.frame.along);
    let [inner, outer, bore, round] = &part.rings;
    let ring = |points: &[plate::DVec2], station: f64| -> Vec<DVec3> {
        points.iter().map(|p| part.place(*p, station)).collect()
    };
    let loft = |shape: &[plate::DVec2], end: &[plate::DVec2], beyond: f64| -> Result<Mesh, MeshFault> {
        let share = (first / part.length).max(0.0);
        let begun: Vec<plate::DVec2> = shape.iter().zip(end).map(|(a, b)| *a + (*b - *a) * share).collect();
        let mut rings = vec![ring(&begun, first)];
        if first < 0.0 {
            rings.push(ring(&begun, 0.0));
        }
        rings.push(ring(end, part.length));
        if beyond > 0.0 {
            rings.push(ring(end, part.length + beyond));
        }
        full::lofted(&rings)
    };
    let outside = loft(outer, round, 0.0)?;
    let hollow = loft(inner, bore, OUT)?;
    Ok(Block { mark: part.mark.clone(), outside, bores: vec![hollow] })
}
