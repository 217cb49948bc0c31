//! Runs in space: their centrelines, and the pieces that they are made of.

use geom::{DVec3, Frame};
use spec::design::{self, From, Making, On, Path, Place, To};
use spec::{Design, Finding};
use tube::{
    Centreline, Cut, End, MitredBend, Piece, Saddle, Shape, Vertex, VertexError, VertexTolerance, WallLine,
};

use crate::fitting::Fitting;
use crate::interruptions::{Interruption, Link, Node, Onto, Tube};
use crate::layout::{Closure, Fault, JointKind, Make, Owner, Part, Run, Stretch};
use crate::merges::MergeFrame;
use crate::run_ends::RunEnds;
use crate::run_pieces::{piece, settled, shrink};
use crate::through::{LEAST_SINE, Root};
use crate::{assembled, drawn, end_error, fittings, interruptions, run_ends, segmented};

/// A run's centreline and the pose that its end is to have.
pub(crate) struct Line {
    /// As laid, clock 0 at the inside of the first bend.
    pub centreline: Centreline,
    /// Where it has to end; `None` where nothing demands it.
    pub demanded: Option<Frame>,
    /// Its bends that are made of segments.
    pub mitred: Vec<MitredBend>,
    /// The branch at which it begins.
    pub root: Option<Root>,
}

/// A stretch of a run that becomes one piece.
pub(crate) struct Share {
    /// Stations on the run at which it begins and ends, mm.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// How it is made.
    pub make: Make,
}

/// The angle by which a run may leave its start askew, rad: rounding only.
const START_ANGLE: f64 = 1e-6;

/// The centreline of every run, in the design's order; what keeps one from being laid goes into `faults`.
///
/// A run that begins at a branch of another waits for that one; one whose host has a fault is left out.
pub(crate) fn lines(design: &Design, merges: &[MergeFrame], faults: &mut Vec<Fault>) -> Vec<Option<Line>> {
    let mut lines: Vec<Option<Line>> = Vec::new();
    lines.resize_with(design.runs.len(), || None);
    let mut waiting: Vec<usize> = (0..lines.len()).collect();
    loop {
        let is_ready = |run: &usize| host_run(design, *run).is_none_or(|host| lines[host].is_some());
        let (ready, later): (Vec<usize>, Vec<usize>) = waiting.into_iter().partition(is_ready);
        if ready.is_empty() {
            // The rest waits for a run with a fault, or for itself: the reader refuses that in a spec.
            if faults.is_empty() {
                let rings = later.iter().map(|&run| &design.runs[run]);
                faults.extend(rings.map(|run| {
                    let message = "it begins at a branch of itself".into();
                    fault(run, ".from", "branch-cycle", message, "let it begin elsewhere")
                }));
            }
            return lines;
        }
        for run in ready {
            match rooted(design, merges, &lines, &design.runs[run]) {
                Ok(line) => lines[run] = Some(line),
                Err(found) => faults.extend(found),
            }
        }
        waiting = later;
    }
}

/// The line of a run whose host, if it has one, is laid.
fn rooted(
    design: &Design,
    merges: &[MergeFrame],
    lines: &[Option<Line>],
    run: &design::Run,
) -> Result<Line, Vec<Fault>> {
    let root = run_ends::root(design, merges, lines, run).map_err(|fault| vec![fault])?;
    let ends = RunEnds::of(design, merges, run, root.as_ref());
    line(design, ends, run).map(|line| Line { root, ..line })
}

/// The run from which a run branches off, if it does.
pub(crate) fn host_run(design: &Design, run: usize) -> Option<usize> {
    match design.runs[run].from {
        From::Branch(branch) => match design.branches[branch].on {
            On::Run(host) => Some(host),
            On::Leg { .. } | On::Cone(_) => None,
        },
        From::Port(_) | From::Merge(_) => None,
    }
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

/// The centreline of a run between its ends.
pub(crate) fn line(design: &Design, ends: RunEnds, run: &design::Run) -> Result<Line, Vec<Fault>> {
    let demanded = ends.demanded;
    let laid = match &run.path {
        Path::Rows { rows, tail } => {
            let frame = match run.inside {
                Some(inside) => Frame::new(ends.at, ends.along, inside)
                    .filter(|_| ends.along.cross(inside).length() > LEAST_SINE)
                    .ok_or_else(|| vec![inside_along(run)])?,
                None => ends.start(None).ok_or_else(|| vec![no_direction(run)])?,
            };
            let rows = tube::Rows { rows: rows.clone(), tail: *tail };
            Centreline::from_rows(frame, &rows)
        }
        Path::Vertices(vertices) => through(run, ends, vertices)?,
    };
    let (mut centreline, mitred) = segmented::as_made(run, laid.normalised()).map_err(|fault| vec![fault])?;
    if let To::Host(host) = run.to {
        centreline = onto_host(run, &design.hosts[host], &centreline).map_err(|f| vec![f])?;
    }
    Ok(Line { centreline, demanded, mitred, root: None })
}

fn no_direction(run: &design::Run) -> Fault {
    fault(run, "", "no-direction", "its start has no direction".into(), "give `along`")
}

fn inside_along(run: &design::Run) -> Fault {
    let message = "its `inside` lies along the direction in which it starts".into();
    fault(run, ".inside", "inside-along", message, "name a direction to the side of it")
}

/// The centreline through a path's vertices.
fn through(run: &design::Run, ends: RunEnds, path: &[design::PathVertex]) -> Result<Centreline, Vec<Fault>> {
    let (corners, end) = corners(ends, path);
    let line =
        Centreline::from_vertices(ends.at, &corners, end, VertexTolerance::default()).map_err(|errors| {
            errors.into_iter().map(|e| vertex_fault(run, corners.len(), e)).collect::<Vec<_>>()
        })?;
    let start = line.start.along;
    let askew = geom::math::atan2(start.cross(ends.along).length(), start.dot(ends.along));
    if askew > START_ANGLE {
        return Err(vec![fault(
            run,
            ".path",
            "askew-start",
            format!(
                "it leaves its start at {:.3} degrees to the direction there",
                geom::angle::to_degrees(askew)
            ),
            "begin the path with a vertex on the start's own axis: { out = ... }",
        )]);
    }
    Ok(line)
}

/// A path's vertices in space, and the point where it ends.
pub(crate) fn corners(ends: RunEnds, path: &[design::PathVertex]) -> (Vec<Vertex>, DVec3) {
    let mut corners: Vec<Vertex> = path
        .iter()
        .map(|v| Vertex {
            radius: v.radius,
            at: match (v.place, ends.demanded) {
                (Place::At(at), _) => at,
                (Place::Out(distance), _) => ends.at + ends.along * distance,
                (Place::Back(distance), Some(end)) => end.at - end.along * distance,
                (Place::Back(distance), None) => ends.at + ends.along * distance,
            },
        })
        .collect();
    let end = match ends.demanded {
        Some(frame) => frame.at,
        None => corners.pop().map_or(ends.at, |v| v.at),
    };
    (corners, end)
}

fn vertex_fault(run: &design::Run, corners: usize, error: VertexError) -> Fault {
    let place = |index: usize| match index {
        0 => "its start".to_owned(),
        i if i <= corners => format!("vertex {i}"),
        _ => "its end".to_owned(),
    };
    let (index, code, message, help) = match error {
        VertexError::Duplicate { index } => (
            index,
            "duplicate-vertex",
            format!("{} stands on the point before it", place(index)),
            "leave one of the two out",
        ),
        VertexError::Collinear { index } => (
            index,
            "no-bend",
            format!("the path goes straight on at {}: there is no bend", place(index)),
            "leave the vertex out, or move it",
        ),
        VertexError::FoldsBack { index } => (
            index,
            "folds-back",
            format!("the path goes straight back at {}", place(index)),
            "a turn of 180 degrees needs two vertices, a diameter of the bend apart",
        ),
        VertexError::Overlap { index, missing } => (
            index,
            "overlapping-tangents",
            format!(
                "the straight to {} is {missing:.2} mm too short for the bends at its ends",
                place(index)
            ),
            "move the vertices apart, or make a radius smaller",
        ),
    };
    let part = if index >= 1 && index <= corners { format!(".path[{}]", index - 1) } else { ".path".into() };
    fault(run, &part, code, message, help)
}

pub(crate) fn fault(run: &design::Run, part: &str, code: &'static str, message: String, help: &str) -> Fault {
    Fault {
        key: format!("run.{}{part}", run.name),
        code,
        message: format!("run `{}`: {message}", run.name),
        help: help.to_owned(),
    }
}

/// The host as a saddle in the coordinates of a piece whose axis at the cut's station is `frame`.
pub(crate) fn saddle(host: &design::Host, frame: Frame) -> Saddle {
    Saddle {
        at: frame.local_point(host.at),
        along: frame.local_vector(host.along),
        radius: host.radius,
        slope: host.slope,
        end: End::End,
    }
}

/// The centreline ended where it meets the host's outside, after checking that all its wall does.
fn onto_host(run: &design::Run, host: &design::Host, line: &Centreline) -> Result<Centreline, Fault> {
    let end = line.end();
    let saddle = saddle(host, end);
    let outer = run.sections.last().map_or(0.0, |s| s.section.outer());
    if let Some(miss) = saddle.miss(outer, 1e-9) {
        return Err(fault(
            run,
            ".to",
            "saddle-misses",
            format!(
                "its wall misses `{}` by {:.2} mm at clock {:.1} degrees",
                host.name,
                miss.by,
                geom::angle::to_degrees(miss.clock)
            ),
            "a branch has to land wholly on the body: move it towards the axis, or use a smaller tube",
        ));
    }
    let cut = Cut { station: 0.0, roll: 0.0, shape: Shape::Saddle(saddle) };
    let reach = cut.end_of(WallLine { clock: 0.0, rho: 0.0, slope: 0.0 });
    let landed = end.advanced(reach).at;
    let along = (landed - host.at).dot(host.along);
    if !(0.0..=host.length).contains(&along) {
        return Err(fault(
            run,
            ".to",
            "beyond-host",
            format!("it lands {along:.2} mm along `{}`, which is {:.2} mm long", host.name, host.length),
            "aim the path at the body",
        ));
    }
    line.extended(0.0, reach).ok_or_else(|| {
        fault(
            run,
            ".path",
            "host-in-the-way",
            format!("`{}` stands {:.2} mm upstream of where its last bend ends", host.name, -reach),
            "end the last bend further from the body",
        )
    })
}

/// The run's sections with both their stations.
fn stretches(run: &design::Run, length: f64) -> Vec<Stretch> {
    let ends = run.sections.iter().skip(1).map(|s| s.from).chain([length]);
    run.sections.iter().zip(ends).map(|(s, to)| Stretch { from: s.from, to, section: s.section }).collect()
}
