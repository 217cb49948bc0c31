//! The keys of fittings: slip joints, bellows, V-bands, flanged joints, and their places on runs.

use crate::key::{Key, Kind, Limit, Table};

const POSITIVE: Limit = Limit::above("not-positive", 0.0);
const NOT_NEGATIVE: Limit = Limit::least("negative-length", 0.0);

pub(crate) static SLIP: Table = Table {
    name: "[slip.NAME]",
    doc: "A slip joint: tube slides in tube, the male end pointing downstream.",
    either: &[],
    keys: &[
        Key::may(
            "kind",
            Kind::Choice(&["single", "double"]),
            "single: a sleeve on the tube downstream, in which the tube upstream slides; double: an outer and an inner \
             sleeve on the tube upstream, between which the tube downstream slides. Default: single.",
        ),
        Key::must("outer", Kind::Text, "The outer sleeve's section: a [tube.NAME]."),
        Key::may("inner", Kind::Text, "The inner sleeve's section, of a double slip: a [tube.NAME]."),
        Key::must(
            "insertion",
            Kind::Length(POSITIVE),
            "How far the sliding tube stands in its sleeve at assembly, a length.",
        ),
        Key::must(
            "room",
            Kind::Length(POSITIVE),
            "Distance between the two tubes' ends at assembly, where growth goes, a length.",
        ),
        Key::may(
            "socket",
            Kind::Length(POSITIVE),
            "How far a sleeve goes over the tube that it is welded to, a length. Default: 12 mm (common practice, no \
             source).",
        ),
        Key::may(
            "tabs",
            Kind::Count(0, 6),
            "Pairs of tabs, with bolts or springs, that keep it together. Default: 2.",
        ),
        Key::may(
            "least_insertion",
            Kind::Length(POSITIVE),
            "Least insertion at any temperature, a length. Default: the sliding tube's diameter, within 25 to 50 mm \
             (common practice, no source).",
        ),
    ],
};

pub(crate) static BELLOWS: Table = Table {
    name: "[bellows.NAME]",
    doc: "A bellows that is bought.",
    either: &[],
    keys: &[
        Key::must("tube", Kind::Text, "The tube that it fits: a [tube.NAME]."),
        Key::must("alloy", Kind::Alloy, "What it is made of."),
        Key::must("od", Kind::Length(POSITIVE), "Largest outside diameter, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Length over its cuffs, a length."),
        Key::may(
            "socket",
            Kind::Length(NOT_NEGATIVE),
            "How far a tube goes into each cuff, a length. Default: 0, butt welded.",
        ),
        Key::must("axial", Kind::Length(POSITIVE), "Movement along its axis that is allowed, a length."),
        Key::must(
            "lateral",
            Kind::Length(NOT_NEGATIVE),
            "Movement across its axis that is allowed, a length.",
        ),
        Key::must(
            "angular",
            Kind::Angle(Limit::least("angle-out-of-range", 0.0).most(45.0)),
            "Angle between its ends that is allowed, degrees.",
        ),
        Key::must("mass", Kind::Mass, "Its mass, kg."),
        Key::may(
            "straight",
            Kind::Length(NOT_NEGATIVE),
            "Least straight on either side, a length. Default: the tube's diameter (common practice, no source).",
        ),
        Key::may("liner", Kind::Choice(&["yes", "no"]), "Whether it has a liner inside. Default: no."),
    ],
};

pub(crate) static VBAND: Table = Table {
    name: "[vband.NAME]",
    doc: "A V-band joint: two halves and a clamp, bought.",
    either: &[],
    keys: &[
        TUBE,
        ALLOY,
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter of a half, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Length of each half, a length."),
        SOCKET,
        GASKET,
        MASS,
        Key::must(
            "room_od",
            Kind::Length(POSITIVE),
            "Outside diameter that the closed clamp needs, a length.",
        ),
    ],
};

pub(crate) static FLANGED: Table = Table {
    name: "[flanged.NAME]",
    doc: "A flanged joint: two round flanges, gasket and bolts, bought.",
    either: &[],
    keys: &[
        TUBE,
        ALLOY,
        Key::must("od", Kind::Length(POSITIVE), "Outside diameter of a flange, a length."),
        Key::must("length", Kind::Length(POSITIVE), "Thickness of each flange, a length."),
        SOCKET,
        GASKET,
        MASS,
        Key::must(
            "room_od",
            Kind::Length(POSITIVE),
            "Outside diameter that the bolts and their tool need, a length.",
        ),
        Key::must("bolts", Kind::Count(2, 12), "Number of bolts, 2 to 12."),
        Key::must("bolt", Kind::Text, "The bolts' size, as text for the buying list."),
    ],
};

const TUBE: Key = Key::must("tube", Kind::Text, "The tube that it fits: a [tube.NAME].");
const ALLOY: Key = Key::must("alloy", Kind::Alloy, "What the halves are made of.");
const SOCKET: Key = Key::may(
    "socket",
    Kind::Length(NOT_NEGATIVE),
    "Depth of the recess that a tube goes into, a length. Default: 0, butt welded.",
);
const GASKET: Key =
    Key::may("gasket", Kind::Length(NOT_NEGATIVE), "Thickness of the gasket, a length. Default: 0, none.");
const MASS: Key = Key::may(
    "mass",
    Kind::Mass,
    "Mass of each half, kg. Default: of its envelope, from the alloy's density.",
);

const AT: Key = Key::must(
    "at",
    Kind::Place,
    "Station of its upstream face on the run, a length; or \"start\" or \"end\".",
);

pub(crate) static SLIP_AT: Table = Table {
    name: "a slip joint",
    doc: "A slip joint on the run.",
    either: &[],
    keys: &[Key::must("slip", Kind::Text, "Which: a [slip.NAME]."), AT],
};

pub(crate) static BELLOWS_AT: Table = Table {
    name: "a bellows",
    doc: "A bellows on the run.",
    either: &[],
    keys: &[Key::must("bellows", Kind::Text, "Which: a [bellows.NAME]."), AT],
};

pub(crate) static VBAND_AT: Table = Table {
    name: "a V-band",
    doc: "A V-band joint on the run.",
    either: &[],
    keys: &[Key::must("vband", Kind::Text, "Which: a [vband.NAME]."), AT],
};

pub(crate) static FLANGED_AT: Table = Table {
    name: "a flanged joint",
    doc: "A flanged joint on the run.",
    either: &[],
    keys: &[Key::must("flanged", Kind::Text, "Which: a [flanged.NAME]."), AT],
};
