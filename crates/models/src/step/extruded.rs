//! Plates as solids: an outline of lines and arcs, as thick as it is.

use geom::{DVec3, Frame};
use plate::{DVec2, Edge, Loop, Outline};

use super::brep::{Brep, Face, Use, WELD, reversed};
use super::curve::Curve;
use super::fault::SolidFault;
use super::surface::Surface;

/// The solid of `outline` drawn at `frame` (x along `inside`, y along [`Frame::side`]), from `reach[0]` to
/// `reach[1]` mm along its travel.
///
/// Lines become planes and arcs cylinders; an arc of more than half a turn is divided. Errors: an outline
/// whose faces do not close.
pub fn extruded(outline: &Outline, frame: &Frame, reach: [f64; 2]) -> Result<Brep, SolidFault> {
    let mut brep = Brep::default();
    let levels = reach.map(|station| frame.advanced(station));
    let mut flats: [Vec<Vec<Use>>; 2] = [Vec::new(), Vec::new()];
    for one in outline.loops() {
        let [low, high] = walls(&mut brep, one, &levels);
        flats[0].push(reversed(&low));
        flats[1].push(high);
    }
    let [low, high] = flats;
    brep.faces.push(Face { surface: Surface::Plane(levels[0]), outward: false, loops: low });
    brep.faces.push(Face { surface: Surface::Plane(levels[1]), outward: true, loops: high });
    match brep.fault() {
        None => Ok(brep),
        Some(fault) => Err(SolidFault::Open(fault)),
    }
}

/// The walls of one loop; its edges on both levels, in the order of travel. Edges without length are left
/// out: their neighbours meet without them.
fn walls(brep: &mut Brep, one: &Loop, levels: &[Frame; 2]) -> [Vec<Use>; 2] {
    let long = |edge: &Edge| edge.from().distance(edge.to()) > 2.0 * WELD;
    let edges: Vec<Edge> = one.edges.iter().flat_map(halves).filter(long).collect();
    let rises: Vec<(usize, usize, Option<Use>)> = edges
        .iter()
        .map(|edge| {
            let [low, high] = levels.each_ref().map(|level| brep.vertex(place(level, edge.from())));
            (low, high, brep.edge(low, high, Curve::Line))
        })
        .collect();
    let mut rows = [Vec::new(), Vec::new()];
    for (i, edge) in edges.iter().enumerate() {
        let ((low, high, rise), next) = (rises[i], rises[(i + 1) % edges.len()]);
        let below = brep.edge(low, next.0, curve(edge, &levels[0]));
        let above = brep.edge(high, next.1, curve(edge, &levels[1]));
        let (Some(below), Some(above)) = (below, above) else { continue };
        let around = [Some(below), next.2, Some(above.back()), rise.map(Use::back)];
        let (surface, outward) = wall(edge, &levels[0]);
        brep.faces.push(Face { surface, outward, loops: vec![around.into_iter().flatten().collect()] });
        rows[0].push(below);
        rows[1].push(above);
    }
    rows
}

/// An edge, or the halves of an arc of more than half a turn.
fn halves(edge: &Edge) -> Vec<Edge> {
    let Edge::Arc { from, to, centre, radius, turn } = *edge else { return vec![*edge] };
    if turn.abs() <= 3.0 {
        return vec![*edge];
    }
    let half = 0.5 * turn;
    let middle = edge.point(0.5);
    vec![
        Edge::Arc { from, to: middle, centre, radius, turn: half },
        Edge::Arc { from: middle, to, centre, radius, turn: half },
    ]
}

/// An edge's curve on a level.
fn curve(edge: &Edge, level: &Frame) -> Curve {
    match *edge {
        Edge::Line { .. } => Curve::Line,
        Edge::Arc { from, to, centre, radius, .. } => {
            let ends = [from, edge.point(0.5), to].map(|p| place(level, p));
            Curve::circle(Frame { at: place(level, centre), ..*level }, radius, ends)
        }
    }
}

/// What stands on an edge, and whether its normal looks out: material is at the left of the edge.
fn wall(edge: &Edge, level: &Frame) -> (Surface, bool) {
    match *edge {
        Edge::Line { from, to } => {
            let [from, to] = [from, to].map(|p| place(level, p));
            let inside = (to - from).normalize_or_zero();
            let along = inside.cross(level.along).normalize_or_zero();
            (Surface::Plane(Frame { at: from, along, inside }), true)
        }
        Edge::Arc { centre, radius, turn, .. } => {
            let frame = Frame { at: place(level, centre), ..*level };
            let middle = place(level, edge.point(0.5));
            (Surface::Cylinder { frame, radius }.opened_opposite(middle), turn > 0.0)
        }
    }
}

fn place(level: &Frame, point: DVec2) -> DVec3 {
    level.at + level.inside * point.x + level.side() * point.y
}
