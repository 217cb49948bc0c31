//! What goes through a wall, before any piece is made: where its axis stands in space.

use std::f64::consts::FRAC_PI_2;

use geom::Frame;
use spec::Design;
use spec::design::{BungAt, From, On, Set, Toward};
use tube::{Body, Centreline, Cut, Hole, HoleFault, Piece, Section};

use crate::layout::Fault;
use crate::merges::MergeFrame;
use crate::run_lines::Line;

/// A branch or a bung as the spec has it.
pub(crate) struct Through {
    /// How messages call it: branch `gate`.
    pub what: String,
    /// Its dotted key in the spec.
    pub key: String,
    /// The part of its table that says how far out it reaches.
    pub width_key: &'static str,
    /// Its host.
    pub on: On,
    /// Station at which its axis pierces the host's outside, mm.
    pub at: f64,
    /// The side to which it leaves.
    pub toward: Toward,
    /// Angle between its travel and the host's, rad.
    pub angle: f64,
    /// Distance of its axis from the host's, mm.
    pub offset: f64,
    /// How it meets the wall.
    pub set: Set,
    /// Outside and bore radius of its tube, mm.
    pub radii: [f64; 2],
}

/// Its axis, and the stretch of wall that it goes through.
#[derive(Clone, Debug)]
pub(crate) struct Root {
    /// The host's straight there, from end to end, without anything that is cut from it. Its clock 0 is
    /// the host's own.
    pub wall: Piece,
    /// Its hole in that wall.
    pub hole: Hole,
    /// Station on `wall` at which the axis pierces the outside, mm.
    pub station: f64,
    /// How it meets the wall.
    pub set: Set,
    /// The point where its axis pierces the outside; travel outward; clock 0 toward the host's travel.
    pub frame: Frame,
}

/// Two directions closer than this, by the sine of their angle, span no plane.
pub(crate) const LEAST_SINE: f64 = 1e-6;

impl Through {
    /// A branch, by its index.
    pub fn branch(design: &Design, index: usize) -> Through {
        let branch = &design.branches[index];
        let run = design.runs.iter().find(|run| run.from == From::Branch(index));
        let section = run.map(|run| run.sections[0].section);
        Through {
            what: format!("branch `{}`", branch.name),
            key: format!("branch.{}", branch.name),
            width_key: ".offset",
            on: branch.on,
            at: branch.at,
            toward: branch.toward,
            angle: branch.angle,
            offset: branch.offset,
            set: branch.set,
            radii: section.map_or([0.0; 2], |section| [section.outer(), section.inner()]),
        }
    }

    /// A bung on run `run`.
    pub fn bung(design: &Design, run: usize, place: &BungAt) -> Through {
        let bung = &design.bungs[place.bung];
        Through {
            what: format!("bung `{}` on run `{}`", bung.name, design.runs[run].name),
            key: place.key.clone(),
            width_key: ".bung",
            on: On::Run(run),
            at: place.at,
            toward: place.toward,
            angle: place.angle,
            offset: 0.0,
            set: bung.set,
            radii: [0.5 * bung.od, 0.5 * bung.bore],
        }
    }

    /// Radius of its hole, mm: its bore where it is set on, its outside where it is set in.
    pub fn hole_radius(&self) -> f64 {
        match self.set {
            Set::On => self.radii[1],
            Set::In => self.radii[0],
        }
    }

    /// Finds its axis on the laid `lines` and `merges`.
    pub fn root(
        &self,
        design: &Design,
        merges: &[MergeFrame],
        lines: &[Option<Line>],
    ) -> Result<Root, Fault> {
        let (wall, station) = self.wall(design, merges, lines)?;
        let host = wall.frame_at(station);
        let clock = match self.toward {
            Toward::Clock(clock) => clock,
            Toward::Direction(toward) => {
                if host.along.cross(toward).length() < LEAST_SINE {
                    let message = format!("points along the axis of {}", host_words(design, self.on));
                    return Err(self.fault(
                        ".toward",
                        "toward-along",
                        message,
                        "name a direction to the side of it",
                    ));
                }
                host.clock_of(toward)
            }
        };
        let (angle, offset) = (self.angle, self.offset);
        let outline = Hole { station: 0.0, clock, angle, offset, radius: self.radii[0] };
        let outline = outline.piercing_at(&wall, station);
        let hole = Hole { radius: self.hole_radius(), ..outline };
        let on_outside = matches!(self.set, Set::On).then_some((outline, &[1.0][..]));
        for (hole, depths) in on_outside.into_iter().chain([(hole, &[0.0, 1.0][..])]) {
            let faults = hole.faults(&wall, depths);
            if let Some(fault) = faults.into_iter().find_map(|fault| self.size_fault(design, hole, fault)) {
                return Err(fault);
            }
        }
        let frame = hole.axis(&wall).advanced(hole.rise(&wall, 1.0));
        Ok(Root { wall, hole, station, set: self.set, frame })
    }

    /// A fault at a part of its table.
    pub fn fault(&self, part: &str, code: &'static str, message: String, help: &str) -> Fault {
        let message = format!("{}: {message}", self.what);
        Fault { key: format!("{}{part}", self.key), code, message, help: help.to_owned() }
    }

    /// The straight wall that it goes through, and the station on it.
    fn wall(
        &self,
        design: &Design,
        merges: &[MergeFrame],
        lines: &[Option<Line>],
    ) -> Result<(Piece, f64), Fault> {
        let beyond = |length: f64| {
            let by = self.at - length;
            let message = format!(
                "pierces {} {by:.2} mm beyond its end at {length:.2} mm",
                host_words(design, self.on)
            );
            self.fault(".at", "beyond-host", message, "move it upstream")
        };
        match self.on {
            On::Run(run) => {
                let Some(line) = lines[run].as_ref().map(|line| &line.centreline) else {
                    return Err(beyond(0.0));
                };
                if self.at > line.length() {
                    return Err(beyond(line.length()));
                }
                self.straight_of_run(design, run, line)
            }
            On::Leg { merge, leg } => {
                let (inlet, length) = (merges[merge].inlet(leg), -merges[merge].inlet);
                if self.at > length {
                    return Err(beyond(length));
                }
                Ok((straight(inlet, length, design.merges[merge].section), self.at))
            }
            On::Cone(merge) => {
                let (wanted, mouth) = (&design.merges[merge], merges[merge].frame);
                let cone = wanted.cone.filter(|cone| self.at <= cone.length);
                let Some(cone) = cone else { return Err(beyond(wanted.cone.map_or(0.0, |c| c.length))) };
                let body = Body::Cone {
                    frame: Frame::upright(mouth.at, mouth.along).unwrap_or(mouth),
                    start_od: cone.mouth,
                    end_od: cone.section.od,
                    length: cone.length,
                    wall: cone.section.wall,
                    alloy: cone.section.alloy,
                };
                let piece = Piece {
                    body,
                    start: Cut::square(0.0),
                    end: Cut::square(cone.length),
                    holes: vec![],
                    forms: [None; 2],
                };
                Ok((piece, self.at))
            }
        }
    }

    /// The straight of a run at its station; a fault where that lies in a bend.
    fn straight_of_run(&self, design: &Design, run: usize, line: &Centreline) -> Result<(Piece, f64), Fault> {
        let wanted = &design.runs[run];
        let section =
            wanted.sections.iter().rfind(|s| s.from <= self.at).unwrap_or(&wanted.sections[0]).section;
        let spans = line.spans();
        let here = |straight: bool| {
            spans.iter().find(|s| s.is_arc() != straight && s.from <= self.at && self.at <= s.to)
        };
        if let Some(span) = here(true) {
            return Ok((straight(span.frame, span.to - span.from, section), self.at - span.from));
        }
        let Some(bend) = here(false) else { return Err(self.in_bend(design, 0.0)) };
        let flat = straight(bend.frame, bend.to - bend.from, section);
        let outline = Hole {
            station: 0.0,
            clock: 0.0,
            angle: self.angle,
            offset: self.offset,
            radius: self.radii[0].min(section.outer() - self.offset.abs()),
        };
        let (first, last) = outline.piercing_at(&flat, 0.0).stations(&flat, 1.0);
        let missing = (self.at + last - bend.from).min(bend.to - self.at - first);
        Err(self.in_bend(design, missing))
    }

    fn in_bend(&self, design: &Design, missing: f64) -> Fault {
        let message = format!(
            "pierces {} in a bend: {missing:.2} mm of straight are missing",
            host_words(design, self.on)
        );
        self.fault(".at", "into-bend", message, "move it onto a straight")
    }

    /// The fault of one whose `hole` is too wide or too flat for its host; `None` for any other.
    fn size_fault(&self, design: &Design, hole: Hole, fault: HoleFault) -> Option<Fault> {
        let host = host_words(design, self.on);
        match fault {
            HoleFault::TooWide { largest } => {
                let (is, fits) = (2.0 * hole.radius, 2.0 * largest);
                let what = if hole.radius == self.radii[1] { "bore" } else { "outside diameter" };
                let message = if largest <= 0.0 {
                    format!("its axis passes beside {host}")
                } else {
                    format!(
                        "its {what} of {is:.2} mm is too wide for {host}: the largest there is {fits:.2} mm"
                    )
                };
                Some(self.fault(
                    self.width_key,
                    "too-wide",
                    message,
                    "use a smaller one, or a smaller offset",
                ))
            }
            HoleFault::TooShallow { least } => {
                let least = geom::angle::to_degrees(least);
                let message = format!("leans so far that it never leaves {host}");
                let help =
                    format!("its angle has to be above {least:.1} degrees, and below {:.1}", 180.0 - least);
                Some(self.fault(".angle", "too-flat", message, &help))
            }
            _ => None,
        }
    }
}

impl Root {
    /// The start cut of its tube, whose frame at the piercing point is `frame`.
    pub fn start_cut(&self, frame: Frame) -> Cut {
        let depth = match self.set {
            Set::On => 1.0,
            Set::In => 0.0,
        };
        self.hole.branch_cut(&self.wall, depth, -self.hole.rise(&self.wall, 1.0), frame)
    }

    /// Area of the host's bore at the piercing point, mm2.
    pub fn host_bore(&self) -> f64 {
        let line = self.wall.line(0.0, 0.0);
        let radius = line.rho + line.slope * self.station;
        2.0 * FRAC_PI_2 * radius * radius
    }
}

/// A host as messages call it.
pub(crate) fn host_words(design: &Design, on: On) -> String {
    match on {
        On::Run(_) => format!("run `{}`", host_name(design, on)),
        On::Leg { .. } => format!("leg `{}`", host_name(design, on)),
        On::Cone(_) => format!("cone `{}`", host_name(design, on)),
    }
}

/// A host as the spec names it.
pub(crate) fn host_name(design: &Design, on: On) -> String {
    match on {
        On::Run(run) => design.runs[run].name.clone(),
        On::Leg { merge, leg } => format!("{}.{}", design.merges[merge].name, leg + 1),
        On::Cone(merge) => format!("{}.cone", design.merges[merge].name),
    }
}

fn straight(start: Frame, length: f64, section: Section) -> Piece {
    let body = Body::Tube { centreline: Centreline::straight(start, length), section };
    Piece { body, start: Cut::square(0.0), end: Cut::square(length), holes: Vec::new(), forms: [None; 2] }
}
