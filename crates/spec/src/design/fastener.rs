//! What holds a flange, and the tool that does it up.

/// A bolt or nut, the same in every hole of a flange.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fastener {
    /// Its width across flats, mm.
    pub across: f64,
    /// What does it up; `None`: whichever of them goes on.
    pub tool: Option<ToolKind>,
    /// How far the tool's room reaches from the flange, mm: a socket with its extension along the hole's axis,
    /// a spanner's length from the axis.
    pub reach: f64,
    /// How far a spanner has to swing, rad; a socket needs none.
    pub swing: f64,
}

/// A tool for fasteners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToolKind {
    /// A socket with an extension along the hole's axis.
    Socket,
    /// An open or ring spanner that swings about it.
    Spanner,
}
