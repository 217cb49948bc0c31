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
    /// Indices of parts that touch others on their way in, straight or from aside, in every direction tried: they have to
    /// be worked past them. Ascending.
    pub touching: Vec<usize>,
}

impl Division {
    /// Indices of the parts upstream and downstream of a joint, which is told by its index.
    pub fn sides(&self, joining: usize) -> [usize; 2] {
        let mut sides = [0; 2];
        for (index, part) in self.parts.iter().enumerate() {
            for stretch in &part.stretches {
                if stretch.end == Some(joining) {
                    sides[0] = index;
                }
                if stretch.start == Some(joining) {
                    sides[1] = index;
                }
            }
        }
        sides
    }

    /// Indices of the parts that carry a joint's spigot and its socket.
    pub fn mates(&self, joining: usize) -> [usize; 2] {
        let [upstream, downstream] = self.sides(joining);
        match self.joinings[joining].spigot {
            End::End => [upstream, downstream],
            End::Start => [downstream, upstream],
        }
    }
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
    /// The direction in which it is moved before that, up to its joints, where it cannot come straight.
    pub aside: Option<DVec3>,
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
