//! Fittings on runs: the tube that they interrupt, and their parts.

use spec::Design;
use spec::design::{Coupling, CouplingKind, FittingAt, FittingPart, From, Run, Slip, To, Way};
use tube::{Alloy, Centreline, Cut, Piece, Section};

use crate::interruptions::{Extra, Interruption, Node, SAME, on_a_straight};
use crate::layout::{Fault, JointKind, Make, Whole, WholeKind};

/// The interruption that fitting `index` of a run makes.
pub(crate) fn interruption(
    design: &Design,
    run: &Run,
    line: &Centreline,
    index: usize,
) -> Result<Interruption, Vec<Fault>> {
    let wanted = run.fittings[index];
    let place = Place::of(run, line, index);
    place.is_free(design, run, wanted.part).map_err(|fault| vec![fault])?;
    let made = match wanted.part {
        FittingPart::Slip(slip) => place.slip(&design.slips[slip]),
        FittingPart::Bellows(bellows) => {
            let bellows = &design.bellows[bellows];
            let envelope = Envelope {
                tube: bellows.tube,
                alloy: bellows.alloy,
                od: bellows.od,
                socket: bellows.socket,
                whole: Whole {
                    kind: WholeKind::Bellows,
                    name: bellows.name.clone(),
                    mass: Some(bellows.mass),
                },
            };
            place.check_tube(&envelope).and_then(|()| place.bought(&envelope, &[bellows.length], 0.0, None))
        }
        FittingPart::Coupling(coupling) => place.coupling(&design.couplings[coupling]),
    };
    let made = made.map_err(|fault| vec![fault])?;
    let what = noun(design, wanted.part);
    let (from, to) = made.span;
    let on_run = match wanted.at {
        FittingAt::End => (from, to.min(line.length())),
        FittingAt::Start | FittingAt::Station(_) => made.span,
    };
    let at_end = [wanted.at == FittingAt::Start, wanted.at == FittingAt::End];
    on_a_straight(run, line, &place.key, ("fitting", what), on_run, at_end)?;
    Ok(Interruption { fitting: Some(index), ..made })
}

/// What a fitting is, as messages call it.
pub(crate) fn noun(design: &Design, part: FittingPart) -> &'static str {
    match part {
        FittingPart::Slip(_) => "slip joint",
        FittingPart::Bellows(_) => "bellows",
        FittingPart::Coupling(coupling) => match design.couplings[coupling].kind {
            CouplingKind::VBand => "V-band",
            CouplingKind::Flanged { .. } => "flanged joint",
        },
    }
}

/// The name of a fitting's table in the spec.
pub(crate) fn name(design: &Design, part: FittingPart) -> &str {
    match part {
        FittingPart::Slip(slip) => &design.slips[slip].name,
        FittingPart::Bellows(bellows) => &design.bellows[bellows].name,
        FittingPart::Coupling(coupling) => &design.couplings[coupling].name,
    }
}

/// A bought part's envelope.
struct Envelope {
    tube: Section,
    alloy: &'static Alloy,
    od: f64,
    socket: f64,
    whole: Whole,
}

/// Where a fitting goes.
struct Place<'a> {
    run: &'a Run,
    line: &'a Centreline,
    at: FittingAt,
    /// The run's section there.
    section: Section,
    /// The key of the spec that is to blame.
    key: String,
    on_leg: bool,
}

impl<'a> Place<'a> {
    fn of(run: &'a Run, line: &'a Centreline, index: usize) -> Place<'a> {
        let at = run.fittings[index].at;
        let station = match at {
            FittingAt::Start => 0.0,
            FittingAt::Station(station) => station,
            FittingAt::End => f64::INFINITY,
        };
        let sections = run.sections.iter().rev();
        let section =
            sections.clone().find(|s| s.from <= station).map_or(run.sections[0].section, |s| s.section);
        let key = format!("run.{}.fittings[{index}]", run.name);
        Place { run, line, at, section, key, on_leg: matches!(run.to, To::Leg { .. }) }
    }

    fn fault(&self, code: &'static str, message: String, help: &str) -> Fault {
        let message = format!("run `{}`: {message}", self.run.name);
        Fault { key: self.key.clone(), code, message, help: help.to_owned() }
    }

    /// Checks that a fitting of this kind can be at this end of this run.
    fn is_free(&self, design: &Design, run: &Run, part: FittingPart) -> Result<(), Fault> {
        let is_slip = matches!(part, FittingPart::Slip(_));
        let what = noun(design, part);
        match self.at {
            FittingAt::Start if is_slip => Err(self.fault(
                "slip-at-start",
                "a slip joint at its start has no tube upstream that could slide".into(),
                "give the station of its sleeve's upstream edge: at = 40",
            )),
            FittingAt::Start => match run.from {
                From::Merge(merge)
                    if design.merges[merge].way == Way::Fitted && design.merges[merge].cone.is_none() =>
                {
                    Err(self.fault(
                        "fitting-at-mouth",
                        format!(
                            "a {what} cannot stand on the fitted mouth of `{}`",
                            design.merges[merge].name
                        ),
                        "leave a stub of the outlet's tube: give it a station, at = 40",
                    ))
                }
                From::Branch(_) => Err(self.fault(
                    "fitting-at-host",
                    format!("a {what} cannot be fitted onto the outside of a branch's host"),
                    "leave a stub of the branch's tube: give it a station, at = 40",
                )),
                _ if run.start_cut.is_some() => Err(self.cut_there(what, "start_cut")),
                _ => Ok(()),
            },
            FittingAt::Station(_) => Ok(()),
            FittingAt::End => match run.to {
                To::Host(_) => Err(self.fault(
                    "fitting-at-host",
                    format!("a {what} cannot be fitted onto the outside of a host"),
                    "leave a stub of tube: give it a station",
                )),
                To::Flange(_) | To::Open if is_slip => Err(self.fault(
                    "slip-at-open-end",
                    "a slip joint at its end needs the leg of a merge to slide to".into(),
                    "give the station of its sleeve's upstream edge",
                )),
                _ if run.end_cut.is_some() => Err(self.cut_there(what, "end_cut")),
                _ => Ok(()),
            },
        }
    }

    fn cut_there(&self, what: &str, cut: &str) -> Fault {
        self.fault(
            "cut-at-fitting",
            format!("it has a {what} and a `{cut}` at the same end"),
            &format!("leave `{cut}` out, or give the {what} a station"),
        )
    }

    /// A slip joint.
    fn slip(&self, slip: &Slip) -> Result<Interruption, Fault> {
        let tube = self.section;
        self.goes_into(tube, slip.outer, "the outer sleeve")?;
        // The sleeves' upstream edge, and the tubes' two ends.
        let ahead = if slip.inner.is_some() { slip.socket } else { slip.insertion };
        let edge = match self.at {
            FittingAt::Station(at) => at,
            _ => self.line.length() - slip.room - ahead,
        };
        let (from, to) = (edge + ahead, edge + ahead + slip.room);
        let sleeve = |section: Section| self.extra(section, (edge, edge + slip.sleeve()), Make::Straight);
        let mut extras = vec![sleeve(slip.outer)?];
        let mut rings = vec![(Node::Up, Node::Extra(0)), (Node::Extra(0), Node::Down)];
        let mut kinds = [JointKind::Slip, JointKind::Socket];
        if let Some(inner) = slip.inner {
            self.goes_into(inner, tube, "its tube")?;
            extras.push(sleeve(inner)?);
            rings = vec![
                (Node::Up, Node::Extra(0)),
                (Node::Up, Node::Extra(1)),
                (Node::Extra(0), Node::Down),
                (Node::Extra(1), Node::Down),
            ];
            kinds = [JointKind::Socket, JointKind::Slip];
        }
        let rings = rings.into_iter().map(|(a, b)| (a, b, kinds[usize::from(a != Node::Up)])).collect();
        Ok(Interruption {
            from: Some(from),
            to: (self.at != FittingAt::End).then_some(to),
            section: None,
            forms: [None; 2],
            span: (edge, edge + slip.sleeve()),
            fitting: None,
            extras,
            rings,
        })
    }

    /// Checks that one tube goes into another at their nominal sizes.
    fn goes_into(&self, inner: Section, outer: Section, what: &str) -> Result<(), Fault> {
        let gap = outer.bore() - inner.od;
        if gap > SAME {
            return Ok(());
        }
        let message = format!(
            "a tube of {:.2} mm does not slide into {what}, whose bore is {:.2}",
            inner.od,
            outer.bore()
        );
        Err(self.fault(
            "sleeve-does-not-fit",
            message,
            "choose a sleeve with 0.1 to 0.5 mm of gap on the diameter",
        ))
    }

    /// A V-band or a flanged joint.
    fn coupling(&self, coupling: &Coupling) -> Result<Interruption, Fault> {
        let (kind, joint) = match coupling.kind {
            CouplingKind::VBand => (WholeKind::VBandHalf, JointKind::Clamp),
            CouplingKind::Flanged { .. } => (WholeKind::FlangeHalf, JointKind::Bolted),
        };
        let envelope = Envelope {
            tube: coupling.tube,
            alloy: coupling.alloy,
            od: coupling.od,
            socket: coupling.socket,
            whole: Whole { kind, name: coupling.name.clone(), mass: coupling.mass },
        };
        self.check_tube(&envelope)?;
        self.bought(&envelope, &[coupling.length; 2], coupling.gasket, Some(joint))
    }

    /// Bought parts one behind the other, `apart` mm from each other, and joined by `between`.
    fn bought(
        &self,
        envelope: &Envelope,
        lengths: &[f64],
        apart: f64,
        between: Option<JointKind>,
    ) -> Result<Interruption, Fault> {
        let overall = lengths.iter().sum::<f64>() + apart * (lengths.len() as f64 - 1.0);
        let socket = envelope.socket;
        let over_leg = if self.on_leg { socket } else { 0.0 };
        let start = match self.at {
            FittingAt::Start => 0.0,
            FittingAt::Station(at) => at,
            FittingAt::End => self.line.length() + over_leg - overall,
        };
        let bore = if socket > 0.0 { envelope.tube.od } else { envelope.tube.bore() };
        let section = Section { od: envelope.od, wall: 0.5 * (envelope.od - bore), alloy: envelope.alloy };
        let mut extras = Vec::new();
        let mut station = start;
        for length in lengths {
            let make = Make::Whole(envelope.whole.clone());
            extras.push(self.extra(section, (station, station + length), make)?);
            station += length + apart;
        }
        let end = start + overall;
        let weld = if socket > 0.0 { JointKind::Socket } else { JointKind::Butt };
        let last = extras.len() - 1;
        let mut rings = Vec::new();
        if self.at != FittingAt::Start {
            rings.push((Node::Up, Node::Extra(0), weld));
        }
        rings.extend(between.map(|kind| (Node::Extra(0), Node::Extra(1), kind)));
        rings.push((Node::Extra(last), Node::Down, weld));
        Ok(Interruption {
            from: (self.at != FittingAt::Start).then_some(start + socket),
            to: (self.at != FittingAt::End).then_some(end - socket),
            section: None,
            forms: [None; 2],
            span: (start, end),
            fitting: None,
            extras,
            rings,
        })
    }

    /// Checks that a bought part fits the run's tube there.
    fn check_tube(&self, envelope: &Envelope) -> Result<(), Fault> {
        let (has, fits) = (self.section, envelope.tube);
        if (has.od - fits.od).abs() < SAME && (has.wall - fits.wall).abs() < SAME {
            return Ok(());
        }
        let message = format!(
            "`{}` fits a tube of {:.2} x {:.2} mm, and the run is {:.2} x {:.2} there",
            envelope.whole.name, fits.od, fits.wall, has.od, has.wall
        );
        Err(self.fault("fitting-section", message, "move it to the section that it fits, or choose another"))
    }

    /// A part between two stations, cut square.
    fn extra(&self, section: Section, (from, to): (f64, f64), make: Make) -> Result<Extra, Fault> {
        let line = self.line.reaching(from, to).normalised();
        let length = line.length();
        let piece = Piece::tube(line, section, Cut::square(0.0), Cut::square(length));
        let beyond =
            || self.fault("fitting-beyond-end", "a fitting has no length".into(), "move it along the run");
        Ok(Extra { piece: piece.ok_or_else(beyond)?, make })
    }
}
