//! A line of tubes: a run, with what continues it in line at both ends.

use tube::{Centreline, Cut};

use crate::profile::Profile;

/// A run, lengthened straight over what continues it in line: a merge's leg downstream, a merge's cone upstream, and
/// into what it stands on (a plate, a host) so far that the two can be united. All stations are on `line`.
#[derive(Clone, Debug)]
pub struct Strand {
    /// Index of the run in the layout.
    pub run: usize,
    /// The run's name.
    pub name: String,
    /// The line; clock 0 is the run's scribe line.
    pub line: Centreline,
    /// Station of `line` at which the run's own station 0 stands, mm.
    pub origin: f64,
    /// Outside radius, from the strand's start to its end.
    pub outside: Profile,
    /// Radius of the bore. At a merge it begins further downstream than the outside, or ends further upstream.
    pub bore: Profile,
    /// The thinnest wall of the steel along it, mm. At a merge its own outside and bore leave less of that where the
    /// outlet's rim is a block of the merge's.
    pub wall: f64,
    /// What its start and end are cut to: square, or a plane where the steel has one.
    pub ends: [Cut; 2],
    /// The steel's square joints on it, ascending.
    pub joints: Vec<SteelJoint>,
    /// Where it is not to be cut, ascending.
    pub keeps: Vec<Keep>,
}

/// A joint of the steel.
#[derive(Clone, Debug, PartialEq)]
pub struct SteelJoint {
    /// Its mark: `J4`.
    pub mark: String,
    /// Where, mm.
    pub station: f64,
}

/// A length of a strand that stays in one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Keep {
    /// Where it begins, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// What stands there, in words: `flange head`, `bellows b1`, `bung one-5`.
    pub what: String,
}
