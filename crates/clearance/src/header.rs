//! A header ready to be held against things.

use distance::{Bounds, Near, Solid};
use geom::Similarity;
use layout::Layout;
use spec::Design;

use crate::growth::Growth;
use crate::meeting::{Meeting, meetings};
use crate::state::State;
use crate::subject::{Subject, subjects};
use crate::sweep::motion;

/// A header's subjects, and where they go.
pub(crate) struct Header<'a> {
    /// What was wanted.
    pub design: &'a Design,
    /// The header in space.
    pub layout: &'a Layout,
    /// Its subjects.
    pub subjects: Vec<Subject>,
    /// Where their bodies go with heat.
    pub growth: Growth,
    /// Where they meet.
    pub meetings: Vec<Meeting>,
}

impl<'a> Header<'a> {
    /// The header of a layout.
    pub fn of(design: &'a Design, layout: &'a Layout) -> Header<'a> {
        let subjects = subjects(layout);
        let growth = Growth::of(design, layout, &subjects);
        let meetings = meetings(design, layout, &subjects, design.shop.clearance.tubes);
        Header { design, layout, subjects, growth, meetings }
    }

    /// Where a body goes in a state.
    pub fn carried(&self, subject: usize, body: usize, state: &State) -> Similarity {
        let grown = if state.hot { self.growth.bodies[subject][body] } else { Similarity::scaling(1.0) };
        match &self.design.bay.rock {
            Some(rock) => grown.then(&motion(rock, state)),
            None => grown,
        }
    }

    /// A place on a body in a state, as it is cold: `from` is the station of the length of it that `near` is of.
    pub fn place(
        &self,
        (subject, body): (usize, usize),
        near: &Near,
        from: Option<f64>,
        state: &State,
    ) -> Option<(f64, f64)> {
        let by = self.carried(subject, body, state);
        let body = &self.subjects[subject].bodies[body];
        let line = body.line?;
        let station = near.station / by.scale + from.unwrap_or(line.from) - line.from;
        body.place(self.layout, &Near { on: by.undo(near.on), station, ..*near })
    }
}

/// The box of some solids.
pub(crate) fn bounds<'a>(solids: impl Iterator<Item = &'a Solid>) -> Bounds {
    solids.fold(Bounds::EMPTY, |all, solid| all.joined(&solid.bounds()))
}
