//! Closed triangle meshes of pieces, straight from the kernel.
//!
//! Tubes and their cuts are meshed from rings ([`rings`]), with holes in them ([`holed`]); square-ended
//! cones are turned B-rep solids ([`turned`]); plates are extruded ([`extruded`]). [`part_mesh`] chooses. What is told
//! point by point takes the outside alone, evenly divided ([`outside`]). What is written in single precision is
//! [`rounded`](mod@rounded) first.

pub mod extruded;
pub mod holed;
pub mod lofted;
pub mod mesh;
pub mod outside;
pub mod polygon;
pub mod rings;
pub mod rounded;
pub mod turned;

pub use extruded::extruded_mesh;
pub use lofted::transition_mesh;
pub use mesh::{Mesh, MeshFault};
pub use outside::{divided_mesh, outside_mesh};
pub use rings::{MeshSettings, piece_mesh};
pub use rounded::rounded;
pub use turned::{Cone, cone_mesh};

use tube::{Body, Piece, Shape};

/// The closed mesh of a piece: a cone with square ends and no holes is turned, everything else made of rings.
///
/// Errors as those of [`piece_mesh`] and [`cone_mesh`].
pub fn part_mesh(piece: &Piece, settings: MeshSettings) -> Result<Mesh, MeshFault> {
    match Cone::of(piece) {
        Some(cone) => cone_mesh(cone, settings),
        None => piece_mesh(piece, settings),
    }
}

impl Cone {
    /// The piece as a plain cone; `None` unless it is one with square ends and no holes.
    pub fn of(piece: &Piece) -> Option<Cone> {
        let Body::Cone { frame, start_od, end_od, length, .. } = piece.body else { return None };
        let square = piece.start.shape == Shape::Square && piece.end.shape == Shape::Square;
        let across = piece.line(0.0, 1.0).rho - piece.line(0.0, 0.0).rho;
        let cone = Cone { frame, start: 0.5 * start_od, end: 0.5 * end_od, across, length };
        (square && piece.holes.is_empty()).then_some(cone)
    }
}
