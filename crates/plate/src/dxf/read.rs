//! Closed outlines out of a DXF file.

use super::chain::chain;
use super::entity::{Entity, Path};
use super::pair::{Pair, pairs};
use crate::edge::Edge;
use crate::fault::Fault;
use crate::outline::Loop;
use crate::shape::joined;

/// How a DXF file is read.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading<'a> {
    /// Ends of edges no further apart than this, mm, meet.
    pub tolerance: f64,
    /// Millimetres in a unit of the drawing, where the file does not say; where it does, the same.
    pub unit: Option<f64>,
    /// The only layer to read; else all.
    pub layer: Option<&'a str>,
}

/// The closed outlines in a DXF file's model space, in the file's order, in mm, each
/// counter-clockwise: lines, arcs, circles and polylines (of lines and bulges), chained.
///
/// Errors: a damaged file; no unit, neither in its header nor in `reading`; curves other than lines
/// and arcs, blocks, meshes; outlines that are open, branch or cross themselves; none at all.
pub fn read(text: &str, reading: &Reading) -> Result<Vec<Loop>, Vec<Fault>> {
    let pairs = pairs(text).map_err(|fault| vec![fault])?;
    let unit = unit(&pairs, reading).map_err(|fault| vec![fault])?;
    let entities = entities(&pairs);
    let (mut loops, mut loose, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for (k, entity) in entities.iter().enumerate() {
        if entity.on_paper() || reading.layer.is_some_and(|layer| layer != entity.layer()) {
            continue;
        }
        let vertices: Vec<&Entity> =
            entities[k + 1..].iter().take_while(|next| next.kind == "VERTEX").collect();
        match entity.path(&vertices) {
            Ok(Some(Path { edges, closed: false })) => loose.extend(scaled(edges, unit)),
            Ok(Some(Path { edges, closed: true })) => match Loop::of(joined(scaled(edges, unit))) {
                Ok(found) => loops.push(found),
                Err(fault) => faults.push(fault),
            },
            Ok(None) => (),
            Err(fault) => faults.push(fault),
        }
    }
    match chain(loose, reading.tolerance) {
        Ok(chained) => loops.extend(chained),
        Err(more) => faults.extend(more),
    }
    if loops.is_empty() && faults.is_empty() {
        faults.push(nothing(reading));
    }
    if faults.is_empty() { Ok(loops.into_iter().map(Loop::counter_clockwise).collect()) } else { Err(faults) }
}

fn nothing(reading: &Reading) -> Fault {
    let place = reading.layer.map_or(String::new(), |layer| format!(" on layer \"{layer}\""));
    let message = format!("the file holds no lines, arcs, circles or polylines{place}");
    Fault::new("dxf-empty", message, "draw the outline in model space, and check the layer's name")
}

/// Millimetres in a unit of the drawing: its `$INSUNITS`, else what the reader was told; where both say it
/// they have to agree.
fn unit(pairs: &[Pair], reading: &Reading) -> Result<f64, Fault> {
    let header = pairs.iter().position(|pair| pair.code == 9 && pair.value == "$INSUNITS");
    let code = header.and_then(|k| pairs.get(k + 1)).map_or("0", |pair| pair.value);
    let known = match code {
        "1" => Some(25.4),
        "2" => Some(304.8),
        "4" => Some(1.0),
        "5" => Some(10.0),
        "6" => Some(1000.0),
        "0" => reading.unit,
        other => {
            let message = format!("the file's unit ($INSUNITS {other}) is none that a plate is drawn in");
            return Err(Fault::new("dxf-unit", message, "export it in mm or in"));
        }
    };
    if let (Some(found), Some(told)) = (known, reading.unit)
        && (found - told).abs() > 1e-9
    {
        let message = format!("the file says that a unit of it is {found} mm, and the spec says {told} mm");
        return Err(Fault::new(
            "dxf-unit-conflict",
            message,
            "leave `unit` out, or export the file in that unit",
        ));
    }
    known.ok_or_else(|| {
        let message = "the file does not say what unit it is drawn in ($INSUNITS is missing or 0)";
        Fault::new(
            "dxf-no-unit",
            message,
            "export it with units, or say `unit = \"mm\"` (or \"in\") beside the file's name",
        )
    })
}

/// The entities of the ENTITIES section.
fn entities<'a>(pairs: &[Pair<'a>]) -> Vec<Entity<'a>> {
    let named = |two: &[Pair]| {
        two[0].code == 0 && two[0].value == "SECTION" && two[1].code == 2 && two[1].value == "ENTITIES"
    };
    let Some(begin) = pairs.windows(2).position(named) else { return Vec::new() };
    let mut entities: Vec<Entity> = Vec::new();
    for pair in &pairs[begin + 2..] {
        match (pair.code, entities.last_mut()) {
            (0, _) if pair.value == "ENDSEC" => break,
            (0, _) => entities.push(Entity { kind: pair.value, line: pair.line, pairs: Vec::new() }),
            (_, Some(entity)) => entity.pairs.push(*pair),
            _ => (),
        }
    }
    entities
}

fn scaled(edges: Vec<Edge>, unit: f64) -> Vec<Edge> {
    let scale = |edge: Edge| match edge {
        Edge::Line { from, to } => Edge::Line { from: from * unit, to: to * unit },
        Edge::Arc { from, to, centre, radius, turn } => {
            Edge::Arc { from: from * unit, to: to * unit, centre: centre * unit, radius: radius * unit, turn }
        }
    };
    edges.into_iter().map(scale).collect()
}
