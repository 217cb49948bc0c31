//! A fitment model: printed parts, the plates that they stand on, collars and a test cube.

use geom::{DVec3, Frame};
use solids::Mesh;
use spec::Finding;

use crate::division::Division;
use crate::node::Node;
use crate::placement::Placement;
use crate::strand::Strand;

/// A header as it is printed.
#[derive(Clone, Debug)]
pub struct Fitment {
    /// The lines of tubes.
    pub strands: Vec<Strand>,
    /// What holds them together.
    pub nodes: Vec<Node>,
    /// How they are divided.
    pub division: Division,
    /// The parts, in the order of assembly, as in `division`.
    pub parts: Vec<Printed>,
    /// The header in one solid, undivided and without figures, in its own axes.
    pub whole: Mesh,
    /// The printer's plates of parts, in order.
    pub plates: Vec<PrintPlate>,
    /// Cutting collars.
    pub collars: Vec<Collar>,
    /// Plates of collars, in order.
    pub collar_plates: Vec<PrintPlate>,
    /// The test cube.
    pub cube: TestCube,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// A part as it is printed.
#[derive(Clone, Debug)]
pub struct Printed {
    /// Its mark.
    pub mark: String,
    /// Its solid in the header's axes, figures, datum and outlines of openings sunk into it; points in single precision.
    pub mesh: Mesh,
    /// Its volume before anything was sunk into it, joints made, mm3; without a boss behind the datum.
    pub plain_volume: f64,
    /// What a boss behind the datum, inside the undivided header's void, adds to that, mm3; 0 without one.
    pub boss_volume: f64,
    /// Where it stands on its plate, before the printer's scale.
    pub placement: Placement,
    /// Which plate.
    pub plate: usize,
    /// Its size on the plate, mm.
    pub size: DVec3,
    /// Area that hangs over more steeply than the printer can, and does not stand on the bed, mm2; without what is sunk.
    pub overhang: f64,
    /// The middle of its datum's mouth, in the header's axes, `along` out of the part; none where it has no room for
    /// one, which a finding says.
    pub datum: Option<Frame>,
    /// The middle of its figures, `along` out of the part, `inside` along the text; none where it has no room for them.
    pub figures: Option<Frame>,
    /// Whether its surface was united by booleans, or swept alone.
    pub united: bool,
}

/// A plate full of things to print.
#[derive(Clone, Debug)]
pub struct PrintPlate {
    /// Indices of the parts or collars on it.
    pub holds: Vec<usize>,
    /// Plastic in it as if every part were printed full, mm3.
    pub volume: f64,
}

/// A sleeve that slides over a tube of steel; its edge is the cut.
#[derive(Clone, Debug)]
pub struct Collar {
    /// The mark of the piece.
    pub piece: String,
    /// Which end of it, in words: `start` or `end`.
    pub end: String,
    /// Number and count where it is in halves: `(1, 2)` and `(2, 2)`; else `(1, 1)`.
    pub half: (usize, usize),
    /// Its solid, z along the tube with the edge up, the scribe line at +x, figures sunk into it.
    pub mesh: Mesh,
    /// Distance from its square edge to the cut at the scribe line, along the tube, mm.
    pub reach: f64,
    /// Which way the edge looks along the piece: true downstream.
    pub downstream: bool,
    /// Where it stands on its plate.
    pub placement: Placement,
    /// Which collar plate.
    pub plate: usize,
}

/// A cube to measure the printer by, and the fit by.
#[derive(Clone, Debug)]
pub struct TestCube {
    /// The cube, with sockets of several gaps.
    pub cube: Mesh,
    /// The loose spigot.
    pub spigot: Mesh,
    /// The gaps of its sockets, mm.
    pub gaps: Vec<f64>,
}
