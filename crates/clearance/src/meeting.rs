//! Where parts of a header are meant to meet, and so may be nearer to each other than the shop's least distance.
//!
//! At such a place a part is in touch with others as far as its free length; from there the distance that is
//! wanted grows evenly, from 0 to the whole over the taper: [`TAPER`] tube diameters, at a merge beyond where two
//! of its legs, going on straight, stand that far apart. Of two tubes the one further from the place counts.

use std::f64::consts::FRAC_PI_2;

use distance::Solid;
use geom::math::{cos, sin};
use layout::Layout;
use spec::Design;
use spec::design::{From, On, To};
use tube::End;
use tube::merge::Cluster;

use crate::body::{Along, Axis, Body};
use crate::subject::{Kind, Subject};

/// Over how many tube diameters the distance that is wanted grows to the whole (common practice, no source).
pub const TAPER: f64 = 1.5;

/// A place where parts meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    /// What it is in words: merge left, the ports.
    pub what: String,
    /// Over what length the distance that is wanted grows from 0 to the whole, mm.
    pub taper: f64,
    /// Whether something that is not made here is bolted or welded on there: a head, a turbocharger.
    pub mates: bool,
    /// Who meets there.
    pub members: Vec<Member>,
}

/// A part that meets others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Index of the subject.
    pub subject: usize,
    /// Which way it leads away from the place.
    pub lead: Lead,
    /// Along it from the place, as far as it is in touch, mm.
    pub free: f64,
}

/// How a part leads away from a meeting place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lead {
    /// It does not: all of it is at the place.
    Whole,
    /// Downstream from this station of its tube.
    Down(f64),
    /// Upstream from this station.
    Up(f64),
    /// Both ways from this station.
    Both(f64),
}

impl Meeting {
    /// What share of the whole distance is wanted of a length of a member here: 0 where it may touch.
    pub fn share(&self, member: &Member, line: Option<Along>) -> f64 {
        let Some(line) = line else { return 0.0 };
        let off = match member.lead {
            Lead::Whole => return 0.0,
            Lead::Down(station) => line.from - station,
            Lead::Up(station) => station - line.to,
            Lead::Both(station) => (line.from - station).max(station - line.to),
        };
        share(off - member.free, self.taper)
    }

    /// The stations at which a member is cut, so that each length has a share of its own, `step` mm apart.
    pub(crate) fn cuts(&self, member: &Member, step: f64) -> Vec<f64> {
        let count = (self.taper / step).ceil() as usize;
        let offs = (0..=count).map(|k| member.free + self.taper * k as f64 / count as f64);
        match member.lead {
            Lead::Whole => Vec::new(),
            Lead::Down(station) => offs.map(|off| station + off).collect(),
            Lead::Up(station) => offs.map(|off| station - off).collect(),
            Lead::Both(station) => offs.flat_map(|off| [station - off, station + off]).collect(),
        }
    }
}

/// What share of the whole distance is wanted `beyond` mm behind where parts may touch; none up to [`TOUCH`].
pub(crate) fn share(beyond: f64, taper: f64) -> f64 {
    if beyond <= TOUCH { 0.0 } else { (beyond / taper).min(1.0) }
}

/// Nearer than this to where parts may touch, mm, they may touch.
const TOUCH: f64 = 1e-6;

/// All places where the subjects of a layout meet; `apart` is the whole distance that is wanted, mm.
pub fn meetings(design: &Design, layout: &Layout, subjects: &[Subject], apart: f64) -> Vec<Meeting> {
    let who = Who { design, layout, subjects };
    let mut meetings: Vec<Meeting> = (0..layout.merges.len()).map(|m| who.merge(m, apart)).collect();
    meetings.push(who.ports());
    meetings.extend(
        (0..design.flanges.len()).filter(|&f| design.flanges[f].ports.is_empty()).map(|f| who.flange(f)),
    );
    meetings.extend((0..design.hosts.len()).map(|host| who.host(host)));
    meetings.extend((0..layout.branches.len()).map(|branch| who.branch(branch)));
    meetings.extend((0..layout.bungs.len()).map(|bung| who.bung(bung)));
    meetings.retain(|meeting| !meeting.members.is_empty());
    meetings
}

struct Who<'a> {
    design: &'a Design,
    layout: &'a Layout,
    subjects: &'a [Subject],
}

impl Who<'_> {
    fn meeting(&self, what: String, taper: f64, members: Vec<Member>) -> Meeting {
        Meeting { what, taper, mates: false, members }
    }

    /// The subjects that stand on a run's line: itself and its fittings' bought parts.
    fn on_run(&self, run: usize, lead: Lead, free: f64) -> Vec<Member> {
        let is_on = |subject: &Subject| match subject.kind {
            Kind::Run(own) => own == run,
            Kind::Fitting(piece) => self.layout.runs[run].pieces.contains(&piece),
            _ => false,
        };
        let on = self.subjects.iter().enumerate().filter(|(_, subject)| is_on(subject));
        on.map(|(subject, _)| Member { subject, lead, free }).collect()
    }

    /// The subjects of a kind, wholly at a place.
    fn whole(&self, is: impl Fn(Kind) -> bool) -> Vec<Member> {
        let these = self.subjects.iter().enumerate().filter(|(_, subject)| is(subject.kind));
        these.map(|(subject, _)| Member { subject, lead: Lead::Whole, free: 0.0 }).collect()
    }

    fn length(&self, run: usize) -> f64 {
        self.layout.runs[run].length()
    }

    /// The taper at tubes of these runs.
    fn taper(&self, runs: impl Iterator<Item = usize>) -> f64 {
        let widest =
            |run: usize| self.layout.runs[run].sections.iter().map(|s| s.section.od).fold(0.0, f64::max);
        TAPER * runs.map(widest).fold(0.0, f64::max)
    }

    fn merge(&self, index: usize, apart: f64) -> Meeting {
        let merge = &self.layout.merges[index];
        let legs: Vec<usize> = merge.legs.iter().map(|leg| leg.run).collect();
        let mut members = self.whole(|kind| kind == Kind::Merge(index));
        members.extend(legs.iter().flat_map(|&run| self.on_run(run, Lead::Up(self.length(run)), 0.0)));
        let mouth = self.legs_beyond_mouth(index);
        members.extend(self.on_run(merge.outlet, Lead::Down(0.0), mouth));
        // Sleeves on the legs make them wider.
        let near = |run: &usize| {
            let begin = self.length(*run) - merge.cluster.outer;
            self.bodies(*run).filter(move |body| body.line.is_some_and(|line| line.to > begin)).map(radius)
        };
        let outer = legs.iter().flat_map(near).fold(merge.cluster.outer, f64::max);
        let inlet = merge.cluster.tip() - merge.legs.first().map_or(0.0, |leg| leg.to_tip);
        let wide = Cluster { outer, ..merge.cluster };
        let narrow = (inlet - wide.inlet_for_gap(apart)).max(0.0);
        let taper = narrow + self.taper(legs.into_iter().chain([merge.outlet]));
        self.meeting(format!("merge {}", merge.name), taper, members)
    }

    /// How far the legs of a merge reach into its outlet beyond the mouth, mm: of fitted ones, which are taken as
    /// square at their longest point.
    fn legs_beyond_mouth(&self, index: usize) -> f64 {
        let merge = &self.layout.merges[index];
        if merge.cone.is_some() {
            return 0.0;
        }
        let reach = |piece: usize| {
            let piece = &self.layout.pieces[piece].piece;
            let end = piece.frame_at(piece.length());
            let lean = sin(merge.cluster.convergence);
            (end.at - merge.frame.at).dot(merge.frame.along) + piece.outer_radius(0.0) * lean
        };
        match merge.way {
            spec::design::Way::Trimmed => 0.0,
            spec::design::Way::Fitted => merge.legs.iter().map(|leg| reach(leg.piece)).fold(0.0, f64::max),
        }
    }

    fn bodies(&self, run: usize) -> impl Iterator<Item = &Body> {
        let bodies = self.subjects.iter().flat_map(|subject| &subject.bodies);
        bodies.filter(move |body| body.line.is_some_and(|line| line.axis == Axis::Run(run)))
    }

    /// All ports are one place: those of a head stand side by side.
    fn ports(&self) -> Meeting {
        let runs = |run: &usize| matches!(self.design.runs[*run].from, From::Port(_));
        let runs: Vec<usize> = (0..self.layout.runs.len()).filter(runs).collect();
        let is_head = |flange: usize| !self.design.flanges[flange].ports.is_empty();
        let mut members = self.whole(|kind| self.flange_of(kind).is_some_and(is_head));
        for &run in &runs {
            let From::Port(port) = self.design.runs[run].from else { continue };
            let flange = self.design.flanges.iter().position(|flange| flange.ports.contains(&port));
            members.extend(self.on_run(run, Lead::Down(0.0), flange.map_or(0.0, |f| self.depth(f, run))));
        }
        Meeting { mates: true, ..self.meeting("the ports".to_owned(), self.taper(runs.into_iter()), members) }
    }

    fn flange(&self, index: usize) -> Meeting {
        let runs: Vec<usize> =
            (0..self.layout.runs.len()).filter(|&r| self.design.runs[r].to == To::Flange(index)).collect();
        let mut members = self.whole(|kind| self.flange_of(kind) == Some(index));
        let up = |&run: &usize| self.on_run(run, Lead::Up(self.length(run)), self.depth(index, run));
        members.extend(runs.iter().flat_map(up));
        let what = format!("flange {}", self.design.flanges[index].name);
        Meeting { mates: true, ..self.meeting(what, self.taper(runs.into_iter()), members) }
    }

    /// The flange that a plate or a transition belongs to.
    fn flange_of(&self, kind: Kind) -> Option<usize> {
        match kind {
            Kind::Flange(plate) => match self.layout.plates[plate].of {
                layout::flange_plate::PlateOf::Flange(flange) => Some(flange),
                layout::flange_plate::PlateOf::Merge(_) => None,
            },
            Kind::Transition(index) => Some(self.layout.transitions[index].flange),
            _ => None,
        }
    }

    /// How far from a flange's face the plate or transition that a run stands in reaches along the run, mm.
    fn depth(&self, flange: usize, run: usize) -> f64 {
        let plates = self.layout.plates.iter();
        let plates = plates.filter(|p| p.of == layout::flange_plate::PlateOf::Flange(flange));
        let plates = plates.flat_map(|p| p.reach.map(f64::abs));
        let transitions = self.layout.transitions.iter().filter(|t| t.run == run && t.flange == flange);
        let line = &self.layout.runs[run].centreline;
        let round_end = |t: &layout::Transition| {
            let end = t.frame.advanced(t.length);
            match self.design.runs[run].to == To::Flange(flange) {
                true => line.length() - line.station_of(end.reversed()),
                false => line.station_of(end),
            }
        };
        plates.chain(transitions.map(round_end)).fold(0.0, f64::max)
    }

    fn host(&self, index: usize) -> Meeting {
        let runs: Vec<usize> =
            (0..self.layout.runs.len()).filter(|&r| self.design.runs[r].to == To::Host(index)).collect();
        let up = |&run: &usize| self.on_run(run, Lead::Up(self.length(run)), 0.0);
        let members = runs.iter().flat_map(up).collect();
        let what = format!("host {}", self.design.hosts[index].name);
        Meeting { mates: true, ..self.meeting(what, self.taper(runs.into_iter()), members) }
    }

    fn branch(&self, index: usize) -> Meeting {
        let branch = &self.layout.branches[index];
        let what = format!("branch {}", branch.name);
        let taper = self.taper([branch.run].into_iter());
        // The branch stands clear of its host from the shortest point of its saddle on.
        let first = self.layout.runs[branch.run].pieces.first().copied();
        let first = self.bodies(branch.run).find(|body| body.piece == first && first.is_some());
        let begin = first.and_then(|body| Some((body.line?, &self.layout.pieces[body.piece?].piece)));
        let clear = begin.map_or(0.0, |(line, piece)| {
            line.from
                + piece.extremes(End::Start, 1.0).shortest.1.max(piece.extremes(End::Start, 0.0).shortest.1)
        });
        let mut members = self.on_run(branch.run, Lead::Down(0.0), clear);
        match self.design.branches[index].on {
            On::Run(run) => {
                let outer = self.layout.runs[branch.run].sections[0].section.outer();
                members.extend(self.on_run(run, Lead::Both(branch.place.at), clear.max(0.0) + 2.0 * outer));
            }
            On::Leg { merge, .. } | On::Cone(merge) => {
                members.extend(self.whole(|kind| kind == Kind::Merge(merge)));
            }
        }
        self.meeting(what, taper, members)
    }

    fn bung(&self, index: usize) -> Meeting {
        let bung = &self.layout.bungs[index];
        let part = &self.layout.pieces[bung.piece];
        let mut members = self.whole(|kind| kind == Kind::Bung(index));
        let radius = part.piece.outer_radius(0.0);
        // Its foot on the wall, and how far it leans over it.
        let angle = bung.place.angle.clamp(0.1, 2.0 * FRAC_PI_2 - 0.1);
        let free = radius / sin(angle) + part.piece.length() * cos(angle).abs();
        let host = Kind::Run(bung.run);
        let run = self.subjects.iter().position(|subject| subject.kind == host);
        members.extend(run.map(|subject| Member { subject, lead: Lead::Both(bung.place.at), free }));
        self.meeting(format!("bung {}", part.mark), self.taper([bung.run].into_iter()), members)
    }
}

/// The outside radius of a body; 0 of shells.
fn radius(body: &Body) -> f64 {
    match &body.solid {
        Solid::Cylinder(c) => c.radius,
        Solid::Bend(b) => b.radius,
        Solid::Cone(c) => c.radii[0].max(c.radii[1]),
        Solid::Capsule(c) => c.radius,
        Solid::Shell(_) => 0.0,
    }
}
