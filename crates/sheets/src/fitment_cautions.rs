//! What to know before a model is printed, and what a print is not for.

/// How to go about it, in order.
pub const STEPS: [(&str, &str); 5] = [
    (
        "Test cube",
        "Print test/cube.3mf first, as it lies, without any scale in the slicer, with the plastic and settings that the plates \
         will have. Cold, measure it with calipers across the faces that X, Y and Z look out of, clear of letters, sockets, corners \
         and the bottom edge: cube = [x, y, z], in mm, in [printer] of the shop file. Try the loose spigot in the cube's \
         sockets: the figure beside the tightest that it enters by hand is fit_gap. A shop file in inches has them as \
         \"49.9 mm\" and \"0.2 mm\". Make the model again. Do this once for each printer and plastic.",
    ),
    (
        "Plates",
        "Print plates/plate-1 and on, as they lie: parts are turned so that little of them needs support. Do not scale, \
         mirror or turn them about a level axis: the plates hold the printer's scale already. Give support to what the \
         plate's table names; keep it out of sockets. What is noticed to stand on too little would tip over: a brim of 8 mm or \
         more around its foot, and support up its sides. Three walls or more and a fifth of infill carry a model, flanges more \
         under their bolts (common practice, no source).",
    ),
    (
        "Clean",
        "Take off support and brim, and the first layer's lip around spigots and sockets. A spigot goes in by hand. \
         Where one does not, look for a lip; never file the rib, it sets the clock.",
    ),
    (
        "Put together",
        "In the order of the step table. Every spigot has one rib and goes in at one clock only; end faces touch. Arrows \
         point downstream. Tape holds a joint. Glue none before all is measured: without it the model comes apart again in the \
         reverse order, and a part can be printed anew.",
    ),
    (
        "Measure",
        "Before trusting it, measure from datum to datum, as the sheet Steps has it, and hold the flanges against the head. \
         Bolt it on finger tight, with the gaskets that the steel will have: without them it sits too near. Holes that are long \
         for growth are long here too: the round ones place it. Then close the bonnet.",
    ),
];

/// What is to be seen on the flanges of a full print.
pub const OPENINGS: (&str, &str) = (
    "Openings",
    "This print is full: where the gas goes through, a groove is sunk into the flange's face. Its OUTER edge is the edge of \
     the opening there: the port, where the spec gives its shape to a transition; the tube's bore, where the tube stands in \
     the plate; else the hole that is cut. Hold it over the head's port, or the gasket's, and look around that edge.",
);

/// The usual cautions.
pub const CAUTIONS: [(&str, &str); 7] = [
    (
        "For test fitting only",
        "Never start an engine with a printed part on it or near it: the plastic softens at the temperature of a hot day in a \
         closed car, burns, and lets exhaust gas into the car. Take every printed part out before the engine is turned.",
    ),
    (
        "It fits, and may still not clear",
        "The model is cold, stiff and still. Growth with heat, the engine's rocking, welds, oval bends, and room for tools \
         are on the packet's Clearance sheet, not in the plastic. It bends: support its far end before judging a gap.",
    ),
    (
        "Hot plastic and machines",
        "Nozzle, bed and fresh plastic burn skin. Keep hands, hair and sleeves out of moving axes. Do not leave a printer \
         unwatched where its fire would not be noticed.",
    ),
    (
        "Fumes",
        "Printing gives off vapours and fine particles, some plastics (ABS, ASA, nylon) much more, styrene among them. \
         Print in a ventilated room or with extraction, and not where people sleep or eat; read the safety data sheet.",
    ),
    (
        "Edges and splinters",
        "Support breaks off in sharp splinters: eye protection and gloves. Scrapers slip.",
    ),
    (
        "Collars",
        "A collar guides a scriber or a marker, never a running saw or grinder: it melts, and the wheel climbs. Cut tube has \
         edges like a knife.",
    ),
    (
        "The law",
        "Local codes, the makers' instructions for printer and plastic, and the safety data sheets come before anything \
         printed here (cautions: common practice, from memory, no source).",
    ),
];

/// How a collar is used.
pub const COLLARS: &str = "Draw the scribe line along the tube first, and on it the place of the cut (packet: the piece's sheet). \
     Slide the collar on, its shaped edge toward the end that is cut (EDGE LOOKS), until that edge's notch stands at the place; \
     turn it so that the notches of both its edges stand on the scribe line, and scribe along the shaped edge, straight across its \
     notch. REACH is along the scribe line from its square edge to the cut, on the tube and on the print: measure it on both. Where the \
     edge comes to a point at its notch, the point's tip is at REACH, beyond what the notch leaves of it. Halves are put around the tube \
     and taped. It is for the outside edge: the packet's cut sheet has the bevel.";
