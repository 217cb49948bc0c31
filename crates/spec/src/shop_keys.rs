//! The keys of a shop file.

use crate::key::{Key, Kind, Limit, Table};
use crate::spec_keys::SEAM;

const POSITIVE: Limit = Limit::above("not-positive", 0.0);
const NOT_NEGATIVE: Limit = Limit::least("negative-length", 0.0);
const RADIUS: Limit = Limit::above("radius-not-positive", 0.0);
const SMALL_ANGLE: Limit = Limit::least("angle-out-of-range", 0.0).most(45.0);
const BEND: Limit = Limit::above("bend-out-of-range", 0.0).most(180.0);

/// The whole file.
pub static SHOP: Table = Table {
    name: "the shop file",
    doc: "What a shop has and can do, for hotside; many specs share it.",
    either: &[],
    keys: &[
        Key::must("name", Kind::Text, "The shop's name, for the sheets' heads."),
        Key::may(
            "units",
            Kind::Choice(&["mm", "in"]),
            "The unit of every bare length. Without it each length needs its own unit.",
        ),
        Key::may(
            "torch_reach",
            Kind::Length(POSITIVE),
            "How far into a tube the torch reaches, a length. Default: 60 mm (common practice, no source).",
        ),
        Key::may(
            "weld_shrinkage",
            Kind::Length(NOT_NEGATIVE),
            "How much each butt joint draws the pieces together, a length. Default: 0, until measured.",
        ),
        Key::may(
            "seam",
            SEAM,
            "Whether tube has a weld seam unless its table says otherwise. Default: welded.",
        ),
        Key::may(
            "least_piece",
            Kind::Length(NOT_NEGATIVE),
            "The shortest straight piece worth cutting, a length. Default: 20 mm (common practice, no source).",
        ),
        Key::may(
            "slip_gap",
            Kind::Length(NOT_NEGATIVE),
            "Largest gap on the diameter of a slip joint, at the limits of the tubes' tolerances, a length. Default: \
             1 mm (common practice, no source).",
        ),
        Key::may(
            "paper_thickness",
            Kind::Length(NOT_NEGATIVE),
            "Thickness of the template paper, a length. Default: 0.1 mm.",
        ),
        Key::may("saw", Kind::Table(&SAW), "The saw."),
        Key::may("accuracy", Kind::Table(&ACCURACY), "How exactly the shop works."),
        Key::may("clearance", Kind::Table(&CLEARANCE), "How far the header has to stay clear of what."),
        Key::may(
            "printer",
            Kind::Table(&PRINTER),
            "The printer for test-fitment models, and what it prints with.",
        ),
        Key::may("die", Kind::Named(&DIE), "The bender's dies, by name."),
        Key::may("bend", Kind::Named(&STOCK_BEND), "Bends that can be bought, by name."),
        Key::may("tube", Kind::Named(&STOCK_TUBE), "Straight tube that can be bought, by name."),
    ],
};

static SAW: Table = Table {
    name: "[saw]",
    doc: "The saw.",
    either: &[],
    keys: &[
        Key::may(
            "kerf",
            Kind::Length(NOT_NEGATIVE),
            "Width of the cut, a length. Default: 1 mm (common practice, no source).",
        ),
        Key::may(
            "swing",
            Kind::Angle(Limit::least("angle-out-of-range", 0.0).below(90.0)),
            "Largest miter, degrees from square. Default: 45 (common practice, no source).",
        ),
    ],
};

static ACCURACY: Table = Table {
    name: "[accuracy]",
    doc: "How exactly the shop works.",
    either: &[],
    keys: &[
        Key::may(
            "length",
            Kind::Length(NOT_NEGATIVE),
            "Of a length or a mark, a length. Default: 0.5 mm (common practice, no source).",
        ),
        Key::may(
            "bend",
            Kind::Angle(SMALL_ANGLE),
            "Of a bend angle, degrees. Default: 0.5 (common practice, no source).",
        ),
        Key::may(
            "turn",
            Kind::Angle(SMALL_ANGLE),
            "Of a turn of the tube, degrees. Default: 1 (common practice, no source).",
        ),
    ],
};

static CLEARANCE: Table = Table {
    name: "[clearance]",
    doc: "How far the header has to stay clear of what; an obstacle can ask for more or less.",
    either: &[],
    keys: &[
        Key::may(
            "fixed",
            Kind::Length(CLEAR),
            "Of metal that stands still: frame, block, bodywork, a length. Default: 12 mm (common practice, no source).",
        ),
        Key::may(
            "moving",
            Kind::Length(CLEAR),
            "Of what moves: suspension, belts, linkages, a length. Default: 20 mm (common practice, no source).",
        ),
        Key::may(
            "wiring",
            Kind::Length(CLEAR),
            "Of wiring, hoses and other things that heat spoils, a length. Default: 60 mm (common practice, no source).",
        ),
        Key::may(
            "fuel",
            Kind::Length(CLEAR),
            "Of fuel and brake lines, tanks and cylinders, a length. Default: 75 mm (common practice, no source).",
        ),
        Key::may(
            "steering",
            Kind::Length(CLEAR),
            "Of steering shaft, rack and joints, a length. Default: 15 mm (common practice, no source).",
        ),
        Key::may(
            "tubes",
            Kind::Length(CLEAR),
            "Of one tube of the header from another, a length. Default: 3 mm (common practice, no source).",
        ),
        Key::may(
            "ground",
            Kind::Length(CLEAR),
            "Of the ground, a length. Default: 100 mm (common practice, no source).",
        ),
        Key::may(
            "torch",
            Kind::Length(CLEAR),
            "Around a weld that is made on the car, for the torch, a length. Default: 25 mm (common practice, no source).",
        ),
    ],
};

const CLEAR: Limit = Limit::least("negative-clearance", 0.0);

/// The ranges of its lengths are told in `printer_file`, in the file's own unit.
static PRINTER: Table = Table {
    name: "[printer]",
    doc: "The printer for test-fitment models, and what it prints with.",
    either: &[],
    keys: &[
        Key::may(
            "bed",
            Kind::Pair,
            "How much of its bed it prints on, x and y, two lengths from 100 to 3000 mm. Default: 220 by 220 mm.",
        ),
        Key::may(
            "height",
            Kind::Length(POSITIVE),
            "How high it prints, a length from 60 to 3000 mm. Default: 240 mm.",
        ),
        Key::may(
            "nozzle",
            Kind::Length(POSITIVE),
            "Width of its nozzle, a length from 0.1 to 2 mm. Default: 0.4 mm.",
        ),
        Key::may("material", Kind::Text, "What it prints with, as the shop calls it. Default: PLA."),
        Key::may(
            "density",
            Kind::Number(Limit::least("density-out-of-range", 500.0).most(5000.0).mend(DENSITY)),
            "Density of what it prints with, kg/m3, 500 to 5000. Default: 1240 (PLA).",
        ),
        Key::may(
            "fit_gap",
            Kind::Length(POSITIVE),
            "Room between a spigot and its socket on every side, a length from 0.05 to 1 mm, as the test cube told it. \
             Default: 0.2 mm (common practice, no source).",
        ),
        Key::may(
            "spigot",
            Kind::Length(POSITIVE),
            "How far a joint's spigot stands out, a length from 6 to 40 mm. Default: 12 mm (common practice, no source).",
        ),
        Key::may(
            "wall",
            Kind::Length(POSITIVE),
            "Wall of a hollow print, inward from the outside, a length from the nozzle's width to 20 mm. Default: the \
             steel's wall.",
        ),
        Key::may(
            "overhang",
            Kind::Angle(Limit::above("overhang-out-of-range", 0.0).most(80.0)),
            "How far a surface may lean out from upright without support, degrees. Default: 45 (common practice, no \
             source).",
        ),
        Key::may(
            "apart",
            Kind::Length(POSITIVE),
            "Room between parts on a plate and to its edge, a length from 0.5 to 20 mm. Default: 5 mm (common practice, no \
             source).",
        ),
        Key::may(
            "cube",
            Kind::Lengths(POSITIVE),
            "What the printed test cube measures in x, y and z, three lengths from 45 to 55 mm: all prints are scaled by \
             50 mm over that. Default: 50 mm each, no scale. Measure a cube that was printed without it.",
        ),
    ],
};

const DENSITY: &str = "it is in kg/m3: 1.24 g/cm3 are 1240";

static DIE: Table = Table {
    name: "[die.NAME]",
    doc: "A rotary-draw die.",
    either: &[],
    keys: &[
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter of the tube that it takes, a length."),
        Key::must("clr", Kind::Length(RADIUS), "Centreline radius as bent, a length."),
        Key::may("largest", Kind::Angle(BEND), "Largest bend, degrees. Default: 180."),
        Key::must(
            "grip",
            Kind::Length(NOT_NEGATIVE),
            "Straight that the clamp needs ahead of a bend, and so between bends, a length.",
        ),
        Key::may(
            "tail",
            Kind::Length(NOT_NEGATIVE),
            "Straight that has to follow the last bend, for the pressure die, a length. Default: 0.",
        ),
        Key::may(
            "trim",
            Kind::Length(NOT_NEGATIVE),
            "Extra left at each raw end, cut square after bending, a length. Default: 0.",
        ),
        Key::must("longest", Kind::Length(POSITIVE), "Longest raw tube, a length."),
        Key::may(
            "springback",
            Kind::Angle(SMALL_ANGLE),
            "Degrees that a bend of 90 degrees opens by, besides springback_fixed. Default: 0, until measured.",
        ),
        Key::may(
            "springback_fixed",
            Kind::Angle(SMALL_ANGLE),
            "Degrees that every bend opens by, whatever its size. Default: 0, until measured.",
        ),
        Key::may(
            "stretch",
            Kind::Length(Limit::ANY),
            "Growth of the tube's length over a bend of 90 degrees, a length. Default: 0, until measured.",
        ),
        Key::may(
            "reference",
            Kind::Choice(&["start", "clamp face", "middle"]),
            "Where the bender takes a bend's tape mark. Default: start, of the bend.",
        ),
        Key::may(
            "clamp_length",
            Kind::Length(POSITIVE),
            "How far the clamp's outer face is ahead of the bend's start, a length; for reference \"clamp face\".",
        ),
    ],
};

static STOCK_BEND: Table = Table {
    name: "[bend.NAME]",
    doc: "A bend that can be bought.",
    either: &[],
    keys: &[
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter, a length."),
        Key::must("wall", Kind::Wall, "Wall thickness, a decimal length; never a gauge."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
        Key::must("clr", Kind::Length(RADIUS), "Centreline radius, a length."),
        Key::must("angle", Kind::Angle(BEND), "Bend angle, degrees."),
        Key::must("legs", Kind::Pair, "Straight legs before and after the arc, two lengths."),
    ],
};

static STOCK_TUBE: Table = Table {
    name: "[tube.NAME]",
    doc: "Straight tube that can be bought.",
    either: &[],
    keys: &[
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter, a length."),
        Key::must("wall", Kind::Wall, "Wall thickness, a decimal length; never a gauge."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
        Key::must("length", Kind::Length(POSITIVE), "Length as bought, a length."),
    ],
};
