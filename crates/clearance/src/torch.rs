//! Whether a torch reaches all around the welds that are made on the car, cold and at rest.
//!
//! Around each point of the ring there has to be nothing within the shop's room for a torch but the two tubes (or
//! tube and plate) that are welded there: all else of the header stands by then, and so does the bay.

use std::f64::consts::TAU;

use distance::{Capsule, Solid};
use geom::DVec3;
use geom::angle::{from_degrees, to_degrees, wrap_turn};
use geom::roots::minimum;
use layout::Layout;
use layout::flange_plate::PlateOf;
use spec::design::{From, On, To};
use spec::{Design, Finding, Level};
use tube::End;

use crate::body::{Axis, Body};
use crate::header::Header;
use crate::subject::{Kind, Subject};
use crate::surroundings::{Nearby, Surroundings};

/// How a torch gets around a weld.
#[derive(Clone, Debug, PartialEq)]
pub struct TorchAccess {
    /// The run's name.
    pub run: String,
    /// Which end of it.
    pub end: End,
    /// The middle of the ring, mm.
    pub at: DVec3,
    /// The room that is wanted around it, mm.
    pub required: f64,
    /// What is nearest to the ring; `None`: nothing at all.
    pub near: Option<Nearby>,
    /// The clock at which that is, rad, from the scribe line of the run's piece there.
    pub clock: f64,
    /// From which clock to which, rad, the torch does not reach: the second one is above the first and may pass
    /// a whole turn. To 5 degrees, never too little.
    pub shut: Vec<[f64; 2]>,
}

/// A weld ring on the tube at a run's end.
struct Ring<'a> {
    around: &'a Surroundings<'a>,
    run: usize,
    end: End,
    /// The run's piece there.
    piece: usize,
    /// The station on that piece of a ring square to it; `None`: the ring is the piece's edge.
    station: Option<f64>,
}

/// At how many clocks a ring is looked at: every 5 degrees.
const CLOCKS: usize = 72;

/// The welds at runs' ends that are made on the car.
pub(crate) fn torches(around: &Surroundings) -> Vec<TorchAccess> {
    let runs = around.header.design.runs.iter().enumerate();
    let ends = runs.flat_map(|(index, run)| {
        let ends = [End::Start, End::End].into_iter().zip(run.in_place);
        ends.filter(|(_, in_place)| *in_place).map(move |(end, _)| (index, end))
    });
    ends.filter_map(|(run, end)| Some(Ring::of(around, run, end)?.access())).collect()
}

impl<'a> Ring<'a> {
    fn of(around: &'a Surroundings<'a>, run: usize, end: End) -> Option<Ring<'a>> {
        let layout = around.header.layout;
        let laid = &layout.runs[run];
        let (piece, gap) = match end {
            End::Start => (*laid.pieces.first()?, laid.gaps[0]),
            End::End => (*laid.pieces.last()?, laid.gaps[1]),
        };
        let mut ring = Ring { around, run, end, piece, station: None };
        // On a plate the weld is where the tube comes out of it.
        let plates =
            layout.plates.iter().filter(|plate| Some(plate.of) == ring.flange().map(PlateOf::Flange));
        let depth = plates.flat_map(|plate| plate.reach.map(f64::abs)).fold(0.0, f64::max);
        if depth > gap {
            let from_end = depth - gap;
            let length = layout.pieces[piece].piece.length();
            ring.station = Some(if end == End::Start { from_end } else { length - from_end });
        }
        Some(ring)
    }

    /// The flange on which the run ends or begins here.
    fn flange(&self) -> Option<usize> {
        let design = self.around.header.design;
        match (self.end, design.runs[self.run].from, design.runs[self.run].to) {
            (End::Start, From::Port(port), _) => design.flanges.iter().position(|f| f.ports.contains(&port)),
            (End::End, _, To::Flange(flange)) => Some(flange),
            _ => None,
        }
    }

    fn access(&self) -> TorchAccess {
        let layout = self.around.header.layout;
        let required = self.around.header.design.shop.clearance.torch;
        let step = TAU / CLOCKS as f64;
        let rooms: Vec<f64> = (0..CLOCKS).map(|k| self.room(step * k as f64)).collect();
        let least = (0..CLOCKS).fold(0, |least, k| if rooms[k] < rooms[least] { k } else { least });
        let middle = step * least as f64;
        let refined = minimum(|clock| self.room(clock), middle - step, middle + step, from_degrees(0.01));
        let clock = if self.room(refined) < rooms[least] { refined } else { middle };
        let near = self.nearest(clock);
        let mut shut = arcs(&rooms, required, step);
        if shut.is_empty() && near.as_ref().is_some_and(|near| near.room < required) {
            let from = wrap_turn(middle - step);
            shut.push([from, from + 2.0 * step]);
        }
        let piece = &layout.pieces[self.piece].piece;
        let station = self.station.unwrap_or(if self.end == End::Start { 0.0 } else { piece.length() });
        TorchAccess {
            run: layout.runs[self.run].name.clone(),
            end: self.end,
            at: piece.frame_at(station).at,
            required,
            near,
            clock: wrap_turn(clock),
            shut,
        }
    }

    fn room(&self, clock: f64) -> f64 {
        self.nearest(clock).map_or(f64::INFINITY, |near| near.room)
    }

    /// What is nearest to the ring at a clock.
    fn nearest(&self, clock: f64) -> Option<Nearby> {
        let piece = &self.around.header.layout.pieces[self.piece].piece;
        let at = match self.station {
            Some(station) => piece.frame_at(station).point(0.0, clock, piece.outer_radius(station)),
            None => piece.edge_point(self.end, clock, 1.0),
        };
        let point = Solid::Capsule(Capsule { from: at, to: at, radius: 0.0 });
        self.around.nearest(&point, |subject, body| self.is_of_joint(subject, body), f64::INFINITY)
    }

    /// Whether a body is welded here, or is of the same tube as far as the torch's room reaches along it.
    fn is_of_joint(&self, subject: &Subject, body: &Body) -> bool {
        let header = self.around.header;
        let layout = header.layout;
        match subject.kind {
            Kind::Flange(plate) => {
                return self
                    .flange()
                    .is_some_and(|flange| layout.plates[plate].of == PlateOf::Flange(flange));
            }
            Kind::Transition(index) => {
                let transition = &layout.transitions[index];
                return transition.run == self.run && Some(transition.flange) == self.flange();
            }
            _ => {}
        }
        if body.piece.is_some_and(|piece| {
            piece == self.piece || partners(layout, self.piece, self.end).any(|p| p == piece)
        }) {
            return true;
        }
        let Some(line) = body.line else { return false };
        self.lines(header.design, layout)
            .any(|(run, [from, to])| line.axis == Axis::Run(run) && line.from <= to && line.to >= from)
    }

    /// The runs whose tubes are joined here, and between which of their stations they are of the joint.
    fn lines(&self, design: &Design, layout: &Layout) -> impl Iterator<Item = (usize, [f64; 2])> {
        let torch = design.shop.clearance.torch;
        let piece = &layout.pieces[self.piece].piece;
        let own = if self.end == End::Start { 0.0 } else { layout.runs[self.run].length() };
        let depth = layout.runs[self.run].gaps.iter().map(|gap| gap.abs()).fold(0.0, f64::max);
        let own = (self.run, [own - torch - depth, own + torch + depth]);
        let host = match (self.end, design.runs[self.run].from) {
            (End::Start, From::Branch(branch)) => match design.branches[branch].on {
                On::Run(host) => {
                    let (at, wide) = (layout.branches[branch].place.at, torch + piece.outer_radius(0.0));
                    Some((host, [at - wide, at + wide]))
                }
                On::Leg { .. } | On::Cone(_) => None,
            },
            _ => None,
        };
        std::iter::once(own).chain(host)
    }
}

/// The pieces that are joined to an end of a piece.
fn partners(layout: &Layout, piece: usize, end: End) -> impl Iterator<Item = usize> {
    layout.joints.iter().filter_map(move |joint| {
        if (joint.a, joint.a_end) == (piece, end) {
            Some(joint.b)
        } else if (joint.b, joint.b_end) == (piece, end) {
            Some(joint.a)
        } else {
            None
        }
    })
}

/// The arcs of clock with less room than is wanted, each as far as the last clocks that have it.
fn arcs(rooms: &[f64], required: f64, step: f64) -> Vec<[f64; 2]> {
    let count = rooms.len();
    let shut = |k: usize| rooms[k % count] < required;
    if (0..count).all(shut) {
        return vec![[0.0, TAU]];
    }
    let begins = (0..count).filter(|&k| shut(k) && !shut(k + count - 1));
    begins
        .map(|begin| {
            let length = (0..count).take_while(|&k| shut(begin + k)).count();
            let from = wrap_turn(step * (begin as f64 - 1.0));
            [from, from + step * (length + 1) as f64]
        })
        .collect()
}

impl TorchAccess {
    /// The least room around the ring, mm.
    pub fn room(&self) -> Option<f64> {
        self.near.as_ref().map(|near| near.room)
    }

    /// Whether the torch reaches all around.
    pub fn passes(&self) -> bool {
        self.room().is_none_or(|room| room >= self.required)
    }

    /// A failure where it does not.
    pub(crate) fn finding(&self, header: &Header) -> Option<Finding> {
        let near = self.near.as_ref().filter(|_| !self.passes())?;
        let units = header.design.units;
        let end = if self.end == End::Start { "start" } else { "end" };
        let degrees = |clock: f64| format!("{:.0}", to_degrees(clock));
        let arcs: Vec<String> = self
            .shut
            .iter()
            .map(|[from, to]| format!("{} to {}", degrees(*from), degrees(wrapped(*to))))
            .collect();
        let message = format!(
            "the weld at its {end} is made on the car and has {} of room (needs {}) at clock {} deg, to {}; the torch does \
             not reach clocks {} deg: weld it before the header goes in, or make room",
            units.written(near.room),
            units.written(self.required),
            degrees(self.clock),
            near.words(units),
            arcs.join(" and ")
        );
        Some(Finding {
            level: Level::Failure,
            code: "torch-access",
            place: format!("{}, {end}", self.run),
            message,
            value: Some(near.room),
            limit: Some(self.required),
        })
    }
}

/// A clock within a whole turn, the whole turn itself included.
fn wrapped(clock: f64) -> f64 {
    if clock > TAU { clock - TAU } else { clock }
}
