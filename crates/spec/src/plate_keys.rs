//! The keys of flanges and of the shapes of ports.

use crate::bay_keys::FASTENER;
use crate::key::{Key, Kind, Limit, Table};

const POSITIVE: Limit = Limit::above("not-positive", 0.0);
const NOT_NEGATIVE: Limit = Limit::least("negative-length", 0.0);
const TURN: Limit = Limit::least("angle-out-of-range", -360.0).most(360.0);

/// `[flange.NAME]`.
pub static FLANGE: Table = Table {
    name: "[flange.NAME]",
    doc: "A flange: where a run has to end, or the head flange at the ports; with `thickness` and `alloy` its plate \
          is made too.",
    either: &[&["at", "along"], &["ports"]],
    keys: &[
        Key::may("at", Kind::Point, "The centre of its face, lengths."),
        Key::may("along", Kind::Direction, "Direction in which gas arrives; any length."),
        Key::may(
            "ports",
            Kind::Names,
            "Instead of at and along: the ports of a head flange, which lies in their plane, its origin midway between them.",
        ),
        Key::may(
            "datum",
            Kind::Text,
            "The port at which a head flange's drawing has its origin. Default: midway.",
        ),
        Key::may(
            "up",
            Kind::Direction,
            "Direction of y in the plate's drawing, which is seen against the gas. Default: up (+z), or +y on a level plate.",
        ),
        Key::may(
            "thickness",
            Kind::Length(POSITIVE),
            "Thickness of the plate, a length. Without it no plate is made.",
        ),
        Key::may("alloy", Kind::Alloy, "What the plate is made of."),
        Key::may(
            "margin",
            Kind::Length(POSITIVE),
            "The outside as the hull around all holes and openings, this far outside them, a length.",
        ),
        Key::may(
            "outline",
            Kind::List(&[&CORNER]),
            "Instead of margin: the outside as a polygon's corners, in order.",
        ),
        Key::may(
            "form",
            Kind::Table(&SHAPE),
            "Instead of margin: the outside as a shape, or out of a DXF with its holes.",
        ),
        Key::may("holes", Kind::List(&[&HOLE]), "Round holes."),
        Key::may("bolt_circle", Kind::Table(&BOLT_CIRCLE), "Holes evenly round a circle."),
        Key::may("slots", Kind::List(&[&SLOT]), "Slots."),
        Key::may(
            "opening",
            Kind::Table(&SHAPE),
            "The opening for the gas, where no port says its shape. Default: round, the tube's bore.",
        ),
        Key::may("transition", Kind::Table(&TRANSITION), "From the run's round tube to the opening."),
        Key::may(
            "fit",
            Kind::Choice(&["into", "flush", "on"]),
            "The tube stands in the plate behind its face, in it flush with the face, or on its back. Default: into.",
        ),
        Key::may(
            "setback",
            Kind::Length(NOT_NEGATIVE),
            "For fit \"into\": from the face to the tube's end, a length. Default: 2 mm (common practice, no source).",
        ),
        Key::may(
            "clearance",
            Kind::Length(NOT_NEGATIVE),
            "Between tube and plate, on the diameter, a length. Default: 0.3 mm (common practice, no source).",
        ),
        Key::may("relief", Kind::Table(&RELIEF), "A groove around each tube, against warping by the weld."),
        Key::may(
            "parting",
            Kind::Choice(&["one", "split", "relieved"]),
            "One piece, cut through between ports, or cut between them leaving a neck. Default: one.",
        ),
        Key::may(
            "parting_width",
            Kind::Length(POSITIVE),
            "Width of the cut between ports, a length. Default: 3 mm (common practice, no source).",
        ),
        Key::may(
            "neck",
            Kind::Length(POSITIVE),
            "What parting \"relieved\" leaves between two ports, a length.",
        ),
        Key::may(
            "washer",
            Kind::Length(POSITIVE),
            "Outside diameter of the washers or nuts, a length. Default: twice the hole's (near ISO 7089, from memory).",
        ),
        Key::may(
            "least_web",
            Kind::Length(POSITIVE),
            "The least metal between two edges, a length. Default: 4 mm (common practice, no source).",
        ),
        Key::may(
            "fixed",
            Kind::Choice(&["yes", "no"]),
            "Whether it stays where it is when the header is hot. Default: yes on a head flange, else no.",
        ),
        Key::may(
            "fastener",
            Kind::Table(&FASTENER),
            "What is done up in each hole of its plate, for the room that the tool needs. Default: a hex of the \
             thread that its holes fit, and whichever tool goes on.",
        ),
        Key::may("growth", Kind::Table(&GROWTH), "How plate and head grow, for holes with `slotted`."),
    ],
};

/// The shape of a port, an opening or a plate.
pub static SHAPE: Table = Table {
    name: "a shape",
    doc: "A closed shape about its own centre, x across and y up, seen against the gas.",
    either: &[&["round"], &["oval"], &["d"], &["rectangle"], &["dxf"]],
    keys: &[
        Key::may("round", Kind::Length(POSITIVE), "A circle's diameter, a length."),
        Key::may(
            "oval",
            Kind::Pair,
            "Width and height over all of two half circles and straights, two lengths.",
        ),
        Key::may(
            "d",
            Kind::Pair,
            "Width and height over all of a D: half a circle on top, straight sides, a flat bottom; two lengths.",
        ),
        Key::may("rectangle", Kind::Pair, "Width and height, two lengths."),
        Key::may(
            "corner",
            Kind::Length(NOT_NEGATIVE),
            "Radius of the corners of a rectangle or a D, a length. Default: 0.",
        ),
        Key::may(
            "dxf",
            Kind::Text,
            "A DXF file with closed outlines of lines and arcs, as a path from this file's folder; its origin is the shape's.",
        ),
        Key::may("layer", Kind::Text, "The only layer of the DXF to read. Default: all."),
        Key::may(
            "unit",
            Kind::Choice(&["mm", "in"]),
            "The DXF's unit, where its header names none; where it does, the same.",
        ),
        Key::may(
            "tolerance",
            Kind::Length(POSITIVE),
            "Ends in the DXF that are no further apart than this meet, a length. Default: 0.01 mm.",
        ),
        Key::may(
            "divider",
            Kind::Length(POSITIVE),
            "Width of an upright wall through its middle, as of a divided turbine inlet, a length. Default: none.",
        ),
        Key::may(
            "turn",
            Kind::Angle(TURN),
            "Turns the shape counter-clockwise as drawn, degrees. Default: 0.",
        ),
    ],
};

/// A transition between a shape and a round tube.
pub static TRANSITION: Table = Table {
    name: "transition",
    doc: "A part that goes over from a shape to the run's round tube, at a flange with a plate.",
    either: &[],
    keys: &[
        Key::must("length", Kind::Length(POSITIVE), "Its length along the gas, a length."),
        Key::may(
            "make",
            Kind::Choice(&["tube", "sheet"]),
            "tube: formed from a stub of the run's tube over a wedge; sheet: built from sheet as thick as its wall. Default: tube.",
        ),
    ],
};

static CORNER: Table = Table {
    name: "a corner",
    doc: "A corner of a polygon.",
    either: &[],
    keys: &[
        Key::must("corner", Kind::Spot, "Where its sides would meet: x and y, lengths."),
        Key::may("radius", Kind::Length(NOT_NEGATIVE), "Radius that rounds it, a length. Default: 0."),
    ],
};

static HOLE: Table = Table {
    name: "a hole",
    doc: "A round hole.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Spot, "Its centre: x and y, lengths."),
        Key::must("d", Kind::Length(POSITIVE), "Its diameter, a length."),
        Key::may(
            "slotted",
            Kind::Choice(&["no", "growth"]),
            "growth: slotted by what the plate grows more than the head. Default: no.",
        ),
    ],
};

static BOLT_CIRCLE: Table = Table {
    name: "bolt_circle",
    doc: "Holes evenly round a circle.",
    either: &[],
    keys: &[
        Key::must("d", Kind::Length(POSITIVE), "Diameter of the circle, a length."),
        Key::must("count", Kind::Count(1, 24), "Number of holes, 1 to 24."),
        Key::must("hole", Kind::Length(POSITIVE), "Diameter of each hole, a length."),
        Key::may("first", Kind::Angle(TURN), "Direction of the first hole from x, degrees. Default: 0."),
        Key::may("at", Kind::Spot, "Centre of the circle: x and y, lengths. Default: the origin."),
    ],
};

static SLOT: Table = Table {
    name: "a slot",
    doc: "A slot with round ends.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Spot, "Its middle: x and y, lengths."),
        Key::must("width", Kind::Length(POSITIVE), "Its width, a length."),
        Key::must("travel", Kind::Length(NOT_NEGATIVE), "Between the centres of its round ends, a length."),
        Key::may("angle", Kind::Angle(TURN), "Its direction from x, degrees. Default: 0."),
    ],
};

static RELIEF: Table = Table {
    name: "relief",
    doc: "A groove around each tube on the plate's back.",
    either: &[],
    keys: &[
        Key::may(
            "distance",
            Kind::Length(POSITIVE),
            "From the tube's outside to the groove, a length. Default: 4 mm (common practice, no source).",
        ),
        Key::may(
            "width",
            Kind::Length(POSITIVE),
            "Its width, a length. Default: 3 mm (common practice, no source).",
        ),
        Key::must("depth", Kind::Length(POSITIVE), "Its depth, a length; less than the plate's thickness."),
    ],
};

static GROWTH: Table = Table {
    name: "growth",
    doc: "How plate and head grow when they are hot.",
    either: &[],
    keys: &[
        Key::may(
            "plate",
            Kind::Temperature(Limit::least("temperature-out-of-range", 20.0).most(1000.0)),
            "Temperature of the plate, degrees C. Default: 650 (common practice, no source).",
        ),
        Key::may(
            "head",
            Kind::Temperature(Limit::least("temperature-out-of-range", 20.0).most(400.0)),
            "Temperature of the head, degrees C. Default: 100 (common practice, no source).",
        ),
        Key::may(
            "metal",
            Kind::Choice(&["aluminium", "cast iron"]),
            "What the head is made of. Default: aluminium.",
        ),
        Key::may(
            "fixed",
            Kind::Spot,
            "The point that stays: x and y, lengths. Default: midway between the ports.",
        ),
    ],
};
