//! The keys of what stands around a header, and of how it moves and is reached in it.

use crate::key::{Key, Kind, Limit, Table};
use crate::spec_keys::{POSITIVE, TURN};

const CLEAR: Limit = Limit::least("negative-clearance", 0.0);
const NOT_NEGATIVE: Limit = Limit::least("negative-length", 0.0);
const ROCKING: Limit = Limit::least("angle-out-of-range", 0.0)
    .most(45.0)
    .mend("engines rock a few degrees; write the other way under the other key");

/// `[obstacle.NAME]`.
pub static OBSTACLE: Table = Table {
    name: "[obstacle.NAME]",
    doc: "Something that the header has to keep clear of: a scan's file, or one plain body.",
    either: &[&["file"], &["box"], &["cylinder"], &["capsule"], &["sphere"], &["half_space"]],
    keys: &[
        Key::may(
            "file",
            Kind::Text,
            "A scan's file, as a path from this file's folder; ending in .stl, .ply, .obj, .xyz, .e57 or .las.",
        ),
        Key::may("box", Kind::Table(&BOX), "A box."),
        Key::may("cylinder", Kind::Table(&CYLINDER), "A round bar with flat ends."),
        Key::may("capsule", Kind::Table(&CAPSULE), "A round bar with round ends beyond its two points."),
        Key::may("sphere", Kind::Table(&SPHERE), "A ball."),
        Key::may("half_space", Kind::Table(&HALF_SPACE), "All that lies behind a plane: a bonnet, a floor."),
        Key::must(
            "class",
            Kind::Choice(&["fixed", "moving", "wiring", "fuel", "steering"]),
            "What it is, for the clearance that it needs: fixed metal; what moves; wiring and hoses; fuel and brake; \
             steering.",
        ),
        Key::may(
            "clearance",
            Kind::Length(CLEAR),
            "The clearance that it needs, a length. Default: its class's in the shop file.",
        ),
        Key::may(
            "on",
            Kind::Choice(&["car", "engine"]),
            "What it stands on: the engine rocks past what stands on the car. Default: car.",
        ),
        Key::may(
            "units",
            Kind::Choice(&["mm", "cm", "m", "in", "ft"]),
            "What a scan's numbers are in; a scan needs it, because most formats do not say it.",
        ),
        Key::may(
            "place",
            Kind::WordOrTable("as scanned", &PLACE),
            "Where a scan goes: \"as scanned\" (its axes are the car's), or { mirror, turn, move }, carried out in this \
             order.",
        ),
        Key::may(
            "pairs",
            Kind::List(&[&PAIR]),
            "Instead of place: three or more points of the scan, each beside the same point in the car; the scan is \
             carried there by least squares, neither stretched nor mirrored.",
        ),
        Key::may(
            "mirror",
            Kind::Choice(&["x", "y", "z"]),
            "With pairs: the scan's coordinate that changes its sign first, of a scan of the other hand.",
        ),
        Key::may(
            "seen",
            Kind::Choice(&["both", "front"]),
            "front: behind a scan's triangles is metal; both: they are a skin. Default: both.",
        ),
        Key::may(
            "isolated",
            Kind::Table(&ISOLATED),
            "Leaves a scan's noise out: points with too few neighbours, patches of a mesh that are too small.",
        ),
    ],
};

static BOX: Table = Table {
    name: "box",
    doc: "A box about its middle.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "Its middle, lengths."),
        Key::must("size", Kind::Lengths(POSITIVE), "Its whole size in its own x, y and z, three lengths."),
        Key::may("along", Kind::Direction, "Direction of its own z; any length. Default: z."),
        Key::may(
            "inside",
            Kind::Direction,
            "Direction of its own x, turned square to `along`; any length. Default: x.",
        ),
    ],
};

static CYLINDER: Table = Table {
    name: "cylinder",
    doc: "A round bar with flat ends.",
    either: &[],
    keys: &[
        Key::must("from", Kind::Point, "The middle of its first end, lengths."),
        Key::must("to", Kind::Point, "The middle of its other end, lengths."),
        Key::must("d", Kind::Length(POSITIVE), "Its diameter, a length."),
    ],
};

static CAPSULE: Table = Table {
    name: "capsule",
    doc: "A round bar with round ends beyond its two points.",
    either: &[],
    keys: &[
        Key::must("from", Kind::Point, "The middle of its first round end, lengths."),
        Key::must("to", Kind::Point, "The middle of its other round end, lengths."),
        Key::must("d", Kind::Length(POSITIVE), "Its diameter, a length."),
    ],
};

static SPHERE: Table = Table {
    name: "sphere",
    doc: "A ball.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "Its middle, lengths."),
        Key::must("d", Kind::Length(POSITIVE), "Its diameter, a length."),
    ],
};

static HALF_SPACE: Table = Table {
    name: "half_space",
    doc: "All that lies behind a plane.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "A point of the plane, lengths."),
        Key::must("out", Kind::Direction, "Direction out of it, toward the header; any length."),
    ],
};

static PLACE: Table = Table {
    name: "place",
    doc: "Where a scan goes: mirrored, then turned, then moved.",
    either: &[],
    keys: &[
        Key::may(
            "mirror",
            Kind::Choice(&["x", "y", "z"]),
            "The scan's coordinate that changes its sign first. Default: none.",
        ),
        Key::may(
            "turn",
            Kind::Table(&ABOUT),
            "A turn about an axis through the scan's origin. Default: none.",
        ),
        Key::may(
            "move",
            Kind::Point,
            "How far it is moved at last, in the car's axes, lengths. Default: not at all.",
        ),
    ],
};

static ABOUT: Table = Table {
    name: "turn",
    doc: "A turn about an axis through the scan's origin.",
    either: &[],
    keys: &[
        Key::must("axis", Kind::Direction, "Direction of the axis; any length."),
        Key::must("angle", Kind::Angle(TURN), "The angle, degrees, right-handed about the axis."),
    ],
};

static PAIR: Table = Table {
    name: "a pair",
    doc: "A point of the scan and the same point in the car.",
    either: &[],
    keys: &[
        Key::must("scan", Kind::Numbers, "In the scan's file: three bare numbers in the scan's own units."),
        Key::must("here", Kind::Point, "In the car, lengths."),
    ],
};

static ISOLATED: Table = Table {
    name: "isolated",
    doc: "Which points of a scan are noise.",
    either: &[],
    keys: &[
        Key::must(
            "within",
            Kind::Length(POSITIVE),
            "Neighbours are points within this distance, a length; patches of a mesh smaller across than it are left \
             out.",
        ),
        Key::must(
            "least",
            Kind::Count(1, 1000),
            "Points with fewer neighbours than this are left out, 1 to 1000.",
        ),
    ],
};

/// `[ground]`.
pub static GROUND: Table = Table {
    name: "[ground]",
    doc: "The ground below the car.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "A point of it, lengths."),
        Key::may("up", Kind::Direction, "Direction up from it; any length. Default: +z."),
        Key::may("clearance", Kind::Length(CLEAR), "Least height above it, a length. Default: the shop's."),
    ],
};

/// `[rock]`.
pub static ROCK: Table = Table {
    name: "[rock]",
    doc: "How the engine, and the header with it, moves against the car.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "A point of the axis that it rocks about, lengths."),
        Key::must("axis", Kind::Direction, "Direction of that axis; any length."),
        Key::may(
            "forward",
            Kind::Angle(ROCKING),
            "Largest angle right-handed about the axis, degrees; 0 to 45. Default: 0.",
        ),
        Key::may("back", Kind::Angle(ROCKING), "Largest angle the other way, degrees; 0 to 45. Default: 0."),
        Key::may(
            "shift",
            Kind::Lengths(NOT_NEGATIVE),
            "How far it shifts either way in x, y and z, three lengths of 0 or more. Default: not at all.",
        ),
    ],
};

/// One of `[[way_out]]`.
pub static MOVE: Table = Table {
    name: "[[way_out]]",
    doc: "One straight move of the way out of the car.",
    either: &[],
    keys: &[
        Key::must("along", Kind::Direction, "Its direction; any length."),
        Key::must("distance", Kind::Length(POSITIVE), "How far, a length."),
    ],
};

/// `[plug.NAME]`.
pub static PLUG: Table = Table {
    name: "[plug.NAME]",
    doc: "A straight way that has to stay free: a spark plug with its socket, a dipstick.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "The middle of its foot, lengths."),
        Key::must("along", Kind::Direction, "Direction out of the engine; any length."),
        Key::must("d", Kind::Length(POSITIVE), "Diameter of what goes in and out, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Length of the way, a length."),
    ],
};

/// `[drain]`.
pub static DRAIN: Table = Table {
    name: "[drain]",
    doc: "The turbocharger's oil drain.",
    either: &[],
    keys: &[
        Key::must("along", Kind::Direction, "Direction in which oil leaves; any length."),
        Key::may("up", Kind::Direction, "Direction of up; any length. Default: +z."),
        Key::may(
            "largest",
            Kind::Angle(Limit::least("angle-out-of-range", 0.0).most(90.0)),
            "Largest angle from straight down, degrees; 0 to 90. Default: 20 (common practice, no source; the \
             turbocharger's maker says what holds).",
        ),
    ],
};

/// What is done up in a flange's holes.
pub static FASTENER: Table = Table {
    name: "fastener",
    doc: "A bolt or nut, the same in every hole of the flange, and its tool.",
    either: &[],
    keys: &[
        Key::may(
            "across",
            Kind::Length(POSITIVE),
            "Its width across flats, a length. Default: of the thread that the holes fit (ISO 273 and 4014 with units \
             \"mm\", ASME B18.2 with units \"in\"; from memory).",
        ),
        Key::may(
            "tool",
            Kind::Choice(&["socket", "spanner"]),
            "A socket on an extension along the hole's axis, or a spanner that swings about it. Default: whichever of them goes on.",
        ),
        Key::may(
            "reach",
            Kind::Length(POSITIVE),
            "How far the tool's room reaches from the flange, or a spanner from the axis, a length. Default: 100 mm \
             (common practice, no source).",
        ),
        Key::may(
            "swing",
            Kind::Angle(Limit::above("angle-out-of-range", 0.0).most(360.0)),
            "How far a spanner has to swing, degrees: 60 for a hexagon, 30 for a ring of twelve points. Default: 60.",
        ),
    ],
};
