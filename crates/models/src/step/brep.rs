//! A solid by its boundary: vertices, edges and faces, and their text.

use geom::DVec3;

use super::curve::Curve;
use super::surface::Surface;
use super::text::{Arg, Id, Text};

/// A closed solid. Indices point into its own vectors.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brep {
    /// Where edges end, mm.
    pub vertices: Vec<DVec3>,
    /// Each between two faces.
    pub edges: Vec<Edge>,
    /// What encloses the solid.
    pub faces: Vec<Face>,
}

/// An edge from vertex to vertex.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Vertex at which its curve begins.
    pub from: usize,
    /// Vertex at which it ends.
    pub to: usize,
    /// Its curve.
    pub curve: Curve,
}

/// A part of a surface, inside its loops.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// What it lies on.
    pub surface: Surface,
    /// Whether the surface's own normal looks out of the solid.
    pub outward: bool,
    /// Its loops, the outer one first, each with the face on its left, seen from outside the solid.
    pub loops: Vec<Vec<Use>>,
}

/// An edge as a loop runs along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    /// The edge.
    pub edge: usize,
    /// Whether the loop runs with the edge.
    pub forward: bool,
}

impl Use {
    /// The same edge the other way.
    pub fn back(self) -> Use {
        Use { forward: !self.forward, ..self }
    }
}

/// Uses in reverse, each the other way round.
pub fn reversed(uses: &[Use]) -> Vec<Use> {
    uses.iter().rev().map(|u| u.back()).collect()
}

impl Brep {
    /// The vertex at `point`: one that is there already, within `WELD`, or a new one.
    pub fn vertex(&mut self, point: DVec3) -> usize {
        let near = |v: &DVec3| v.distance_squared(point) < WELD * WELD;
        self.vertices.iter().position(near).unwrap_or_else(|| {
            self.vertices.push(point);
            self.vertices.len() - 1
        })
    }

    /// A new edge. `None` where both ends are one vertex: there is nothing between.
    pub fn edge(&mut self, from: usize, to: usize, curve: Curve) -> Option<Use> {
        if from == to {
            return None;
        }
        self.edges.push(Edge { from, to, curve });
        Some(Use { edge: self.edges.len() - 1, forward: true })
    }

    /// The ends of an edge, mm.
    pub fn ends(&self, edge: &Edge) -> [DVec3; 2] {
        [self.vertices[edge.from], self.vertices[edge.to]]
    }

    /// What keeps it from being a closed solid: a loop that does not close, or an edge that is not between
    /// two faces.
    pub fn fault(&self) -> Option<String> {
        let mut uses = vec![[0_u32; 2]; self.edges.len()];
        for (number, face) in self.faces.iter().enumerate() {
            for edges in &face.loops {
                let end = |u: &Use, at_end: bool| {
                    let edge = &self.edges[u.edge];
                    if u.forward == at_end { edge.to } else { edge.from }
                };
                let next = edges.iter().cycle().skip(1);
                if edges.is_empty() || edges.iter().zip(next).any(|(a, b)| end(a, true) != end(b, false)) {
                    return Some(format!("face {number} has a loop that does not close"));
                }
                edges.iter().for_each(|u| uses[u.edge][usize::from(u.forward)] += 1);
            }
        }
        let open = uses.iter().position(|u| *u != [1, 1])?;
        let at = self.ends(&self.edges[open])[0];
        Some(format!("edge {open} near {at:.3} is not between two faces"))
    }

    /// The furthest that any edge is from the two surfaces on its sides, mm, looked for at `count` points
    /// of each.
    pub fn deviation(&self, count: usize) -> f64 {
        let mut worst = 0.0_f64;
        for face in &self.faces {
            for used in face.loops.iter().flatten() {
                let edge = &self.edges[used.edge];
                let points = edge.curve.points(self.ends(edge), count);
                worst = points.into_iter().map(|p| face.surface.distance(p).abs()).fold(worst, f64::max);
            }
        }
        worst
    }

    /// Writes it as a solid of this name.
    pub fn write(&self, name: &str, text: &mut Text) -> Id {
        let vertices: Vec<Id> = self.vertices.iter().map(|v| vertex(*v, text)).collect();
        let edges: Vec<Id> = self
            .edges
            .iter()
            .map(|edge| {
                let curve = edge.curve.write(self.ends(edge), text);
                let [from, to] = [edge.from, edge.to].map(|v| Arg::Ref(vertices[v]));
                text.add("EDGE_CURVE", &[Arg::Text(""), from, to, Arg::Ref(curve), Arg::Word(".T.")])
            })
            .collect();
        let faces: Vec<Id> = self.faces.iter().map(|face| face.write(&edges, text)).collect();
        let shell = text.add("CLOSED_SHELL", &[Arg::Text(""), Arg::Refs(&faces)]);
        text.add("MANIFOLD_SOLID_BREP", &[Arg::Text(name), Arg::Ref(shell)])
    }
}

impl Face {
    fn write(&self, edges: &[Id], text: &mut Text) -> Id {
        let mut bounds = Vec::with_capacity(self.loops.len());
        for (i, uses) in self.loops.iter().enumerate() {
            let oriented: Vec<Id> = uses
                .iter()
                .map(|u| {
                    let (edge, sense) = (Arg::Ref(edges[u.edge]), sense(u.forward));
                    text.add("ORIENTED_EDGE", &[Arg::Text(""), Arg::Word("*"), Arg::Word("*"), edge, sense])
                })
                .collect();
            let edge_loop = text.add("EDGE_LOOP", &[Arg::Text(""), Arg::Refs(&oriented)]);
            let kind = if i == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
            bounds.push(text.add(kind, &[Arg::Text(""), Arg::Ref(edge_loop), Arg::Word(".T.")]));
        }
        let surface = self.surface.write(text);
        let arguments = [Arg::Text(""), Arg::Refs(&bounds), Arg::Ref(surface), sense(self.outward)];
        text.add("ADVANCED_FACE", &arguments)
    }
}

fn vertex(at: DVec3, text: &mut Text) -> Id {
    let point = text.point(at);
    text.add("VERTEX_POINT", &[Arg::Text(""), Arg::Ref(point)])
}

fn sense(forward: bool) -> Arg<'static> {
    Arg::Word(if forward { ".T." } else { ".F." })
}

/// Vertices nearer than this are one, mm. Outside kernels take points within 1e-7 mm for the same.
pub const WELD: f64 = 1e-7;
