//! How a header is divided into parts for the printer.

use geom::DVec3;
use tube::End;

use crate::keyed::Keyed;

/// Parts and the joints between them.
#[derive(Clone, Debug)]
pub struct Division {
    /// The joints, by strand and station.
    pub joinings: Vec<Joining>,
    /// The parts, in the order in which they are put together.
    pub parts: Vec<PartPlan>,
}

/// A cut across a strand, which becomes a joint of the print.
#[derive(Clone, Debug, PartialEq)]
pub struct Joining {
    /// Its number: `1` and up, along the strands.
    pub number: usize,
    /// Index of the strand.
    pub strand: usize,
    /// Where it is cut, mm.
    pub station: f64,
    /// Index of the steel's joint in the strand's list, where it stands at one.
    pub steel: Option<usize>,
    /// Whether it stands in a bend.
    pub in_bend: bool,
    /// Which end carries the spigot: `End` of the part upstream (it points downstream) or `Start` of the one
    /// downstream.
    pub spigot: End,
    /// Its spigot.
    pub keyed: Keyed,
}

/// A part, before it is made.
#[derive(Clone, Debug, PartialEq)]
pub struct PartPlan {
    /// Its mark: `P1` and up, in the order of assembly.
    pub mark: String,
    /// Its lengths of strands.
    pub stretches: Vec<Stretch>,
    /// Indices of the nodes in it.
    pub nodes: Vec<usize>,
    /// The direction in which it is moved onto the parts before it; none of the first part.
    pub put_in: Option<DVec3>,
}

/// A length of a strand in one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Index of the strand.
    pub strand: usize,
    /// Where it begins, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// Index of the joining at its start; none at the strand's own start.
    pub start: Option<usize>,
    /// Index of the joining at its end; none at the strand's own end.
    pub end: Option<usize>,
}
