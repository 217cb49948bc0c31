//! What stands around a header, and how the header moves in it.

use geom::{DVec3, Frame, Similarity};

/// What stands around a header; empty where the spec says nothing of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bay {
    /// Scans and plain bodies, in the spec's order.
    pub obstacles: Vec<Obstacle>,
    /// The ground.
    pub ground: Option<Ground>,
    /// How the engine moves.
    pub rock: Option<Rock>,
    /// The way out of the car: straight moves, one after the other, from where the header stands.
    pub way_out: Vec<Move>,
    /// Spark plugs, and other straight ways that a hand or tool needs.
    pub plugs: Vec<Plug>,
    /// The turbocharger's oil drain.
    pub drain: Option<Drain>,
}

/// Something that the header has to keep clear of.
#[derive(Clone, Debug, PartialEq)]
pub struct Obstacle {
    /// Its name.
    pub name: String,
    /// What it is.
    pub class: Class,
    /// The clearance that it needs, mm: its own, or its class's in the shop.
    pub required: f64,
    /// What it stands on.
    pub on: Holder,
    /// Its shape.
    pub form: Form,
}

/// What an obstacle is, for the clearance that it needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Metal that stands still: frame, block, bodywork.
    Fixed,
    /// What moves: suspension, belts, linkages.
    Moving,
    /// Wiring, hoses and other things that heat spoils.
    Wiring,
    /// Fuel and brake lines, tanks, cylinders.
    Fuel,
    /// Steering shaft, rack and joints.
    Steering,
}

impl Class {
    /// Its word in the spec and on the sheets.
    pub fn name(self) -> &'static str {
        match self {
            Class::Fixed => "fixed",
            Class::Moving => "moving",
            Class::Wiring => "wiring",
            Class::Fuel => "fuel",
            Class::Steering => "steering",
        }
    }
}

/// What an obstacle stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holder {
    /// The car: the engine rocks past it.
    Car,
    /// The engine: it rocks with the header.
    Engine,
}

/// An obstacle's shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// A scan's file.
    Scan(ScanFile),
    /// A box about the frame's point: x along `inside`, y along [`Frame::side`], z along `along`.
    Box {
        /// Its middle and axes.
        frame: Frame,
        /// Half its size in x, y and z, mm.
        half: DVec3,
    },
    /// A round bar with flat ends.
    Cylinder {
        /// The middle of its first end.
        from: DVec3,
        /// The middle of its other end.
        to: DVec3,
        /// Its radius, mm.
        radius: f64,
    },
    /// A ball.
    Sphere {
        /// Its middle.
        at: DVec3,
        /// Its radius, mm.
        radius: f64,
    },
    /// A round bar with round ends beyond its two points.
    Capsule {
        /// The middle of its first round end.
        from: DVec3,
        /// The middle of its other round end.
        to: DVec3,
        /// Its radius, mm.
        radius: f64,
    },
    /// All that lies behind a plane: a bonnet, a floor.
    HalfSpace {
        /// A point of the plane.
        at: DVec3,
        /// The unit vector out of it, toward the header.
        out: DVec3,
    },
}

/// A scan's file and where it goes.
#[derive(Clone, Debug, PartialEq)]
pub struct ScanFile {
    /// The file, as a path from the spec's folder.
    pub file: String,
    /// Its format, by the file's ending.
    pub format: scan::Format,
    /// The key that names it, as [`Origins`](crate::Origins) knows it.
    pub key: String,
    /// From the file's units and axes to the car's, mm.
    pub placement: Similarity,
    /// How far the matched point pairs stay apart, root of the mean square, mm; `None`: placed without pairs.
    pub residual: Option<f64>,
    /// Whether only its triangles' front was seen: behind it is metal.
    pub one_sided: bool,
    /// Points with fewer neighbours than this are left out.
    pub isolated: Option<Isolated>,
}

/// Which points of a scan are noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Isolated {
    /// Neighbours are points within this distance, mm (of a mesh: connected patches smaller across than it are
    /// left out).
    pub within: f64,
    /// A point needs this many of them.
    pub least: usize,
}

/// The ground below the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// A point of it.
    pub at: DVec3,
    /// The unit vector up from it.
    pub up: DVec3,
    /// Least height above it, mm.
    pub required: f64,
}

/// How the engine, and the header with it, moves against the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rock {
    /// A point of the axis that it rocks about.
    pub at: DVec3,
    /// The unit direction of that axis.
    pub axis: DVec3,
    /// Largest angle the right-handed way about the axis, rad; 0 or more.
    pub forward: f64,
    /// Largest angle the other way, rad; 0 or more.
    pub back: f64,
    /// How far it shifts either way in x, y and z, mm.
    pub shift: DVec3,
}

/// One straight move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// Its unit direction.
    pub along: DVec3,
    /// Its length, mm.
    pub distance: f64,
}

/// A straight way that has to stay free: a spark plug with its socket, a dipstick.
#[derive(Clone, Debug, PartialEq)]
pub struct Plug {
    /// Its name.
    pub name: String,
    /// The middle of its foot.
    pub at: DVec3,
    /// The unit direction out of the engine.
    pub along: DVec3,
    /// Radius of what goes in and out, mm.
    pub radius: f64,
    /// Length of the way, mm.
    pub length: f64,
}

/// A turbocharger's oil drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drain {
    /// The unit direction in which oil leaves.
    pub along: DVec3,
    /// The unit direction of up.
    pub up: DVec3,
    /// Largest angle from straight down, rad.
    pub largest: f64,
}
