//! Why a fitment model cannot be made.

use solids::MeshFault;

/// Why a header cannot be printed on this printer. Lengths in mm, angles in radians.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// The least part around a node or between two cuts is larger than the printer's room in every position tried.
    BedTooSmall {
        /// What it is, in words: `flange head`, `run three from 120.0 to 185.5 mm`.
        what: String,
        /// How much bed length, bed width and height are missing: with so much more it goes in.
        missing: [f64; 3],
    },
    /// A strand has to be cut between two places, and no straight there holds a socket.
    StraightTooShort {
        /// The run's name.
        run: String,
        /// The longest straight there that is free, and where it begins on the run.
        longest: f64,
        /// See `longest`.
        at: f64,
        /// How much straight is missing.
        missing: f64,
    },
    /// A hollow print's wall is thinner than the nozzle.
    WallTooThin {
        /// What, in words: `run three`.
        what: String,
        /// Its wall.
        wall: f64,
        /// How much wall is missing.
        missing: f64,
    },
    /// A tube is too thin for a joint's spigot and the wall around its socket.
    TubeTooThin {
        /// The run's name.
        run: String,
        /// Station on the run.
        at: f64,
        /// How much diameter is missing.
        missing: f64,
    },
    /// Parts hold each other so that none can be moved in.
    Locked {
        /// The joints that hold it, by number.
        joints: Vec<usize>,
        /// How much more a spigot would have to lean than it may.
        missing: f64,
    },
    /// A mesh came out wrong.
    Mesh {
        /// Of what, in words: `part P3`, `piece 12`, `the whole header`.
        what: String,
        /// What is wrong with it.
        fault: MeshFault,
    },
}

impl Fault {
    /// What makes a fault of what is wrong with a mesh; `what` it is of, in words.
    pub(crate) fn mesh(what: impl Into<String>) -> impl FnOnce(MeshFault) -> Fault {
        let what = what.into();
        move |fault| Fault::Mesh { what, fault }
    }
}
