//! A header as its spec describes it: every unit resolved, every name checked.
//!
//! Lengths are in mm, angles in radians. Indices point into the vectors of the same [`Design`].

mod bay;
mod fastener;
mod fitting;

use geom::DVec3;
use geom::unit::Units;
use tube::{Row, Section, Segments};

use crate::shop::Shop;

mod branch;
mod open;

pub use bay::{Bay, Class, Drain, Form, Ground, Holder, Isolated, Move, Obstacle, Plug, Rock, ScanFile};
pub use branch::{Branch, Bung, BungAt, On, Sensor, Set, Tool, Toward};
pub use fastener::{Fastener, ToolKind};
pub use fitting::{Bellows, Coupling, CouplingKind, Fitting, FittingAt, FittingPart, Slip};
pub use open::{CLOSING_EQUATIONS, LENGTH_EQUATIONS, OpenValue, Slot};
mod plate;

pub use plate::{
    BoltHole, Growth, HeadMetal, MergePlug, Parting, Plate, PlateForm, PlateSlot, Relief, Shape, Transition,
    TransitionMake, TubeFit,
};

/// A whole header, resolved and checked, not yet laid out in space.
#[derive(Clone, Debug)]
pub struct Design {
    /// The spec file's name without its ending.
    pub name: String,
    /// The spec's `title`, for the sheets' heads.
    pub title: String,
    /// The spec's `note`: free text, printed on the summary.
    pub note: String,
    /// What sheets are printed in.
    pub units: Units,
    /// The paper that sheets are laid out for.
    pub paper: Paper,
    /// Where gas enters.
    pub ports: Vec<Port>,
    /// The ports in the order in which their cylinders fire; empty where the spec does not say.
    pub firing_order: Vec<usize>,
    /// Places where a run has to end, other than merges.
    pub flanges: Vec<Flange>,
    /// Round bodies that a run may be fitted onto; not made here.
    pub hosts: Vec<Host>,
    /// Sections whose every tube has no weld seam; two tubes of one section of which one is welded are not
    /// among them.
    pub seamless: Vec<Section>,
    /// The merges.
    pub merges: Vec<Merge>,
    /// The branches.
    pub branches: Vec<Branch>,
    /// The bungs by kind; where they stand is in the runs.
    pub bungs: Vec<Bung>,
    /// The runs, in the order of the spec.
    pub runs: Vec<Run>,
    /// Runs that are meant to be equally long.
    pub groups: Vec<Group>,
    /// Slip joints that its runs may have.
    pub slips: Vec<Slip>,
    /// Bellows that its runs may have.
    pub bellows: Vec<Bellows>,
    /// V-bands and flanged joints that its runs may have.
    pub couplings: Vec<Coupling>,
    /// Failures that the spec accepts in words.
    pub accepted: Vec<Accepted>,
    /// What stands around it.
    pub bay: Bay,
    /// The shop that makes it.
    pub shop: Shop,
}

/// Paper of a printed sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

/// A hole in the head flange.
#[derive(Clone, Debug, PartialEq)]
pub struct Port {
    /// Its name.
    pub name: String,
    /// Its centre on the flange's face, mm.
    pub at: DVec3,
    /// The unit direction in which gas leaves it.
    pub along: DVec3,
    /// Its shape; `None`: round, as the tube's bore.
    pub shape: Option<Shape>,
    /// From its shape to the run's tube.
    pub transition: Option<Transition>,
}

/// A flange: on which a run ends, as the pose that it demands; or at the ports, where runs begin.
#[derive(Clone, Debug, PartialEq)]
pub struct Flange {
    /// Its name.
    pub name: String,
    /// The centre of its face, mm.
    pub at: DVec3,
    /// The unit direction in which gas arrives.
    pub along: DVec3,
    /// The unit direction, square to `along`, of y in its drawing.
    pub up: DVec3,
    /// Indices of the ports that a head flange has; none of other flanges.
    pub ports: Vec<usize>,
    /// Its plate, if that is to be made.
    pub plate: Option<Plate>,
    /// Whether it stays where it is when the header is hot.
    pub fixed: bool,
    /// What is done up in each hole of its plate; `None`: no plate or no holes, or holes that fit no known thread.
    pub fastener: Option<Fastener>,
}

/// A round body, plain or conical, onto whose outside a run's end is fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct Host {
    /// Its name.
    pub name: String,
    /// A point on its axis, mm.
    pub at: DVec3,
    /// The unit direction of its axis.
    pub along: DVec3,
    /// Outside radius at `at`, mm.
    pub radius: f64,
    /// Growth of the outside radius for each mm along the axis: 0 for a cylinder.
    pub slope: f64,
    /// Length from `at` along the axis, mm.
    pub length: f64,
}

/// Several tubes brought together into one outlet.
#[derive(Clone, Debug, PartialEq)]
pub struct Merge {
    /// Its name.
    pub name: String,
    /// Number of legs, 2 to 6.
    pub legs: usize,
    /// The legs' section.
    pub section: Section,
    /// Angle between each leg and the merge's axis, rad; above 0.
    pub convergence: f64,
    /// The centre of the mouth, where the outlet begins, mm.
    pub at: DVec3,
    /// The unit direction of travel of the outlet.
    pub along: DVec3,
    /// The unit direction, square to `along`, in which leg 1 stands (azimuth 0).
    pub inside: DVec3,
    /// Where the legs' inlet faces are.
    pub inlets: Inlets,
    /// How legs and outlet are joined.
    pub way: Way,
    /// A cone between the mouth and the outlet's run, if any.
    pub cone: Option<Cone>,
    /// A plate in the void between its legs, if any; of four legs and more.
    pub plug: Option<MergePlug>,
}

/// Where the inlet faces of a merge's legs are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inlets {
    /// Neighbouring legs stand this far apart (outside to outside, mm) at their inlet faces; 0 touches.
    Gap(f64),
    /// Each leg is this long along its centreline from its inlet face to the merge tip, mm.
    Length(f64),
}

/// The two ways of joining legs and outlet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The cluster is sawn square, dressed round and butt welded to the outlet.
    Trimmed,
    /// Legs end on the outlet's outside; the outlet runs on to the legs' bores.
    Fitted,
}

/// The cone between a merge's mouth and its outlet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Outside diameter at the mouth, mm.
    pub mouth: f64,
    /// Length along the axis, mm.
    pub length: f64,
    /// Its wall and alloy (the `od` is that of the small end, the outlet's).
    pub section: Section,
}

/// A tube from one end to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// Where it begins.
    pub from: From,
    /// Where it ends.
    pub to: To,
    /// The direction that clock 0 of the run's start is to look in; used where the path starts with
    /// rows, as the inside of the first bend. Square to the start's travel, but where a branch gives that.
    pub inside: Option<DVec3>,
    /// Its centreline.
    pub path: Path,
    /// The values of its path that are left open; placeholders stand in their places.
    pub open: Vec<OpenValue>,
    /// Its sections in the direction of travel; the first begins at 0.
    pub sections: Vec<SectionFrom>,
    /// Its fittings, in the order of the spec.
    pub fittings: Vec<Fitting>,
    /// Mean temperature of its metal when hot, degrees C; `None`: as its alloy commonly gets.
    pub hot: Option<f64>,
    /// How it is made.
    pub making: Making,
    /// A cut at its start other than square.
    pub start_cut: Option<Miter>,
    /// A cut at its end other than square.
    pub end_cut: Option<Miter>,
    /// Whether the weld at its start, and that at its end, is made on the car.
    pub in_place: [bool; 2],
    /// Bungs in its wall: its own, then its group's.
    pub bungs: Vec<BungAt>,
    /// The length that it is to have, to the merge tip where it ends on a merge, mm.
    pub target: Option<f64>,
    /// Index of the group that it belongs to.
    pub group: Option<usize>,
    /// Closing gap that the spec allows, mm and rad; else 0.01 mm and 0.01 degree.
    pub allowed_gap: Option<(f64, f64)>,
}

/// Where a run begins: an index into the design's ports, merges or branches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// A port.
    Port(usize),
    /// A merge's outlet.
    Merge(usize),
    /// A branch: where its axis pierces its host's outside.
    Branch(usize),
}

/// Where a run ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum To {
    /// Leg `leg` (from 0) of merge `merge`.
    Leg {
        /// Index of the merge.
        merge: usize,
        /// Number of the leg, from 0.
        leg: usize,
    },
    /// A flange.
    Flange(usize),
    /// The outside of a host.
    Host(usize),
    /// Nothing: the end is open.
    Open,
}

/// A section and the station at which it begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionFrom {
    /// Station from the run's start, mm.
    pub from: f64,
    /// The section from there on.
    pub section: Section,
    /// How it meets the section before; the first section meets none.
    pub way: StepWay,
}

/// How the two tubes of a step meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StepWay {
    /// Face to face.
    Butt,
    /// The smaller tube runs this far into the larger one, mm, whose edge is at the step's station.
    Inserted(f64),
    /// The end of one of the two is expanded or swaged to the other's outside diameter; they meet face to face.
    Formed {
        /// Length of the taper, mm.
        taper: f64,
        /// Length of the land between taper and end, mm.
        land: f64,
        /// Whether the tube upstream is formed; else the one downstream.
        upstream: bool,
    },
}

/// A run's centreline as the spec writes it.
#[derive(Clone, Debug, PartialEq)]
pub enum Path {
    /// Bend rows and the straight after the last. The first row's rotate is 0; the run's `inside`
    /// gives the plane of the first bend.
    Rows {
        /// The bends.
        rows: Vec<Row>,
        /// Straight after the last bend, mm.
        tail: f64,
    },
    /// Vertices between the run's start and its end, which are not listed: the start is the port or
    /// the outlet, the end what `to` demands. An open end and a host demand no pose: there the last
    /// vertex listed is where the centreline ends. None at all: a straight line.
    Vertices(Vec<PathVertex>),
}

/// One vertex of a path: where two straights would meet, and the radius that rounds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathVertex {
    /// Where it is.
    pub place: Place,
    /// Centreline radius of its bend, mm; 0 where the centreline ends on it.
    pub radius: f64,
}

/// Where a vertex is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// A point in space, mm.
    At(DVec3),
    /// This far out of the start, along the start's direction, mm.
    Out(f64),
    /// This far back from the end, against the end's direction, mm.
    Back(f64),
}

/// How a run is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Making {
    /// Bent on a rotary-draw bender.
    Drawn,
    /// Cut from bought bends and straight tube.
    Assembled,
    /// Its bends made of mitred segments of straight tube (pie cuts).
    Segmented(Segments),
}

/// A plane cut at a run's end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miter {
    /// Tilt from square, rad; 0 to under PI / 2.
    pub angle: f64,
    /// Clock of the long point in the run's own frame there (clock 0 is `inside` of the run's pose), rad.
    pub roll: f64,
}

/// Runs that are meant to be equally long.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// The length each is to have, mm.
    pub target: Option<f64>,
    /// A target left open: the one value that its runs share.
    pub open: Option<OpenValue>,
    /// How far their lengths may lie apart, mm; above it a failure.
    pub spread: f64,
}

/// A failure that the spec accepts, with the reason in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Accepted {
    /// The finding's code.
    pub code: String,
    /// Where: the finding's `where`.
    pub place: String,
    /// Why it is accepted.
    pub why: String,
    /// The line of the spec where it is written, from 1.
    pub line: usize,
}
