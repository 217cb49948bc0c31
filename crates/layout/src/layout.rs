//! A header laid out in space: what every sheet, model and report is made from.

use geom::{DVec3, Frame};
use spec::Finding;
use tube::merge::Cluster;
use tube::{Centreline, End, MitredBend, Piece, Section};

use crate::closing::Solved;
use crate::fitting::Fitting;

mod branch;

pub use branch::{Branch, Bung, Place};

use crate::flange_plate::{FlangePlate, PlateOf};
use crate::plug::Plug;
use crate::transition::Transition;

/// A whole header in space. Indices point into the vectors of the same layout, and into the
/// [`Design`](spec::Design) that it was made from.
#[derive(Clone, Debug)]
pub struct Layout {
    /// The runs, in the design's order.
    pub runs: Vec<Run>,
    /// Every piece that is cut, marked and welded: those of each run in the direction of travel, then
    /// those of each merge, then the bungs.
    pub pieces: Vec<Part>,
    /// Every joint, numbered in the order in which it stands here.
    pub joints: Vec<Joint>,
    /// The merges, in the design's order.
    pub merges: Vec<Merge>,
    /// Of each piece, where the seam of welded tube should lie; `None` where the tube has none, where it can
    /// lie anywhere, and where it is as bought.
    pub weld_seams: Vec<Option<WeldSeam>>,
    /// The branches, in the design's order.
    pub branches: Vec<Branch>,
    /// The bungs, run by run.
    pub bungs: Vec<Bung>,
    /// The runs' fittings, run by run in the direction of travel.
    pub fittings: Vec<Fitting>,
    /// The plates of flanges, then the plugs of merges, in the design's order.
    pub plates: Vec<FlangePlate>,
    /// Transitions from shapes to round tubes, in the runs' order.
    pub transitions: Vec<Transition>,
    /// The groups, in the design's order.
    pub groups: Vec<Group>,
    /// The values that the spec left open, solved.
    pub solved: Vec<Solved>,
    /// What was noticed, gravest first.
    pub findings: Vec<Finding>,
}

/// A run in space.
#[derive(Clone, Debug)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// Name of the port or merge where it begins.
    pub from: String,
    /// Where it ends: `merge.leg`, a flange's or host's name, or `open`.
    pub to: String,
    /// As laid: its start frame has clock 0 at the inside of its first bend.
    pub centreline: Centreline,
    /// The pose that its end is to have; for an open end, the laid one.
    pub demanded: Frame,
    /// Laid end against demanded end.
    pub closure: Closure,
    /// Length from its end face to the merge tip, mm, where it ends on a leg.
    pub beyond: Option<f64>,
    /// The length that it is to have, mm (to the tip where it ends on a leg).
    pub target: Option<f64>,
    /// What rounding and the shop's accuracy do to its end.
    pub end_error: EndError,
    /// Its bends that are made of segments; the centreline holds their mitres as arcs of radius 0.
    pub mitred: Vec<MitredBend>,
    /// Its sections.
    pub sections: Vec<Stretch>,
    /// Its pieces, in the direction of travel.
    pub pieces: Vec<usize>,
    /// From its start to where its first piece begins, and from where its last piece ends to its end,
    /// mm, before cuts that are not square; negative where a piece reaches beyond, as a sleeve over a leg.
    pub gaps: [f64; 2],
}

/// A length of a run with one section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Station at which it begins, mm.
    pub from: f64,
    /// Station at which it ends, mm.
    pub to: f64,
    /// The section.
    pub section: Section,
}

/// How far a run's laid end is from the demanded one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closure {
    /// Distance between the two points, mm.
    pub gap: f64,
    /// Angle between the two directions of travel, rad.
    pub angle: f64,
}

/// How far a run's end can be off, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndError {
    /// At worst, from rounding the rows to what is printed.
    pub print: f64,
    /// At worst, from the shop's accuracy.
    pub shop: f64,
    /// Likely (root of the sum of squares), from the shop's accuracy.
    pub shop_likely: f64,
}

/// A piece with its mark and the way it is made.
#[derive(Clone, Debug)]
pub struct Part {
    /// The mark to write on it; also its file name.
    pub mark: String,
    /// What it belongs to.
    pub owner: Owner,
    /// Its place in the owner, from 1, in the direction of travel (legs: the leg's number).
    pub order: usize,
    /// Its exact geometry: station 0 at the longest point of its start cut, clock 0 toward the inside
    /// of its first bend.
    pub piece: Piece,
    /// How it is made.
    pub make: Make,
    /// Length added to each end, mm: start, end. For weld shrinkage, and for what forming the end takes of the
    /// tube (below 0 where swaging gives some).
    pub shrinkage: [f64; 2],
}

/// What a piece belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Owner {
    /// Index of a run.
    Run(usize),
    /// Index of a merge.
    Merge(usize),
}

/// How a piece is made.
#[derive(Clone, Debug, PartialEq)]
pub enum Make {
    /// Sawn from straight tube: a straight, or a merge's leg.
    Straight,
    /// Bent from straight tube on the bender.
    Drawn(Drawing),
    /// Cut from a bought bend.
    Bought(Cutting),
    /// Rolled or turned: a merge's cone.
    Cone,
    /// A segment of a segmented run, sawn from a stick of straight tube; clock 0 is the run's scribe line.
    Segment,
    /// Bought as it is; its piece is its simple real envelope.
    Whole(Whole),
}

/// A part that is bought whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// What it is.
    pub kind: WholeKind,
    /// The name of its table in the spec.
    pub name: String,
    /// Its mass as stated, kg; `None`: that of its envelope.
    pub mass: Option<f64>,
}

/// What a part that is bought whole is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WholeKind {
    /// A bellows with its cuffs.
    Bellows,
    /// One of the two halves of a V-band joint.
    VBandHalf,
    /// One of the two flanges of a flanged joint.
    FlangeHalf,
    /// A threaded boss.
    Bung,
}

/// A drawn tube on the bender. Stations are on the raw tube, from its square raw end on the piece's
/// start side, whichever end goes in first.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Index of the die in the shop's list; `None` where no die fits (a failure says so).
    pub die: Option<usize>,
    /// The end that goes into the bender first.
    pub first_in: End,
    /// Raw tube, mm.
    pub raw_length: f64,
    /// Raw tube to trim off after bending beyond the finished long point: start, end, mm.
    pub trims: [f64; 2],
    /// One for each bend, in the direction of travel.
    pub marks: Vec<BendMark>,
}

/// A bend on the raw tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BendMark {
    /// Angle to set on the bender, rad: wanted plus springback.
    pub set_angle: f64,
    /// Begin of the bend on the raw tube, mm.
    pub begin: f64,
    /// End of the bend on the raw tube, mm.
    pub end: f64,
    /// The tape mark at the bender's own reference, mm.
    pub tape: f64,
}

/// A piece cut from a bought bend.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutting {
    /// Index of the stock bend in the shop's list; `None` where none fits (a failure says so).
    pub stock: Option<usize>,
    /// Straight kept before and after the arc, mm.
    pub legs: [f64; 2],
    /// Angle of the arc that is kept, rad.
    pub angle: f64,
    /// The end at which a whole leg of the stock bend (or part of it) is kept, from which marks are
    /// measured; the other end may be cut inside the arc.
    pub kept: End,
    /// Whether the cut at the end that is not `kept` is inside the stock bend's arc.
    pub cut_in_arc: bool,
    /// Length of stock left over along its centreline, mm.
    pub waste: f64,
}

impl Cutting {
    /// Straight kept at the end from which marks are measured, mm.
    pub fn kept_leg(&self) -> f64 {
        self.legs[if self.kept == End::Start { 0 } else { 1 }]
    }
}

/// Where the seam of welded tube should lie on a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeldSeam {
    /// Its clock, rad in `[0, TAU)`.
    pub clock: f64,
    /// Its least angular distance from the inside and outside of bends, from holes, and on a leg from the
    /// axis' side, rad; negative where a hole covers it.
    pub clear: f64,
}

/// Where two pieces meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Its number on the sheets: `J1`.
    pub mark: String,
    /// What kind of seam it is.
    pub kind: JointKind,
    /// Index of the piece upstream (between legs: the one of lower number).
    pub a: usize,
    /// Which end of `a`.
    pub a_end: End,
    /// Index of the piece downstream.
    pub b: usize,
    /// Which end of `b`.
    pub b_end: End,
    /// Its middle: of a ring the centre (where two tubes overlap, of the outer one's edge); of a seam the
    /// middle of its curve, mm.
    pub at: DVec3,
    /// Clock on `a`, rad, that meets `clock_b` on `b`.
    pub clock_a: f64,
    /// Clock on `b`, rad.
    pub clock_b: f64,
    /// Length of weld on the outside, mm.
    pub weld_length: f64,
    /// How far the start of `b` lies upstream of the end of `a`, mm: 0 for a butt, negative for a gap.
    pub overlap: f64,
}

/// What kind of seam a joint is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JointKind {
    /// Square ring between two pieces of a run, or a run and a leg or cone.
    Butt,
    /// Square ring between two sections.
    Step,
    /// Mitre between two segments of a bend; the weld is an ellipse.
    Mitre,
    /// Seam between two neighbouring legs.
    Seam,
    /// A leg's share of the seam around a merge's mouth.
    Mouth,
    /// One tube slides in another: no weld.
    Slip,
    /// One tube stands in another, fillet welded around the outer one's edge.
    Socket,
    /// Two halves drawn together by a clamp: no weld.
    Clamp,
    /// Two flanges drawn together by bolts: no weld.
    Bolted,
    /// A tube or boss on the outside of its host.
    Saddle,
}

/// A merge in space.
#[derive(Clone, Debug)]
pub struct Merge {
    /// Its name.
    pub name: String,
    /// The mouth: where the outlet begins, travel of the outlet, clock 0 where leg 1 stands.
    pub frame: Frame,
    /// The point in which the legs' centrelines meet, mm.
    pub apex: DVec3,
    /// The legs' shared geometry, measured along the axis from the apex.
    pub cluster: Cluster,
    /// How legs and outlet are joined.
    pub way: spec::design::Way,
    /// Axial position of the mouth from the apex, mm (upstream negative).
    pub mouth: f64,
    /// Outside diameter at the mouth, of the outlet or the cone, mm.
    pub mouth_od: f64,
    /// Perimeter of the sawn cluster's outline at the mouth, outside and bore, mm (trimmed only).
    pub outline: Option<[f64; 2]>,
    /// Radius of the outline at the middle of a leg and in a valley, outside, mm (trimmed only).
    pub lobe_and_valley: Option<[f64; 2]>,
    /// Its legs.
    pub legs: Vec<Leg>,
    /// Index of the run that leaves it.
    pub outlet: usize,
    /// Index of its cone's piece.
    pub cone: Option<usize>,
    /// Its plug, whose plate is among [`Layout::plates`].
    pub plug: Option<Plug>,
}

/// A leg of a merge.
#[derive(Clone, Debug)]
pub struct Leg {
    /// Index of its piece.
    pub piece: usize,
    /// Index of the run that ends on it.
    pub run: usize,
    /// Azimuth about the outlet's travel from the merge's clock 0, rad.
    pub azimuth: f64,
    /// Its inlet face: travel of the leg, clock 0 as of the piece.
    pub inlet: Frame,
    /// Length from its inlet face to the merge tip, mm.
    pub to_tip: f64,
}

/// The lengths of a group.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// Indices of its runs.
    pub runs: Vec<usize>,
    /// Shortest and longest, mm (to the merge tip where they end on a leg).
    pub shortest: f64,
    /// See `shortest`.
    pub longest: f64,
    /// How far they may lie apart, mm.
    pub allowed: f64,
    /// The length that each is to have, mm.
    pub target: Option<f64>,
}

impl Part {
    /// What forming its ends takes of the tube beyond their length, mm: start, end.
    pub fn forming(&self) -> [f64; 2] {
        let section = self.piece.section();
        self.piece.forms.map(|form| match (form, &section) {
            (Some(form), Some(section)) => form.consumed(section) - form.length(),
            _ => 0.0,
        })
    }

    /// Its mass, kg: as stated where it is bought whole, else volume times density.
    pub fn mass(&self) -> f64 {
        match &self.make {
            Make::Whole(Whole { mass: Some(stated), .. }) => *stated,
            _ => self.piece.mass(),
        }
    }
}

impl Run {
    /// Where it bends: the stations at which each bend begins and ends, mm. A segmented bend reaches from
    /// the upstream end of its first half to the downstream end of its last.
    pub fn bends(&self) -> Vec<(f64, f64)> {
        let arcs = self.centreline.spans().into_iter().filter(|s| s.is_arc() && !s.is_mitre());
        arcs.map(|s| (s.from, s.to)).chain(self.mitred.iter().map(|b| (b.from, b.to))).collect()
    }

    /// Length along the centreline from its start to its end face, mm.
    pub fn length(&self) -> f64 {
        self.centreline.length()
    }

    /// Its start as laid, clock 0 toward the inside of its first bend; without bends nearest to +z
    /// (else +x).
    pub fn start_pose(&self) -> Frame {
        self.centreline.normalised().start
    }

    /// Its demanded end, clock 0 toward the inside of its last bend, square to the demanded travel;
    /// without bends, or where that is no direction, nearest to +z (else +x).
    pub fn end_pose(&self) -> Frame {
        let Frame { at, along, .. } = self.demanded;
        let bent = !self.centreline.rows().rows.is_empty();
        let toward = bent.then(|| self.centreline.end_at_last_bend().inside);
        toward
            .and_then(|toward| Frame::new(at, along, toward))
            .or_else(|| Frame::upright(at, along))
            .unwrap_or(self.demanded)
    }

    /// Length from its start to the merge tip, mm, where it ends on a leg.
    pub fn length_to_tip(&self) -> Option<f64> {
        self.beyond.map(|beyond| self.length() + beyond)
    }

    /// The length that is held against a target: to the merge tip, or else to the end face, mm.
    pub fn measured_length(&self) -> f64 {
        self.length_to_tip().unwrap_or_else(|| self.length())
    }
}

impl Merge {
    /// The point on the axis where all legs' outsides meet, mm.
    pub fn spike(&self) -> DVec3 {
        self.apex + self.frame.along * self.cluster.spike(self.cluster.outer)
    }

    /// How far upstream of the mouth the spike lies along the axis, mm.
    pub fn spike_depth(&self) -> f64 {
        self.mouth - self.cluster.spike(self.cluster.outer)
    }

    /// How far upstream of the mouth neighbours first touch, along the axis, mm: where they close the void's
    /// sides, a little upstream of where the leg itself is shortest; two legs touch at the spike.
    pub fn first_contact_depth(&self) -> f64 {
        let outer = self.cluster.outer;
        let contact = || self.cluster.first_contact(outer).axial;
        self.mouth - self.cluster.void_from(outer).unwrap_or_else(contact)
    }
}

impl Layout {
    /// Mass of all pieces, plates and transitions, kg, to 1e-9 of itself.
    pub fn mass(&self) -> f64 {
        self.pieces.iter().map(Part::mass).sum::<f64>() + self.plate_mass()
    }

    /// Mass of all plates and transitions, kg.
    pub fn plate_mass(&self) -> f64 {
        let transitions: f64 = self.transitions.iter().map(Transition::mass).sum();
        self.plates.iter().map(FlangePlate::mass).sum::<f64>() + transitions
    }

    /// Length of all welds, mm.
    pub fn weld_length(&self) -> f64 {
        let transitions: f64 = self.transitions.iter().map(Transition::weld_length).sum();
        let plates = self.plates.iter().map(FlangePlate::weld_length).sum::<f64>() + transitions;
        self.joints.iter().map(|j| j.weld_length).sum::<f64>() + plates
    }

    /// The plate of a merge's plug, if it has one.
    pub fn plug_plate(&self, merge: usize) -> Option<&FlangePlate> {
        self.plates.iter().find(|plate| plate.of == PlateOf::Merge(merge))
    }

    /// Whether no failure stands among the findings.
    pub fn released(&self) -> bool {
        self.findings.iter().all(|f| f.level != spec::Level::Failure)
    }

    /// Segments that follow each other, mitre to mitre, and can be sawn from one stick: their indices, in the
    /// direction of travel.
    pub fn sticks(&self) -> Vec<Vec<usize>> {
        let follows = |a: usize, b: usize| {
            self.joints.iter().any(|j| j.kind == JointKind::Mitre && (j.a, j.b) == (a, b))
        };
        let mut sticks: Vec<Vec<usize>> = Vec::new();
        for index in (0..self.pieces.len()).filter(|&i| self.pieces[i].make == Make::Segment) {
            match sticks.last_mut().filter(|s| s.last().is_some_and(|&last| follows(last, index))) {
                Some(stick) => stick.push(index),
                None => sticks.push(vec![index]),
            }
        }
        sticks
    }

    /// The name of what a piece belongs to.
    pub fn owner_name<'a>(&'a self, part: &Part) -> &'a str {
        match part.owner {
            Owner::Run(run) => &self.runs[run].name,
            Owner::Merge(merge) => &self.merges[merge].name,
        }
    }
}

/// A fault that keeps a design from being laid out: the spec has to be changed first.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The dotted key of the spec's value that is to blame, as [`spec::Origins`] knows it.
    pub key: String,
    /// A short fixed name, kebab-case.
    pub code: &'static str,
    /// What is wrong.
    pub message: String,
    /// How to mend it.
    pub help: String,
}
