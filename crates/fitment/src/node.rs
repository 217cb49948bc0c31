//! What holds strands together: a flange, a merge, a branch on its host.

use solids::Mesh;
use tube::End;

/// Strands that are one solid where they meet, with what stands there.
#[derive(Clone, Debug)]
pub struct Node {
    /// The name in the spec.
    pub name: String,
    /// What it is.
    pub kind: NodeKind,
    /// The lengths of strands that belong to it.
    pub holds: Vec<Hold>,
    /// Solids besides the strands.
    pub blocks: Vec<Block>,
}

impl Node {
    /// The spec's dotted key of it: `flange.head`, `merge.collector`.
    pub fn key(&self) -> String {
        let table = match self.kind {
            NodeKind::Flange(..) => "flange",
            NodeKind::Merge(_) => "merge",
            NodeKind::Branch(_) => "branch",
            NodeKind::Bung(_) => "bung",
            NodeKind::End(..) => "run",
        };
        format!("{table}.{}", self.name)
    }
}

/// What a node is, with its index in the layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NodeKind {
    /// A part of a flange's plate: indices of the plate and of its part.
    Flange(usize, usize),
    /// A merge.
    Merge(usize),
    /// A branch.
    Branch(usize),
    /// A bung.
    Bung(usize),
    /// A run's end that is fitted onto a body which is not printed: index of the run, and which end.
    End(usize, End),
}

/// A length of a strand that stays in its node's part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Index of the strand.
    pub strand: usize,
    /// Where it begins on it, mm.
    pub from: f64,
    /// Where it ends on it, mm.
    pub to: f64,
}

/// A solid of a node, in the header's axes.
#[derive(Clone, Debug)]
pub struct Block {
    /// The mark of the piece or plate that it stands for.
    pub mark: String,
    /// Its outside, closed, with bolt holes and without openings for the gas.
    pub outside: Mesh,
    /// What a hollow print leaves empty in it, closed, reaching out of the metal where it is open.
    pub bores: Vec<Mesh>,
}
