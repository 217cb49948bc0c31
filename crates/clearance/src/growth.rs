//! Where a header's parts go when they get hot.
//!
//! [`layout::net`] says how far each point moves. Bodies stay exact: each is scaled and moved as a whole, where its
//! middle goes. So where a misfit is spread, a body's ends are off by at most [`Growth::spread`].

use geom::{DMat3, DVec3, Similarity};
use layout::Layout;
use layout::growth::hot;
use layout::net::Net;
use spec::Design;
use spec::design::To;

use crate::body::{Along, Axis, Body};
use crate::subject::{Kind, Subject};

/// Where everything goes.
#[derive(Clone, Debug, PartialEq)]
pub struct Growth {
    /// Of each subject and of each of its bodies: from cold to hot.
    pub bodies: Vec<Vec<Similarity>>,
    /// How far the ends of a body may be off because a run's misfit is spread along it, at most, mm.
    pub spread: f64,
}

impl Growth {
    /// The growth of the subjects of a layout.
    pub fn of(design: &Design, layout: &Layout, subjects: &[Subject]) -> Growth {
        let hot = Hot { design, layout, net: Net::of(design, layout) };
        let bodies = |subject: &Subject| subject.bodies.iter().map(|b| hot.body(subject.kind, b)).collect();
        Growth {
            bodies: subjects.iter().map(bodies).collect(),
            spread: subjects.iter().flat_map(|s| &s.bodies).map(|b| hot.spread(b)).fold(0.0, f64::max),
        }
    }
}

/// A header that is hot.
struct Hot<'a> {
    design: &'a Design,
    layout: &'a Layout,
    net: Net<'a>,
}

impl Hot<'_> {
    /// Where a body goes.
    fn body(&self, kind: Kind, body: &Body) -> Similarity {
        let (net, layout) = (&self.net, self.layout);
        match (kind, body.line) {
            (_, Some(Along { axis: Axis::Run(run), from, to })) => {
                let station = 0.5 * (from + to);
                let growth = body.piece.map_or(0.0, |piece| net.piece_growth(run, piece));
                self.on_run(run, (body.piece, station), growth)
            }
            (Kind::Merge(merge), _) => {
                let is_cone = body.piece.is_some() && body.piece == layout.merges[merge].cone;
                let growth = if is_cone { net.cone_growth(merge) } else { net.merge_growth(merge) };
                scaled(growth, layout.merges[merge].frame.at, net.merge(merge))
            }
            (Kind::Bung(bung), _) => {
                let bung = &layout.bungs[bung];
                let growth = net.piece_growth(bung.run, bung.place.host);
                self.on_run(bung.run, (Some(bung.place.host), bung.place.at), growth)
            }
            (Kind::Transition(index), _) => {
                let transition = &layout.transitions[index];
                let run = transition.run;
                let growth = transition.section.alloy.growth(hot(&self.design.runs[run], transition.section));
                let at_end = self.design.runs[run].to == To::Flange(transition.flange);
                let length = layout.runs[run].length();
                let middle = 0.5 * transition.length;
                self.on_run(run, (None, if at_end { length - middle } else { middle }), growth)
            }
            (Kind::Flange(plate), _) => self.plate(plate),
            (Kind::Run(_) | Kind::Fitting(_), _) => scaled(0.0, DVec3::ZERO, DVec3::ZERO),
        }
    }

    /// Where a body at this station of a run goes.
    fn on_run(&self, run: usize, (piece, station): (Option<usize>, f64), growth: f64) -> Similarity {
        let moved = self.net.at(run, piece, station);
        scaled(growth, self.layout.runs[run].centreline.frame_at(station).at, moved)
    }

    /// Where a flange's plate goes: about the point from which it grows, which moves with the run that ends on
    /// it where the flange is not fixed.
    fn plate(&self, index: usize) -> Similarity {
        let plate = &self.layout.plates[index];
        let Some(wanted) = plate.wanted(self.design) else {
            return scaled(0.0, DVec3::ZERO, DVec3::ZERO);
        };
        let growth = plate.alloy.growth(wanted.growth.plate);
        let middle = plate.openings.iter().map(|o| o.centre).sum::<::plate::DVec2>();
        let middle = middle / plate.openings.len().max(1) as f64;
        let fixed = wanted.growth.fixed.unwrap_or(middle);
        let at = plate.frame.at + plate.frame.inside * fixed.x + plate.frame.side() * fixed.y;
        let run = plate.openings.iter().find_map(|o| o.run);
        let flange = match plate.of {
            layout::flange_plate::PlateOf::Flange(flange) => flange,
            layout::flange_plate::PlateOf::Merge(_) => return scaled(0.0, DVec3::ZERO, DVec3::ZERO),
        };
        match run {
            Some(run) if !self.design.flanges[flange].fixed => {
                let length = self.layout.runs[run].length();
                let last = self.layout.runs[run].pieces.last().copied();
                scaled(growth, at, self.net.at(run, last, length))
            }
            _ => scaled(growth, at, DVec3::ZERO),
        }
    }

    /// How far a body's ends are off because the misfit of its run is spread.
    fn spread(&self, body: &Body) -> f64 {
        let Some(Along { axis: Axis::Run(run), from, to }) = body.line else { return 0.0 };
        let Some(misfit) = self.net.misfit(run) else { return 0.0 };
        let share = |station| self.net.share(run, body.piece, station);
        0.5 * (share(to) - share(from)).abs() * misfit.length()
    }
}

/// Every mm from `about` grows by `growth`, and `about` moves by `moved`.
fn scaled(growth: f64, about: DVec3, moved: DVec3) -> Similarity {
    Similarity {
        linear: DMat3::from_diagonal(DVec3::splat(1.0 + growth)),
        shift: moved - about * growth,
        scale: 1.0 + growth,
    }
}
