//! Where a part stands on the printer's bed.

use geom::{DMat3, DVec3};

/// From the header's axes to the printer's: turned, then moved. A rotation, never a mirror; without the
/// printer's scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Rotation.
    pub turn: DMat3,
    /// Move, mm.
    pub by: DVec3,
}

impl Placement {
    /// Where a point of the header stands on the bed, mm.
    pub fn apply(&self, point: DVec3) -> DVec3 {
        self.turn * point + self.by
    }

    /// Where a point of the bed is on the header, mm.
    pub fn undo(&self, point: DVec3) -> DVec3 {
        self.turn.transpose() * (point - self.by)
    }
}
