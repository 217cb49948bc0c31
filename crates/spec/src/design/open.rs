//! Values that a spec leaves open with "?".

/// A value left open: solved when the header is laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenValue {
    /// Its dotted key, as [`Origins`](crate::Origins) knows it: `run.front.path[2].straight`.
    pub key: String,
    /// Which number it is.
    pub slot: Slot,
    /// The value that the solved one is to stay near, mm or rad; `None` for a bare "?".
    pub drawn: Option<f64>,
}

/// Which number of a run or group is open. Indices point into the run's [`Path`](crate::design::Path),
/// where a placeholder stands in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Slot {
    /// The straight before bend `row`; with `row` one past the last bend, the straight after it.
    Straight {
        /// Index of the bend.
        row: usize,
        /// What other entries of the path add to the same straight, mm; the placeholder.
        given: f64,
    },
    /// The angle of bend `row`.
    Bend {
        /// Index of the bend.
        row: usize,
    },
    /// The rotate of bend `row`.
    Rotate {
        /// Index of the bend, 1 or more.
        row: usize,
    },
    /// The plane of the first bend: the run's `inside`. Its number is the clock from the upright
    /// direction (+z, else +x) at the run's start, rad.
    Plane,
    /// The distance of the first vertex from the start, or of the last from the end.
    Distance {
        /// Index of the vertex.
        vertex: usize,
    },
    /// A coordinate of a vertex.
    Coordinate {
        /// Index of the vertex.
        vertex: usize,
        /// 0 to 2: x, y, z.
        axis: usize,
    },
    /// The length that the runs of a group share.
    Target,
}

impl Slot {
    /// Whether it is an angle, in rad; else it is a length, in mm.
    pub fn is_angle(self) -> bool {
        matches!(self, Slot::Bend { .. } | Slot::Rotate { .. } | Slot::Plane)
    }
}

/// The number of equations that closing onto a demanded pose gives: three for the place and two for the
/// direction of travel.
pub const CLOSING_EQUATIONS: usize = 5;

/// The number of equations that a length gives.
pub const LENGTH_EQUATIONS: usize = 1;
