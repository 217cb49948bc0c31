//! What goes into a plate's drawing files: three layers of lines, 1:1 in mm.

use glam::DVec2;

use crate::outline::Loop;

/// A flat drawing of a plate. What is cut is the finished edge: no kerf, no lead-in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Cut through: closed loops.
    pub cut: Vec<Loop>,
    /// Marked on the surface.
    pub etch: Vec<Ink>,
    /// Centre lines, for the eye: neither cut nor marked.
    pub centre: Vec<Ink>,
}

/// A line on the `etch` or `centre` layer.
#[derive(Clone, Debug, PartialEq)]
pub enum Ink {
    /// A closed loop.
    Loop(Loop),
    /// A straight line.
    Line {
        /// Where it begins, mm.
        from: DVec2,
        /// Where it ends, mm.
        to: DVec2,
    },
}

impl Ink {
    /// The two lines of a centre mark: they cross at `centre` and reach `reach` mm to each side.
    pub fn cross(centre: DVec2, reach: f64) -> [Ink; 2] {
        [DVec2::X, DVec2::Y].map(|axis| Ink::Line { from: centre - axis * reach, to: centre + axis * reach })
    }

    /// The smallest box around it: the least and the largest x and y, mm.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        match self {
            Ink::Loop(outline) => outline.bounds(),
            Ink::Line { from, to } => (from.min(*to), from.max(*to)),
        }
    }
}

impl Drawing {
    /// The layers by name, in the order in which they are written.
    pub fn layers(&self) -> [(&'static str, Vec<Ink>); 3] {
        let cut = self.cut.iter().cloned().map(Ink::Loop).collect();
        [("cut", cut), ("etch", self.etch.clone()), ("centre", self.centre.clone())]
    }

    /// The smallest box around all of it, mm; nought where it is empty.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        let boxes = self.layers().into_iter().flat_map(|(_, ink)| ink).map(|ink| ink.bounds());
        boxes.reduce(|all, one| (all.0.min(one.0), all.1.max(one.1))).unwrap_or_default()
    }
}
