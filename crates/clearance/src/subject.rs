//! What is held against the bay: a header's parts, each with its bodies.

use layout::flange_plate::PlateOf;
use layout::layout::{Make, Owner};
use layout::{FlangePlate, Layout};

use crate::body::{Body, of_piece};
use crate::shell;

/// A part of a header that rows speak of.
#[derive(Clone, Debug, PartialEq)]
pub struct Subject {
    /// Its name: a run's, merge's or flange's; of a bung, fitting or transition its piece's mark.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Its bodies, cold; of a run in the direction of travel.
    pub bodies: Vec<Body>,
}

/// What a subject is, with its index in the layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A run's tubes with the sleeves of its slip joints.
    Run(usize),
    /// A merge's legs, its cone and the plug of its void.
    Merge(usize),
    /// A bung's boss, as an index into the layout's bungs.
    Bung(usize),
    /// A flange's plate, as an index into the layout's plates.
    Flange(usize),
    /// A bought part of a fitting (bellows, half of a V-band or of a flanged joint), as an index of its piece:
    /// its envelope.
    Fitting(usize),
    /// A transition.
    Transition(usize),
}

impl Kind {
    /// `run`, `merge`, `bung`, `flange`, `fitting` or `transition`.
    pub fn noun(self) -> &'static str {
        match self {
            Kind::Run(_) => "run",
            Kind::Merge(_) => "merge",
            Kind::Bung(_) => "bung",
            Kind::Flange(_) => "flange",
            Kind::Fitting(_) => "fitting",
            Kind::Transition(_) => "transition",
        }
    }
}

impl Subject {
    /// How messages call it: run three.
    pub fn words(&self) -> String {
        format!("{} {}", self.kind.noun(), self.name)
    }
}

/// The subjects of a layout: runs, merges, bungs, flanges' plates, fittings, transitions.
pub fn subjects(layout: &Layout) -> Vec<Subject> {
    let mut subjects: Vec<Subject> = (0..layout.runs.len()).map(|run| of_run(layout, run)).collect();
    for (index, merge) in layout.merges.iter().enumerate() {
        let pieces = merge.legs.iter().map(|leg| leg.piece).chain(merge.cone);
        let plugs = layout.plates.iter().filter(|plate| plate.of == PlateOf::Merge(index));
        let tubes = pieces.flat_map(|piece| of_piece(layout, piece, None));
        let bodies = tubes.chain(plugs.flat_map(of_plate)).collect();
        subjects.push(Subject { name: merge.name.clone(), kind: Kind::Merge(index), bodies });
    }
    for (index, bung) in layout.bungs.iter().enumerate() {
        let bodies = of_piece(layout, bung.piece, None);
        subjects.push(Subject { name: mark(layout, bung.piece), kind: Kind::Bung(index), bodies });
    }
    let is_flange = |(_, plate): &(usize, &FlangePlate)| matches!(plate.of, PlateOf::Flange(_));
    for (index, plate) in layout.plates.iter().enumerate().filter(is_flange) {
        let bodies = of_plate(plate).collect();
        subjects.push(Subject { name: plate.name.clone(), kind: Kind::Flange(index), bodies });
    }
    for piece in layout.runs.iter().flat_map(|run| &run.pieces).copied().filter(|&p| bought(layout, p)) {
        let Owner::Run(run) = layout.pieces[piece].owner else { continue };
        let bodies = of_piece(layout, piece, Some(run));
        subjects.push(Subject { name: mark(layout, piece), kind: Kind::Fitting(piece), bodies });
    }
    for (index, transition) in layout.transitions.iter().enumerate() {
        let bodies = vec![standing(shell::transition(transition))];
        subjects.push(Subject { name: transition.mark.clone(), kind: Kind::Transition(index), bodies });
    }
    subjects
}

/// A run's own tubes: all its pieces but those that are bought whole.
fn of_run(layout: &Layout, run: usize) -> Subject {
    let own = layout.runs[run].pieces.iter().filter(|&&piece| !bought(layout, piece));
    let bodies = own.flat_map(|&piece| of_piece(layout, piece, Some(run))).collect();
    Subject { name: layout.runs[run].name.clone(), kind: Kind::Run(run), bodies }
}

/// The bodies of a plate: one for each of its parts.
fn of_plate(plate: &FlangePlate) -> impl Iterator<Item = Body> {
    plate.parts.iter().map(|part| standing(shell::plate(plate, part)))
}

fn bought(layout: &Layout, piece: usize) -> bool {
    matches!(layout.pieces[piece].make, Make::Whole(_))
}

fn mark(layout: &Layout, piece: usize) -> String {
    layout.pieces[piece].mark.clone()
}

fn standing(solid: distance::Solid) -> Body {
    Body { solid, piece: None, line: None }
}
