//! The keys of branches and bungs.

use crate::key::{Key, Kind, Limit, Table};
use crate::spec_keys::{POSITIVE, TURN};

/// How flat a branch may leave: below, its hole grows past any use.
const ANGLE: Limit = Limit::least("branch-angle", 10.0).most(170.0).mend(
    "90 is square; less leaves forward, more against the flow; flatter than 10 degrees no saddle can be cut",
);

const SETS: Kind = Kind::Choice(&["on", "in"]);

pub static BRANCH: Table = Table {
    name: "[branch.NAME]",
    doc: "A tube that leaves a run, a leg or a cone through its wall; a run begins at it with from = \"NAME\".",
    either: &[&["clock"], &["toward"]],
    keys: &[
        Key::must("on", Kind::Text, "What it leaves: a run, \"MERGE.1\" (leg 1) or \"MERGE.cone\"."),
        Key::must(
            "at",
            Kind::Length(POSITIVE),
            "Station at which its axis pierces the outside, along the axis from the run's start, the leg's inlet face or the mouth, a length.",
        ),
        Key::may(
            "clock",
            Kind::Angle(TURN),
            "Side on which it leaves, degrees from the scribe line, clockwise looking downstream; clock 0 of a leg or cone is nearest to up.",
        ),
        Key::may(
            "toward",
            Kind::Direction,
            "Instead of clock: direction toward which it leaves; its part square to the host's axis counts.",
        ),
        Key::must(
            "angle",
            Kind::Angle(ANGLE),
            "Angle between its travel and its host's, degrees; 10 to 170; 90 is square, less leaves forward.",
        ),
        Key::may(
            "offset",
            Kind::Length(Limit::ANY),
            "Distance of its axis from the host's axis, toward the host's travel x outward, a length. Default: 0.",
        ),
        Key::may(
            "set",
            SETS,
            "on: stands on the outside, the hole is its bore; in: stands in the wall, the hole is its outside. Default: on.",
        ),
    ],
};

pub static BUNG: Table = Table {
    name: "[bung.NAME]",
    doc: "A threaded boss that is welded onto or into a wall.",
    either: &[],
    keys: &[
        Key::must(
            "use",
            Kind::Choice(&["oxygen", "temperature", "pressure"]),
            "What it holds: an oxygen sensor, an exhaust-temperature sensor or a pressure tap.",
        ),
        Key::must("thread", Kind::Text, "Its thread, as it is bought: \"M18x1.5\"."),
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter, a length."),
        Key::must("bore", Kind::Length(POSITIVE), "Diameter of its bore, a length."),
        Key::must(
            "height",
            Kind::Length(Limit::above("height-out-of-range", 0.0).most(300.0)),
            "Height as bought, before its foot is fitted, a length; at most 300 mm.",
        ),
        Key::may(
            "set",
            SETS,
            "on: stands on the outside, the hole is its bore; in: stands in the wall, the hole is its outside. Default: on.",
        ),
        Key::may("tool", Kind::Table(&TOOL), "The room that its sensor and tool need above its face."),
        Key::may("alloy", Kind::Alloy, "What it is made of. Default: what its host is made of."),
        Key::may("mass", Kind::Mass, "Its mass. Default: that of its envelope."),
    ],
};

static TOOL: Table = Table {
    name: "tool",
    doc: "A cylinder of free room on a bung's axis, from its face outward.",
    either: &[],
    keys: &[
        Key::must("od", Kind::Length(POSITIVE), "Diameter, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Length from the bung's face, a length."),
    ],
};

pub static BUNG_AT: Table = Table {
    name: "a bung's place",
    doc: "A bung at its place.",
    either: &[&["clock"], &["toward"]],
    keys: &[
        Key::must("bung", Kind::Text, "The [bung.NAME] that stands there."),
        Key::must(
            "at",
            Kind::Length(POSITIVE),
            "Station from the run's start at which its axis pierces the outside, a length.",
        ),
        Key::may(
            "clock",
            Kind::Angle(TURN),
            "Side on which it stands, degrees from the scribe line, clockwise looking downstream.",
        ),
        Key::may(
            "toward",
            Kind::Direction,
            "Instead of clock: direction in which it stands; its part square to the run's axis counts.",
        ),
        Key::may(
            "angle",
            Kind::Angle(ANGLE),
            "Angle between its axis, outward, and the run's travel, degrees; 10 to 170. Default: 90, square.",
        ),
    ],
};
