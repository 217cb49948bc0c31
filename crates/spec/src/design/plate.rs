//! Plates of flanges, and the shapes of ports and openings.

use plate::{DVec2, Loop, Outline};
use tube::Alloy;

/// A closed shape, drawn about its own centre: x across, y up.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Its outline, mm.
    pub outline: Loop,
    /// What it is in words, without sizes: `round`, `oval`, `D`, `rectangle` or a DXF file's name.
    pub kind: String,
    /// Its two halves, where an upright wall divides it.
    pub halves: Option<[Loop; 2]>,
}

/// A part that goes over from a shape to a round tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transition {
    /// Its length along the gas, mm.
    pub length: f64,
    /// How it is made.
    pub make: TransitionMake,
}

/// How a transition is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TransitionMake {
    /// Formed from a stub of the run's tube over a wedge.
    Tube,
    /// Built from sheet of the tube's wall.
    Sheet,
}

/// A flat plate in the void between a merge's legs, square to the axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MergePlug {
    /// Thickness, mm.
    pub thickness: f64,
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// How far downstream of where the void opens its upstream face stands, mm.
    pub depth: f64,
    /// How far its downstream edge stays off the legs, mm.
    pub clearance: f64,
}

/// A flange's plate, drawn in its own axes: x across and y up, seen against the gas; mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Thickness, mm.
    pub thickness: f64,
    /// What it is made of.
    pub alloy: &'static Alloy,
    /// Its outside.
    pub form: PlateForm,
    /// Round holes, and holes slotted for growth.
    pub holes: Vec<BoltHole>,
    /// Slots that are drawn as such.
    pub slots: Vec<PlateSlot>,
    /// The opening for the gas where the tube is welded on top and no port says its shape.
    pub opening: Option<Shape>,
    /// From the run's tube to the opening, on a flange without ports.
    pub transition: Option<Transition>,
    /// How the tube is joined to it.
    pub fit: TubeFit,
    /// Clearance between tube and hole, mm on the diameter.
    pub clearance: f64,
    /// A groove around each tube.
    pub relief: Option<Relief>,
    /// Whether it is one piece between its ports.
    pub parting: Parting,
    /// Outside diameter of the washer or nut at each hole, mm.
    pub washer: Option<f64>,
    /// The least web between two edges, mm.
    pub least_web: f64,
    /// How plate and head grow.
    pub growth: Growth,
}

/// A plate's outside.
#[derive(Clone, Debug, PartialEq)]
pub enum PlateForm {
    /// The hull around all holes and openings, this far outside them, mm.
    Margin(f64),
    /// As drawn, with the holes that a DXF brings along.
    Drawn(Outline),
}

/// A round hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltHole {
    /// Its centre, mm.
    pub at: DVec2,
    /// Its diameter, mm.
    pub diameter: f64,
    /// Whether it is slotted towards the fixed point, for growth.
    pub slotted: bool,
}

/// A slot.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateSlot {
    /// Its middle, mm.
    pub at: DVec2,
    /// Its width, mm.
    pub width: f64,
    /// How far its round ends' centres are from each other, mm.
    pub travel: f64,
    /// Its direction from x towards y, rad.
    pub angle: f64,
    /// Its edge.
    pub edge: Loop,
}

/// How a tube is joined to a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TubeFit {
    /// It stands in the plate and ends this far behind the face, mm.
    Into(f64),
    /// It stands in the plate and ends flush with the face.
    Flush,
    /// It stands on the plate's back.
    On,
}

/// A groove around a tube, so that the weld does not pull the plate hollow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relief {
    /// From the tube's outside to the groove, mm.
    pub distance: f64,
    /// Width of the groove, mm.
    pub width: f64,
    /// Depth of the groove, mm.
    pub depth: f64,
}

/// Whether a plate goes through between its ports.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Parting {
    /// One piece.
    One,
    /// Cut through between neighbouring openings, with this gap, mm.
    Split(f64),
    /// Cut between neighbouring openings with a slot of this width, leaving a neck, mm.
    Relieved {
        /// Width of the slot.
        width: f64,
        /// What stays.
        neck: f64,
    },
}

/// How plate and head grow when they are hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// Temperature of the plate, degrees C.
    pub plate: f64,
    /// Temperature of the head, degrees C.
    pub head: f64,
    /// What the head is made of.
    pub metal: HeadMetal,
    /// The point from which the plate grows; `None`: the middle of its openings.
    pub fixed: Option<DVec2>,
}

/// What a cylinder head is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeadMetal {
    /// Aluminium.
    Aluminium,
    /// Grey cast iron.
    CastIron,
}

impl HeadMetal {
    /// Mean expansion, 1/K, and where it comes from.
    pub fn expansion(self) -> (f64, &'static str) {
        match self {
            HeadMetal::Aluminium => (23e-6, "cast aluminium about 23e-6 /K (from memory)"),
            HeadMetal::CastIron => (11e-6, "grey cast iron about 11e-6 /K (from memory)"),
        }
    }
}
