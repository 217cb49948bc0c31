//! The keys of a spec file.

use crate::bay_keys::{DRAIN, GROUND, MOVE, OBSTACLE, PLUG, ROCK};
use crate::branch_keys::{BRANCH, BUNG, BUNG_AT};
use crate::fitting_keys::{BELLOWS, BELLOWS_AT, FLANGED, FLANGED_AT, SLIP, SLIP_AT, VBAND, VBAND_AT};
use crate::key::{Key, Kind, Limit, Table};
use crate::plate_keys::{FLANGE, SHAPE, TRANSITION};

pub(crate) const POSITIVE: Limit = Limit::above("not-positive", 0.0);
pub(crate) const TURN: Limit = Limit::least("angle-out-of-range", -360.0).most(360.0);
/// Whether a tube has a weld seam along it.
pub(crate) const SEAM: Kind = Kind::Choice(&["welded", "none"]);
const MAKINGS: Kind = Kind::Choice(&["drawn", "assembled", "segmented"]);

/// The whole file.
pub static SPEC: Table = Table {
    name: "the spec",
    doc: "The spec of one exhaust header for hotside.",
    either: &[],
    keys: &[
        Key::must("title", Kind::Text, "What the header is, for the sheets' heads."),
        Key::may("note", Kind::Text, "Free text, printed on the summary."),
        Key::may(
            "units",
            Kind::Choice(&["mm", "in"]),
            "The unit of every bare length, and of the sheets. Without it each length needs its own unit.",
        ),
        Key::may(
            "paper",
            Kind::Choice(&["a4", "letter"]),
            "Paper of the printed sheets. Default: a4; letter where units is \"in\".",
        ),
        Key::may("shop", Kind::Text, "The shop file, as a path from this file's folder."),
        Key::may("making", MAKINGS, "How runs are made unless they say otherwise. Default: drawn."),
        Key::may(
            "firing_order",
            Kind::Names,
            "All ports in the order in which their cylinders fire; each merge then notes what it brings together.",
        ),
        Key::may("tube", Kind::Named(&TUBE), "Tube sections by name."),
        Key::may("port", Kind::Named(&PORT), "Where gas enters, by name."),
        Key::may("flange", Kind::Named(&FLANGE), "Flanges, by name."),
        Key::may("host", Kind::Named(&HOST), "Round bodies onto which runs are fitted, by name."),
        Key::may("merge", Kind::Named(&MERGE), "Merge collectors by name."),
        Key::may("branch", Kind::Named(&BRANCH), "Tubes that leave through a wall, by name."),
        Key::may("bung", Kind::Named(&BUNG), "Threaded bosses by name."),
        Key::may("run", Kind::Named(&RUN), "Tube runs by name."),
        Key::may("slip", Kind::Named(&SLIP), "Slip joints by name."),
        Key::may("bellows", Kind::Named(&BELLOWS), "Bellows to buy, by name."),
        Key::may("vband", Kind::Named(&VBAND), "V-band joints to buy, by name."),
        Key::may("flanged", Kind::Named(&FLANGED), "Flanged joints to buy, by name."),
        Key::may("group", Kind::Named(&GROUP), "Runs that are meant to be equally long, by name."),
        Key::may("obstacle", Kind::Named(&OBSTACLE), "What the header has to keep clear of, by name."),
        Key::may("ground", Kind::Table(&GROUND), "The ground below the car."),
        Key::may(
            "rock",
            Kind::Table(&ROCK),
            "How the engine, and the header with it, moves against the car.",
        ),
        Key::may(
            "way_out",
            Kind::List(&[&MOVE]),
            "The way out of the car: straight moves, one after the other, from where the header stands.",
        ),
        Key::may("plug", Kind::Named(&PLUG), "Spark plugs and other straight ways that stay free, by name."),
        Key::may("drain", Kind::Table(&DRAIN), "The turbocharger's oil drain."),
        Key::may("accept", Kind::List(&[&ACCEPT]), "Failures that this spec accepts, each with its reason."),
    ],
};

static TUBE: Table = Table {
    name: "[tube.NAME]",
    doc: "A tube's section: outside diameter and wall, or an NPS pipe size; and its alloy.",
    either: &[&["od", "wall"], &["size"]],
    keys: &[
        Key::may("od", Kind::Length(POSITIVE), "Outside diameter, a length."),
        Key::may("wall", Kind::Wall, "Wall thickness, a decimal length; never a gauge."),
        Key::may("size", Kind::Pipe, "An NPS pipe instead of od and wall: \"pipe 1-1/2 sch 10S\"."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
        Key::may(
            "seam",
            SEAM,
            "welded: the sheets say where its weld seam is to lie; none: seamless. Default: the shop's.",
        ),
    ],
};

static PORT: Table = Table {
    name: "[port.NAME]",
    doc: "Where gas enters: a hole in the head flange.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "The hole's centre on the flange's face, lengths."),
        Key::must("along", Kind::Direction, "Direction in which gas leaves it; any length."),
        Key::may("shape", Kind::Table(&SHAPE), "Its shape, for the head flange. Default: the tube's bore."),
        Key::may("transition", Kind::Table(&TRANSITION), "From its shape to the run's round tube."),
    ],
};

static HOST: Table = Table {
    name: "[host.NAME]",
    doc: "A round body, cylinder or cone, onto whose outside a run's end is fitted; not made here.",
    either: &[],
    keys: &[
        Key::must("at", Kind::Point, "A point on its axis, lengths."),
        Key::must("along", Kind::Direction, "Direction of its axis; any length."),
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter at `at`, a length."),
        Key::may(
            "end_od",
            Kind::Length(POSITIVE),
            "For a cone: outside diameter at the far end, a length. Default: od.",
        ),
        Key::must("length", Kind::Length(POSITIVE), "Length from `at` along the axis, a length."),
    ],
};

static MERGE: Table = Table {
    name: "[merge.NAME]",
    doc: "A merge collector: several tubes brought together into one outlet.",
    either: &[&["inlet_gap"], &["leg_length"]],
    keys: &[
        Key::must("legs", Kind::Count(2, 6), "Number of legs, 2 to 6, evenly round the axis."),
        Key::must("tube", Kind::Text, "The legs' section: a [tube.NAME]."),
        Key::must(
            "convergence",
            Kind::Angle(Limit::above("convergence-out-of-range", 0.0).below(60.0)),
            "Angle between each leg and the axis, degrees; above 0, below 60.",
        ),
        Key::must("at", Kind::Point, "Centre of the mouth, where the outlet begins, lengths."),
        Key::must("along", Kind::Direction, "Direction in which gas leaves the outlet; any length."),
        Key::must(
            "inside",
            Kind::Direction,
            "Direction in which leg 1 stands from the axis; leg k stands at (k - 1) 360 / legs from it, right-handed.",
        ),
        Key::may(
            "inlet_gap",
            Kind::Length(Limit::least("negative-gap", 0.0)),
            "Gap between neighbouring legs at their inlet faces, outside to outside, a length; 0 touches.",
        ),
        Key::may(
            "leg_length",
            Kind::Length(POSITIVE),
            "Instead of inlet_gap: each leg's length from inlet face to merge tip, a length.",
        ),
        Key::may(
            "way",
            Kind::Choice(&["trimmed", "fitted"]),
            "trimmed: sawn square and butt welded to the outlet; fitted: legs end on the outlet's outside. Default: trimmed.",
        ),
        Key::may("cone", Kind::Table(&CONE), "A cone between the mouth and the outlet's run."),
        Key::may("plug", Kind::Table(&MERGE_PLUG), "A plate in the void between four or more legs."),
    ],
};

static MERGE_PLUG: Table = Table {
    name: "plug",
    doc: "A flat plate that closes the void between a merge's legs, square to its axis; it drops in from upstream.",
    either: &[],
    keys: &[
        Key::must("thickness", Kind::Length(POSITIVE), "Its thickness, a length."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
        Key::may(
            "depth",
            Kind::Length(Limit::least("negative-depth", 0.0)),
            "How far downstream of where the void opens its upstream face stands, a length. Default: 0.",
        ),
        Key::may(
            "clearance",
            Kind::Length(Limit::least("plug-clearance", 0.05).most(2.0)),
            "How far its downstream edge stays off the legs, a length; 0.05 to 2 mm. Default: 0.2 mm (common practice, \
             no source).",
        ),
    ],
};

static CONE: Table = Table {
    name: "cone",
    doc: "A cone from a merge's mouth down to the run that leaves it.",
    either: &[],
    keys: &[
        Key::must("mouth", Kind::Length(POSITIVE), "Outside diameter at the mouth, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Length along the axis, a length."),
        Key::must("wall", Kind::Wall, "Wall thickness, a decimal length."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
    ],
};

static RUN: Table = Table {
    name: "[run.NAME]",
    doc: "A tube from one end to the next.",
    either: &[],
    keys: &[
        Key::must("from", Kind::Text, "Where it begins: a port, a merge (its outlet) or a branch."),
        Key::must("to", Kind::Text, "Where it ends: \"MERGE.1\" (leg 1), a flange, a host, or \"open\"."),
        Key::must("tube", Kind::Text, "Its section at the start: a [tube.NAME]."),
        Key::may("steps", Kind::List(&[&STEP]), "Changes of section, in the direction of travel."),
        Key::may(
            "fittings",
            Kind::List(&[&SLIP_AT, &BELLOWS_AT, &VBAND_AT, &FLANGED_AT]),
            "Slip joints, bellows, V-bands and flanged joints along it.",
        ),
        Key::may(
            "hot",
            Kind::Temperature(Limit::above("temperature-out-of-range", 20.0).most(1100.0)),
            "Mean temperature of its metal when hot, degrees C; for its growth. Default: as its alloy commonly gets \
             (rough, no source; the sheets name it).",
        ),
        Key::may("making", MAKINGS, "How it is made. Default: the file's `making`."),
        Key::may(
            "segments",
            Kind::Count(2, 91),
            "For a segmented run: pieces of each bend, its two end halves and the full ones between; 2 to 91.",
        ),
        Key::may(
            "largest_cut",
            Kind::Angle(Limit::least("cut-out-of-range", 1.0).most(45.0)),
            "Instead of segments: the largest tilt of a mitre from square, degrees; 1 to 45.",
        ),
        Key::may(
            "inside",
            Kind::OpenDirection,
            "Direction of the inside of the first bend; needed where `path` has bend rows. \"?\": solved.",
        ),
        Key::may(
            "radius",
            Kind::Length(RADIUS),
            "Centreline radius of its bends unless they have their own, a length.",
        ),
        Key::may(
            "path",
            Kind::List(&[&STRAIGHT, &BEND, &OUT, &AT, &BACK]),
            "Its centreline: either bend rows (straight, bend) or vertices (out, at, back). Left out, it is straight. A value \"?\" (or \"? 120\", with the drawn value to stay near) is solved so that the run closes and reaches its target.",
        ),
        Key::may("start_cut", Kind::Table(&CUT), "A plane cut at the start; only where it begins at a port."),
        Key::may(
            "end_cut",
            Kind::Table(&CUT),
            "A plane cut at the end; only where it ends on a flange or is open.",
        ),
        Key::may(
            "in_place",
            Kind::Words(&["start", "end"]),
            "Which of the welds at its ends are made on the car: [\"start\"], [\"end\"] or both; the torch needs room \
             there. Default: none.",
        ),
        Key::may("bungs", Kind::List(&[&BUNG_AT]), "Bungs in its wall."),
        Key::may(
            "target",
            Kind::Length(POSITIVE),
            "Length that it is to have, to the merge tip where it ends on a merge, a length.",
        ),
        Key::may("group", Kind::Text, "The [group.NAME] of equally long runs that it belongs to."),
        Key::may(
            "allow_gap",
            Kind::Table(&GAP),
            "Closing gap that is allowed at its end. Default: 0.01 mm and 0.01 degree.",
        ),
    ],
};

const RADIUS: Limit = Limit::above("radius-not-positive", 0.0);

static STEP: Table = Table {
    name: "a step",
    doc: "A change of section.",
    either: &[],
    keys: &[
        Key::must(
            "at",
            Kind::Length(Limit::above("step-not-positive", 0.0).mend("the run's first section is `tube`")),
            "Station from the run's start, a length.",
        ),
        Key::must("tube", Kind::Text, "The section from there on: a [tube.NAME]."),
        Key::may(
            "way",
            Kind::Choice(&["butt", "inserted", "formed"]),
            "butt: face to face; inserted: the smaller tube in the larger, fillet welded; formed: the end of one \
             expanded or swaged to the other's diameter, then face to face. Default: butt.",
        ),
        Key::may(
            "insertion",
            Kind::Length(POSITIVE),
            "How far the smaller tube runs into the larger, whose edge is at `at`, a length; only with way = \"inserted\".",
        ),
        Key::may(
            "taper",
            Kind::Length(POSITIVE),
            "Length of the taper of a formed end, a length; only with way = \"formed\".",
        ),
        Key::may(
            "land",
            Kind::Length(Limit::least("negative-length", 0.0)),
            "Length of a formed end's land, between its taper and `at`, a length; only with way = \"formed\". Default: \
             10 mm (common practice, no source).",
        ),
        Key::may(
            "form",
            Kind::Choice(&["upstream", "downstream"]),
            "Which tube's end is formed; only with way = \"formed\". Default: upstream.",
        ),
    ],
};

static STRAIGHT: Table = Table {
    name: "a straight",
    doc: "A straight; those that follow each other add up.",
    either: &[],
    keys: &[Key::must(
        "straight",
        Kind::OpenLength(
            Limit::least("negative-straight", 0.0)
                .mend("bends that overlap need a smaller radius or more room"),
        ),
        "Its length, a length; 0 or more; \"?\": solved.",
    )],
};

static BEND: Table = Table {
    name: "a bend",
    doc: "A bend.",
    either: &[],
    keys: &[
        Key::must(
            "bend",
            Kind::OpenAngle(Limit::above("bend-out-of-range", 0.0).most(180.0).mend(
                "write a larger turn as two bends; to bend the other way turn the plane: rotate = 180, or `inside` for the first",
            )),
            "Bend angle, degrees; above 0, at most 180; \"?\": solved.",
        ),
        Key::may(
            "rotate",
            Kind::OpenAngle(TURN),
            "Turn of the bend plane since the bend before, degrees, right-handed about the direction of travel; \"?\": solved. Default: 0.",
        ),
        Key::may("radius", Kind::Length(RADIUS), "Centreline radius, a length. Default: the run's `radius`."),
    ],
};

static OUT: Table = Table {
    name: "an `out` vertex",
    doc: "The first vertex, straight out of the run's start.",
    either: &[],
    keys: &[
        Key::must(
            "out",
            Kind::OpenLength(POSITIVE),
            "Distance from the start along its direction, a length; \"?\": solved.",
        ),
        Key::may("radius", Kind::Length(RADIUS), "Centreline radius, a length. Default: the run's `radius`."),
    ],
};

static AT: Table = Table {
    name: "an `at` vertex",
    doc: "A vertex: where two straights would meet.",
    either: &[],
    keys: &[
        Key::must("at", Kind::OpenPoint, "Where it is, lengths; a coordinate \"?\" is solved."),
        Key::may("radius", Kind::Length(RADIUS), "Centreline radius, a length. Default: the run's `radius`."),
    ],
};

static BACK: Table = Table {
    name: "a `back` vertex",
    doc: "The last vertex, straight upstream of the pose that the run's end demands.",
    either: &[],
    keys: &[
        Key::must(
            "back",
            Kind::OpenLength(POSITIVE),
            "Distance from the end against its direction, a length; \"?\": solved.",
        ),
        Key::may("radius", Kind::Length(RADIUS), "Centreline radius, a length. Default: the run's `radius`."),
    ],
};

static CUT: Table = Table {
    name: "a cut",
    doc: "A plane cut at a run's end.",
    either: &[],
    keys: &[
        Key::must(
            "angle",
            Kind::Angle(Limit::least("cut-out-of-range", 0.0).below(85.0)),
            "Tilt from square, degrees; 0 to below 85.",
        ),
        Key::must("roll", Kind::Angle(TURN), "Clock of the long point, degrees."),
    ],
};

static GAP: Table = Table {
    name: "allow_gap",
    doc: "A closing gap that is allowed.",
    either: &[],
    keys: &[
        Key::must("length", Kind::Length(Limit::least("negative-gap", 0.0)), "How far off, a length."),
        Key::must(
            "angle",
            Kind::Angle(Limit::least("angle-out-of-range", 0.0).most(90.0)),
            "How much askew, degrees.",
        ),
    ],
};

static GROUP: Table = Table {
    name: "[group.NAME]",
    doc: "Runs that are meant to be equally long.",
    either: &[],
    keys: &[
        Key::may(
            "target",
            Kind::OpenLength(POSITIVE),
            "The length that each is to have, a length; \"?\": solved, as the one length that its runs share.",
        ),
        Key::may(
            "spread",
            Kind::Length(Limit::least("negative-spread", 0.0)),
            "How far their lengths may lie apart, a length. Default: 6 mm (common practice, no source).",
        ),
        Key::may("bungs", Kind::List(&[&BUNG_AT]), "Bungs that each of its runs has, all at the same place."),
    ],
};

static ACCEPT: Table = Table {
    name: "[[accept]]",
    doc: "A failure that the spec accepts in words.",
    either: &[],
    keys: &[
        Key::must("code", Kind::Text, "The finding's code."),
        Key::must("at", Kind::Text, "The finding's place."),
        Key::must("why", Kind::Text, "Why it is accepted, in words."),
    ],
};
