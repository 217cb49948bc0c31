//! The entities of a DXF file that an outline can be made of.

use std::f64::consts::TAU;

use geom::angle::from_degrees;
use geom::math::atan;
use glam::DVec2;

use super::pair::Pair;
use crate::edge::{Edge, NEAR};
use crate::fault::Fault;

/// One entity: its kind and its pairs; a polyline's vertices follow as kinds of their own.
pub(crate) struct Entity<'a> {
    pub kind: &'a str,
    pub line: usize,
    pub pairs: Vec<Pair<'a>>,
}

/// What entities come to: edges in travel order, and whether they close on themselves.
pub(crate) struct Path {
    pub edges: Vec<Edge>,
    pub closed: bool,
}

/// Entities that draw no edge.
const NOTES: [&str; 11] = [
    "TEXT",
    "MTEXT",
    "DIMENSION",
    "LEADER",
    "MULTILEADER",
    "POINT",
    "ATTDEF",
    "VIEWPORT",
    "HATCH",
    "SEQEND",
    "VERTEX",
];

impl<'a> Entity<'a> {
    /// The first value under a group code.
    fn pair(&self, code: i32) -> Option<&Pair<'a>> {
        self.pairs.iter().find(|pair| pair.code == code)
    }

    fn number(&self, code: i32) -> Result<Option<f64>, Fault> {
        self.pair(code).map(Pair::number).transpose()
    }

    fn must(&self, code: i32) -> Result<f64, Fault> {
        self.number(code)?.ok_or_else(|| {
            let message = format!("line {}: a {} without group {code}", self.line, self.kind);
            Fault::new("dxf-incomplete", message, super::pair::EXPORT)
        })
    }

    fn point(&self, code: i32) -> Result<DVec2, Fault> {
        Ok(DVec2::new(self.must(code)?, self.must(code + 10)?))
    }

    fn flags(&self) -> Result<i64, Fault> {
        Ok(self.number(70)?.unwrap_or(0.0) as i64)
    }

    /// The name of its layer.
    pub fn layer(&self) -> &'a str {
        self.pair(8).map_or("0", |pair| pair.value)
    }

    /// Whether it stands on a sheet of paper instead of in the model.
    pub fn on_paper(&self) -> bool {
        self.pair(67).is_some_and(|pair| pair.value == "1")
    }

    /// Its path, in the drawing's units; `None` where it draws no edge. `vertices` are those of an
    /// old polyline.
    pub fn path(&self, vertices: &[&Entity<'a>]) -> Result<Option<Path>, Fault> {
        let path = match self.kind {
            "LINE" => open(self.line_edge()?),
            "ARC" => open(self.arc()?),
            "CIRCLE" => Path { edges: vec![self.circle()?], closed: true },
            "LWPOLYLINE" => polyline(&self.light_vertices()?, self.flags()? & 1 == 1),
            "POLYLINE" => {
                if self.flags()? & !(1 | 128) != 0 {
                    return Err(
                        self.refused("is a curve-fitted polyline or a mesh", "draw it with lines and arcs")
                    );
                }
                let points = vertices.iter().map(|v| Ok((v.point(10)?, v.number(42)?.unwrap_or(0.0))));
                polyline(&points.collect::<Result<Vec<_>, Fault>>()?, self.flags()? & 1 == 1)
            }
            "ELLIPSE" | "SPLINE" => {
                return Err(self.refused(
                    "is neither a line nor an arc of a circle",
                    "draw or export it with lines and arcs",
                ));
            }
            "INSERT" => return Err(self.refused("is an inserted block", "explode blocks before exporting")),
            note if NOTES.contains(&note) => return Ok(None),
            _ => {
                return Err(
                    self.refused("cannot be part of an outline", "leave it out, or name the outline's layer")
                );
            }
        };
        self.in_plane(path).map(Some)
    }

    fn line_edge(&self) -> Result<Edge, Fault> {
        if (self.number(30)?.unwrap_or(0.0) - self.number(31)?.unwrap_or(0.0)).abs() > NEAR {
            return Err(self.refused("is not flat: its ends differ in z", "draw in the xy plane"));
        }
        Ok(Edge::Line { from: self.point(10)?, to: self.point(11)? })
    }

    fn radius(&self) -> Result<f64, Fault> {
        let radius = self.must(40)?;
        if radius > 0.0 {
            Ok(radius)
        } else {
            Err(self.refused("has no radius above 0", super::pair::EXPORT))
        }
    }

    fn circle(&self) -> Result<Edge, Fault> {
        Ok(Edge::arc(self.point(10)?, self.radius()?, 0.0, TAU))
    }

    /// An arc runs counter-clockwise from its start angle to its end angle, in degrees.
    fn arc(&self) -> Result<Edge, Fault> {
        let (start, end) = (from_degrees(self.must(50)?), from_degrees(self.must(51)?));
        let turn = (end - start) - TAU * ((end - start) / TAU).floor();
        if turn <= 0.0 {
            return Err(self.refused("begins where it ends", "draw a circle instead"));
        }
        Ok(Edge::arc(self.point(10)?, self.radius()?, start, turn))
    }

    /// Vertices of a light-weight polyline: each begins with its x; its bulge, if any, follows.
    fn light_vertices(&self) -> Result<Vec<(DVec2, f64)>, Fault> {
        let mut vertices: Vec<(DVec2, f64)> = Vec::new();
        for pair in &self.pairs {
            match (pair.code, vertices.last_mut()) {
                (10, _) => vertices.push((DVec2::new(pair.number()?, 0.0), 0.0)),
                (20, Some(vertex)) => vertex.0.y = pair.number()?,
                (42, Some(vertex)) => vertex.1 = pair.number()?,
                _ => (),
            }
        }
        Ok(vertices)
    }

    /// The path seen from +z: an entity drawn in the mirrored plane (extrusion 0, 0, -1) has -x for x.
    fn in_plane(&self, path: Path) -> Result<Path, Fault> {
        let part = |code, default| Ok::<f64, Fault>(self.number(code)?.unwrap_or(default));
        let (x, y, z) = (part(210, 0.0)?, part(220, 0.0)?, part(230, 1.0)?);
        if x.abs() > NEAR || y.abs() > NEAR || z == 0.0 {
            return Err(self.refused("is not drawn in the xy plane", "draw it flat, seen from +z"));
        }
        // Lines are in world coordinates whatever the extrusion.
        if z > 0.0 || self.kind == "LINE" {
            return Ok(path);
        }
        let flip = |point: DVec2| DVec2::new(-point.x, point.y);
        let edges = path.edges.iter().map(|edge| match *edge {
            Edge::Line { from, to } => Edge::Line { from: flip(from), to: flip(to) },
            Edge::Arc { from, to, centre, radius, turn } => {
                Edge::Arc { from: flip(from), to: flip(to), centre: flip(centre), radius, turn: -turn }
            }
        });
        Ok(Path { edges: edges.collect(), closed: path.closed })
    }

    fn refused(&self, why: &str, help: &'static str) -> Fault {
        Fault::new(
            "dxf-entity",
            format!("line {}: a {} on layer \"{}\" {why}", self.line, self.kind, self.layer()),
            help,
        )
    }
}

fn open(edge: Edge) -> Path {
    Path { edges: vec![edge], closed: false }
}

/// The edges between vertices, each with the bulge of the edge that leaves it: the tangent of a
/// quarter of its turn. Vertices on one spot draw nothing.
fn polyline(vertices: &[(DVec2, f64)], closed: bool) -> Path {
    let count = if closed { vertices.len() } else { vertices.len().saturating_sub(1) };
    let edge = |k: usize| {
        let ((from, bulge), (to, _)) = (vertices[k], vertices[(k + 1) % vertices.len()]);
        if from.distance(to) <= NEAR {
            return None;
        }
        let turn = 4.0 * atan(bulge);
        Some(if turn.abs() < 1e-12 { Edge::Line { from, to } } else { Edge::arc_between(from, to, turn) })
    };
    Path { edges: (0..count).filter_map(edge).collect(), closed }
}
