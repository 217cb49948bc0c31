//! What goes through a wall: branches and bungs.

use geom::DVec3;
use tube::Alloy;

/// A tube's way out through the wall of a run, a leg or a cone; a run begins at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// Its name.
    pub name: String,
    /// What it leaves.
    pub on: On,
    /// Station at which its axis pierces the host's outside, along the host's axis from the run's start,
    /// the leg's inlet face or the mouth, mm.
    pub at: f64,
    /// To which side it leaves.
    pub toward: Toward,
    /// Angle between its travel and its host's, rad; PI / 2 is square, less leaves forward.
    pub angle: f64,
    /// Distance of its axis from the host's axis, toward `host's travel x outward`, mm.
    pub offset: f64,
    /// How it meets the wall.
    pub set: Set,
}

/// What a branch leaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// A run, by index.
    Run(usize),
    /// Leg `leg` (from 0) of merge `merge`.
    Leg {
        /// Index of the merge.
        merge: usize,
        /// Number of the leg, from 0.
        leg: usize,
    },
    /// The cone of a merge, by the merge's index.
    Cone(usize),
}

/// A side of a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Toward {
    /// By the clock there, rad: from the scribe line of a run (clock 0 at the inside of its first bend),
    /// else from the side nearest to +z (else +x).
    Clock(f64),
    /// As near to this unit direction as can be.
    Direction(DVec3),
}

/// How a branch or bung meets its host's wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Set {
    /// It stands on the outside; the hole is its bore.
    On,
    /// It stands in the wall, flush with the bore; the hole is its outside.
    In,
}

/// A threaded boss, bought: a short round tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Bung {
    /// Its name.
    pub name: String,
    /// What is screwed in.
    pub sensor: Sensor,
    /// Its thread, as the spec writes it.
    pub thread: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Diameter of its bore, mm.
    pub bore: f64,
    /// Height as bought, before its foot is fitted to the host, mm.
    pub height: f64,
    /// How it meets the wall.
    pub set: Set,
    /// The room that the sensor and its tool need above its face.
    pub tool: Option<Tool>,
    /// What it is made of; `None`: what its host is made of.
    pub alloy: Option<&'static Alloy>,
    /// Its mass as stated, kg.
    pub mass: Option<f64>,
}

/// What a bung holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sensor {
    /// An oxygen sensor.
    Oxygen,
    /// An exhaust-temperature sensor.
    Temperature,
    /// A pressure tap.
    Pressure,
}

/// A cylinder of free room above a bung's face, along its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    /// Diameter, mm.
    pub od: f64,
    /// Length from the bung's face, mm.
    pub length: f64,
}

/// A bung at its place on a run.
#[derive(Clone, Debug, PartialEq)]
pub struct BungAt {
    /// Index of the bung.
    pub bung: usize,
    /// Station at which its axis pierces the run's outside, mm.
    pub at: f64,
    /// To which side it stands.
    pub toward: Toward,
    /// Angle between its axis, outward, and the run's travel, rad; PI / 2 is square.
    pub angle: f64,
    /// The dotted key under which the spec has it: a run's list or a group's.
    pub key: String,
}

impl Sensor {
    /// Its word in the spec and on the sheets.
    pub fn name(self) -> &'static str {
        match self {
            Sensor::Oxygen => "oxygen",
            Sensor::Temperature => "temperature",
            Sensor::Pressure => "pressure",
        }
    }
}

impl Set {
    /// Its word in the spec and on the sheets.
    pub fn name(self) -> &'static str {
        match self {
            Set::On => "on",
            Set::In => "in",
        }
    }
}
