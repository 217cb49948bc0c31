//! Fittings on runs: slip joints, bellows, V-bands and flanged joints.

use tube::{Alloy, Section};

/// A fitting on a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitting {
    /// Where it is.
    pub at: FittingAt,
    /// What it is.
    pub part: FittingPart,
}

/// Where a fitting is on its run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FittingAt {
    /// At the run's start: a port or a merge's outlet.
    Start,
    /// Station of its upstream face, mm.
    Station(f64),
    /// At the run's end: a merge's leg, a flange, or an open end.
    End,
}

/// What a fitting is: an index into the design's list of its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FittingPart {
    /// A slip joint.
    Slip(usize),
    /// A bellows.
    Bellows(usize),
    /// A V-band or a flanged joint.
    Coupling(usize),
}

/// A slip joint: tube slides in tube, the male end pointing downstream.
///
/// Single: one sleeve is welded onto the tube downstream, and the tube upstream slides in it. Double: an
/// outer and an inner sleeve are welded to the tube upstream, and the tube downstream slides between them;
/// the inner sleeve is the male end.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// Its name.
    pub name: String,
    /// The outer sleeve's section.
    pub outer: Section,
    /// The inner sleeve's section: a double slip.
    pub inner: Option<Section>,
    /// How far the sliding tube stands in its sleeve at assembly, mm.
    pub insertion: f64,
    /// Distance between the two tubes' ends at assembly, where growth goes, mm.
    pub room: f64,
    /// How far a sleeve goes over (or into) the tube that it is welded to, mm.
    pub socket: f64,
    /// Pairs of tabs that keep the joint together.
    pub tabs: usize,
    /// The least insertion at any temperature, mm; `None`: the sliding tube's diameter, within 25 to 50 mm.
    pub least: Option<f64>,
}

/// A bought bellows.
#[derive(Clone, Debug, PartialEq)]
pub struct Bellows {
    /// Its name.
    pub name: String,
    /// The tube that it fits.
    pub tube: Section,
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// Largest outside diameter, mm.
    pub od: f64,
    /// Length over its cuffs, mm.
    pub length: f64,
    /// How far a tube goes into each cuff, mm; 0: butt welded.
    pub socket: f64,
    /// Movement along its axis that is allowed, mm, either way.
    pub axial: f64,
    /// Movement across its axis that is allowed, mm.
    pub lateral: f64,
    /// Angle between its ends that is allowed, rad.
    pub angular: f64,
    /// Mass as stated, kg.
    pub mass: f64,
    /// The least straight on either side, mm; `None`: the tube's diameter.
    pub straight: Option<f64>,
    /// Whether it has a liner.
    pub lined: bool,
}

/// Two halves drawn together: a V-band or a flanged joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Coupling {
    /// Its name.
    pub name: String,
    /// How the halves are drawn together.
    pub kind: CouplingKind,
    /// The tube that it fits.
    pub tube: Section,
    /// What the halves are made of.
    pub alloy: &'static Alloy,
    /// Outside diameter of a half, mm.
    pub od: f64,
    /// Length of each half, mm.
    pub length: f64,
    /// Depth of the recess that a tube goes into, mm; 0: butt welded.
    pub socket: f64,
    /// Thickness of the gasket between the halves, mm.
    pub gasket: f64,
    /// Mass of each half as stated, kg; `None`: of its envelope.
    pub mass: Option<f64>,
    /// Outside diameter that the clamp, or the bolts and their tool, need, mm.
    pub room_od: f64,
}

/// How two halves are drawn together.
#[derive(Clone, Debug, PartialEq)]
pub enum CouplingKind {
    /// By a V-band clamp.
    VBand,
    /// By bolts: their number and their size in words.
    Flanged {
        /// How many.
        bolts: usize,
        /// Their size: text for the buying list.
        size: String,
    },
}

impl Slip {
    /// Length of a sleeve, mm.
    pub fn sleeve(&self) -> f64 {
        self.socket + self.room + self.insertion
    }
}

impl Coupling {
    /// Length over both halves and the gasket, mm.
    pub fn overall(&self) -> f64 {
        2.0 * self.length + self.gasket
    }
}
