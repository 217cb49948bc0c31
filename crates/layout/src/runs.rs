//! Runs in space: the pieces that their centrelines are made of.

use geom::Frame;
use spec::design::{self, From, Making, To};
use spec::{Design, Finding};
use tube::{Centreline, End, Piece, Shape};

use crate::fitting::Fitting;
use crate::interruptions::{Interruption, Link, Node, Onto, Tube};
use crate::layout::{Closure, Fault, JointKind, Make, Owner, Part, Run, Stretch};
use crate::merges::MergeFrame;
use crate::run_lines::Line;
use crate::run_pieces::{piece, settled, shrink};
use crate::{assembled, drawn, end_error, fittings, interruptions, run_ends, segmented};

/// A stretch of a run that becomes one piece.
pub(crate) struct Share {
    /// Stations on the run at which it begins and ends, mm.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// How it is made.
    pub make: Make,
}

/// Every run with its pieces, which are added to `pieces`, and the rings between them.
pub(crate) fn lay(
    design: &Design,
    merges: &[MergeFrame],
    lines: Vec<Line>,
    pieces: &mut Vec<Part>,
    findings: &mut Vec<Finding>,
    faults: &mut Vec<Fault>,
) -> Laid {
    let mut laid = Laid::default();
    for (index, line) in lines.into_iter().enumerate() {
        let wanted = &design.runs[index];
        let sound = faults.len();
        let interruptions = interruptions::of(design, wanted, &line.centreline, findings, faults);
        let places = interruptions.iter().flat_map(|i| [i.from, i.to]).flatten();
        faults.extend(segmented::blocked(wanted, &line.mitred, places));
        if faults.len() > sound {
            continue;
        }
        let tubes = interruptions::tubes(wanted, &interruptions, line.centreline.length());
        let first = pieces.len();
        let mut laying = Laying {
            design,
            merges,
            run: index,
            line: &line,
            pieces,
            findings,
            faults,
            fittings: &mut laid.fittings,
            first,
        };
        let links = laying.all(&tubes, interruptions);
        let own: Vec<usize> = (first..pieces.len()).collect();
        shrink(design, wanted, &own, &links, pieces);
        segmented::report(design, &wanted.name, &line.mitred, own.iter().map(|&p| &pieces[p]), findings);
        let joints =
            own.len().saturating_sub(1) + links.iter().filter(|l| !matches!(l.kind, JointKind::Butt)).count();
        laid.runs.push(run(design, wanted, merges, line, (own, joints), pieces));
        laid.links.extend(links);
    }
    laid
}

/// The runs as laid.
#[derive(Default)]
pub(crate) struct Laid {
    /// The runs, in the design's order.
    pub runs: Vec<Run>,
    /// The rings between their pieces.
    pub links: Vec<Link>,
    /// Their fittings, before what heat does to them.
    pub fittings: Vec<Fitting>,
}

/// A run whose pieces are being laid.
struct Laying<'a> {
    design: &'a Design,
    merges: &'a [MergeFrame],
    run: usize,
    line: &'a Line,
    pieces: &'a mut Vec<Part>,
    findings: &'a mut Vec<Finding>,
    faults: &'a mut Vec<Fault>,
    fittings: &'a mut Vec<Fitting>,
    /// Index of its first piece.
    first: usize,
}

impl Laying<'_> {
    /// Lays the run's tubes and the parts between them, in the direction of travel; gives their rings.
    fn all(&mut self, tubes: &[Option<Tube>], interruptions: Vec<Interruption>) -> Vec<Link> {
        let wanted = &self.design.runs[self.run];
        let mut links = Vec::new();
        // Rings that wait for what is downstream of them.
        let mut open: Vec<(usize, JointKind)> = Vec::new();
        let mut interruptions = interruptions.into_iter();
        for tube in tubes {
            let own: Vec<usize> = tube.map(|tube| self.tube(tube)).unwrap_or_default();
            if let Some(&b) = own.first() {
                links.extend(open.drain(..).map(|(a, kind)| Link { a, b: Onto::Piece(b), kind }));
            }
            links.extend(own.windows(2).map(|pair| Link {
                a: pair[0],
                b: Onto::Piece(pair[1]),
                kind: if self.pieces[pair[1]].make == Make::Segment {
                    JointKind::Mitre
                } else {
                    JointKind::Butt
                },
            }));
            let Some(interruption) = interruptions.next() else {
                open.extend(own.last().map(|&last| (last, JointKind::Butt)));
                continue;
            };
            let extras: Vec<usize> =
                interruption.extras.into_iter().map(|e| self.push(e.piece, e.make)).collect();
            for (a, b, kind) in interruption.rings {
                let up = if let Node::Extra(k) = a { Some(extras[k]) } else { own.last().copied() };
                match (up, b) {
                    (Some(a), Node::Extra(k)) => links.push(Link { a, b: Onto::Piece(extras[k]), kind }),
                    (Some(a), _) => open.push((a, kind)),
                    (None, _) => {}
                }
            }
            if let Some(index) = interruption.fitting {
                let (from, to) = interruption.span;
                self.fittings.push(Fitting {
                    name: fittings::name(self.design, wanted.fittings[index].part).to_owned(),
                    part: wanted.fittings[index].part,
                    run: self.run,
                    from,
                    to,
                    pieces: extras,
                    movement: None,
                    slide: None,
                });
            }
        }
        if let To::Leg { .. } = self.design.runs[self.run].to {
            links.extend(open.into_iter().map(|(a, kind)| Link { a, b: Onto::Leg { run: self.run }, kind }));
        }
        links
    }

    /// Lays a stretch of the run's own tube; gives the indices of its pieces.
    fn tube(&mut self, tube: Tube) -> Vec<usize> {
        let wanted = &self.design.runs[self.run];
        let line = self.line.centreline.reaching(tube.from, tube.to);
        let shares = match wanted.making {
            Making::Drawn => drawn::shares(self.design, &wanted.name, &line, tube.section, self.findings),
            Making::Assembled => {
                assembled::shares(self.design, &wanted.name, &line, tube.section, self.findings)
            }
            Making::Segmented(_) => segmented::shares(&line),
        };
        let last = shares.len() - 1;
        let mut own = Vec::with_capacity(shares.len());
        for (i, share) in shares.into_iter().enumerate() {
            let part = Tube {
                from: tube.from + share.from,
                to: tube.from + share.to,
                own_ends: [tube.own_ends[0] && i == 0, tube.own_ends[1] && i == last],
                forms: [tube.forms[0].filter(|_| i == 0), tube.forms[1].filter(|_| i == last)],
                ..tube
            };
            let scribed = share.make == Make::Segment;
            match piece(self.design, self.merges, wanted, (self.line, scribed), part) {
                Ok(piece) => {
                    let make = settled(self.design, wanted, share.make, &piece, self.findings);
                    own.push(self.push(piece, make));
                }
                Err(fault) => self.faults.push(fault),
            }
        }
        own
    }

    /// Adds a part of the run; gives its index.
    fn push(&mut self, piece: Piece, make: Make) -> usize {
        let order = self.pieces.len() - self.first + 1;
        self.pieces.push(Part {
            mark: format!("{}-{order}", self.design.runs[self.run].name),
            owner: Owner::Run(self.run),
            order,
            piece,
            make,
            shrinkage: [0.0; 2],
        });
        self.pieces.len() - 1
    }
}

fn run(
    design: &Design,
    wanted: &design::Run,
    merges: &[MergeFrame],
    line: Line,
    (own, joints): (Vec<usize>, usize),
    pieces: &[Part],
) -> Run {
    let laid = line.centreline.end();
    let demanded = line.demanded.unwrap_or(laid);
    let group_target = wanted.group.and_then(|g| design.groups[g].target);
    let sections = stretches(wanted, line.centreline.length());
    Run {
        name: wanted.name.clone(),
        from: match wanted.from {
            From::Port(port) => design.ports[port].name.clone(),
            From::Merge(merge) => design.merges[merge].name.clone(),
            From::Branch(branch) => design.branches[branch].name.clone(),
        },
        to: to_name(design, wanted.to),
        closure: closure(laid, demanded),
        end_error: end_error::end_error(&line.centreline, joints, design.units, design.shop.accuracy),
        demanded,
        beyond: run_ends::beyond(merges, wanted),
        target: wanted.target.or(group_target),
        gaps: gaps(&line.centreline, &own, pieces),
        centreline: line.centreline,
        mitred: line.mitred,
        sections,
        pieces: own,
    }
}

/// How far a run's first and last pieces stand back from its ends, mm; an end with a cut of its own does
/// not stand back.
fn gaps(line: &Centreline, own: &[usize], pieces: &[Part]) -> [f64; 2] {
    let square = |piece: &Piece, end: End| piece.cut(end).shape == Shape::Square;
    let near = |gap: f64| if gap.abs() < 1e-9 { 0.0 } else { gap };
    let first = own.first().map(|&i| &pieces[i].piece).filter(|p| square(p, End::Start));
    let last = own.last().map(|&i| &pieces[i].piece).filter(|p| square(p, End::End));
    let (start, end) = (line.start, line.end());
    [
        first.map_or(0.0, |p| near((p.frame_at(0.0).at - start.at).dot(start.along))),
        last.map_or(0.0, |p| near((end.at - p.frame_at(p.length()).at).dot(end.along))),
    ]
}

/// What a run's end is called: `merge.leg`, a flange's or host's name, or `open`.
pub(crate) fn to_name(design: &Design, to: To) -> String {
    match to {
        To::Leg { merge, leg } => format!("{}.{}", design.merges[merge].name, leg + 1),
        To::Flange(flange) => design.flanges[flange].name.clone(),
        To::Host(host) => design.hosts[host].name.clone(),
        To::Open => "open".into(),
    }
}

/// Gap and angle between two poses.
fn closure(laid: Frame, demanded: Frame) -> Closure {
    let angle = geom::math::atan2(laid.along.cross(demanded.along).length(), laid.along.dot(demanded.along));
    Closure { gap: laid.at.distance(demanded.at), angle }
}

/// The run's sections with both their stations.
fn stretches(run: &design::Run, length: f64) -> Vec<Stretch> {
    let ends = run.sections.iter().skip(1).map(|s| s.from).chain([length]);
    run.sections.iter().zip(ends).map(|(s, to)| Stretch { from: s.from, to, section: s.section }).collect()
}
