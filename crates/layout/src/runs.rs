//! Runs in space: their centrelines, and the pieces that they are made of.

use geom::{DVec3, Frame};
use spec::design::{self, From, Making, Path, Place, To};
use spec::{Design, Finding, Level};
use tube::{
    Body, Centreline, Cut, End, Piece, Saddle, Section, Shape, Vertex, VertexError, VertexTolerance, WallLine,
};

use crate::layout::{Closure, Fault, Make, Owner, Part, Run, Stretch};
use crate::merges::MergeFrame;
use crate::{assembled, drawn, end_error};

/// A run's centreline and the pose that its end is to have.
pub(crate) struct Line {
    /// As laid, clock 0 at the inside of the first bend.
    pub centreline: Centreline,
    /// Where it has to end; `None` where nothing demands it.
    pub demanded: Option<Frame>,
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

/// The centreline of every run; what keeps one from being laid goes into `faults`.
pub(crate) fn lines(design: &Design, merges: &[MergeFrame], faults: &mut Vec<Fault>) -> Vec<Line> {
    let mut lines = Vec::with_capacity(design.runs.len());
    for run in &design.runs {
        match line(design, merges, run) {
            Ok(line) => lines.push(line),
            Err(found) => faults.extend(found),
        }
    }
    lines
}

/// Every run with its pieces, which are added to `pieces`.
pub(crate) fn lay(
    design: &Design,
    merges: &[MergeFrame],
    lines: Vec<Line>,
    pieces: &mut Vec<Part>,
    findings: &mut Vec<Finding>,
    faults: &mut Vec<Fault>,
) -> Vec<Run> {
    let mut runs = Vec::with_capacity(lines.len());
    for (index, line) in lines.into_iter().enumerate() {
        let wanted = &design.runs[index];
        let sections = stretches(wanted, line.centreline.length());
        faults.extend(misplaced_steps(wanted, &line.centreline));
        let mut own = Vec::new();
        for stretch in &sections {
            let part = line.centreline.between(stretch.from, stretch.to);
            let shares = match wanted.making {
                Making::Drawn => drawn::shares(design, &wanted.name, &part, stretch.section, findings),
                Making::Assembled => {
                    assembled::shares(design, &wanted.name, &part, stretch.section, findings)
                }
            };
            for share in shares {
                let ends = (stretch.from + share.from, stretch.from + share.to);
                match piece(design, merges, wanted, &line.centreline, ends, stretch.section) {
                    Ok(piece) => {
                        let make = settled(design, wanted, share.make, &piece, findings);
                        own.push(pieces.len());
                        pieces.push(Part {
                            mark: format!("{}-{}", wanted.name, own.len()),
                            owner: Owner::Run(index),
                            order: own.len(),
                            piece,
                            make,
                            shrinkage: [0.0; 2],
                        });
                    }
                    Err(fault) => faults.push(fault),
                }
            }
        }
        shrink(design, wanted, &own, pieces);
        runs.push(run(design, wanted, merges, line, sections, own));
    }
    runs
}

fn run(
    design: &Design,
    wanted: &design::Run,
    merges: &[MergeFrame],
    line: Line,
    sections: Vec<Stretch>,
    pieces: Vec<usize>,
) -> Run {
    let laid = line.centreline.end();
    let demanded = line.demanded.unwrap_or(laid);
    let beyond = match wanted.to {
        To::Leg { merge, .. } => Some(merges[merge].cluster.tip() - merges[merge].inlet),
        _ => None,
    };
    let group_target = wanted.group.and_then(|g| design.groups[g].target);
    Run {
        name: wanted.name.clone(),
        from: match wanted.from {
            From::Port(port) => design.ports[port].name.clone(),
            From::Merge(merge) => design.merges[merge].name.clone(),
        },
        to: match wanted.to {
            To::Leg { merge, leg } => format!("{}.{}", design.merges[merge].name, leg + 1),
            To::Flange(flange) => design.flanges[flange].name.clone(),
            To::Host(host) => design.hosts[host].name.clone(),
            To::Open => "open".into(),
        },
        closure: closure(laid, demanded),
        end_error: end_error::end_error(&line.centreline, design.units, design.shop.accuracy),
        demanded,
        centreline: line.centreline,
        beyond,
        target: wanted.target.or(group_target),
        sections,
        pieces,
    }
}

/// Gap and angle between two poses.
fn closure(laid: Frame, demanded: Frame) -> Closure {
    let angle = geom::math::atan2(laid.along.cross(demanded.along).length(), laid.along.dot(demanded.along));
    Closure { gap: laid.at.distance(demanded.at), angle }
}

fn line(design: &Design, merges: &[MergeFrame], run: &design::Run) -> Result<Line, Vec<Fault>> {
    let start = match run.from {
        From::Port(port) => (design.ports[port].at, design.ports[port].along),
        From::Merge(merge) => {
            let cone = design.merges[merge].cone.map_or(0.0, |c| c.length);
            let frame = merges[merge].frame.advanced(cone);
            (frame.at, frame.along)
        }
    };
    let demanded = match run.to {
        To::Leg { merge, leg } => Some(merges[merge].inlet(leg)),
        To::Flange(flange) => Frame::upright(design.flanges[flange].at, design.flanges[flange].along),
        To::Host(_) | To::Open => None,
    };
    let laid = match &run.path {
        Path::Rows { rows, tail } => {
            let frame = run.inside.and_then(|inside| Frame::new(start.0, start.1, inside));
            let frame = frame.or_else(|| Frame::upright(start.0, start.1));
            let rows = tube::Rows { rows: rows.clone(), tail: *tail };
            frame.map(|frame| Centreline::from_rows(frame, &rows)).ok_or_else(|| {
                vec![fault(run, "", "no-direction", "its start has no direction".into(), "give `along`")]
            })?
        }
        Path::Vertices(vertices) => through(run, start, demanded, vertices)?,
    };
    let mut centreline = laid.normalised();
    if let To::Host(host) = run.to {
        centreline = onto_host(run, &design.hosts[host], &centreline).map_err(|f| vec![f])?;
    }
    Ok(Line { centreline, demanded })
}

/// The centreline through a path's vertices.
fn through(
    run: &design::Run,
    start: (DVec3, DVec3),
    demanded: Option<Frame>,
    path: &[design::PathVertex],
) -> Result<Centreline, Vec<Fault>> {
    let mut corners: Vec<Vertex> = path
        .iter()
        .map(|v| Vertex {
            radius: v.radius,
            at: match (v.place, demanded) {
                (Place::At(at), _) => at,
                (Place::Out(distance), _) => start.0 + start.1 * distance,
                (Place::Back(distance), Some(end)) => end.at - end.along * distance,
                (Place::Back(distance), None) => start.0 + start.1 * distance,
            },
        })
        .collect();
    let end = match demanded {
        Some(frame) => frame.at,
        None => corners.pop().map_or(start.0, |v| v.at),
    };
    let line =
        Centreline::from_vertices(start.0, &corners, end, VertexTolerance::default()).map_err(|errors| {
            errors.into_iter().map(|e| vertex_fault(run, corners.len(), e)).collect::<Vec<_>>()
        })?;
    let askew = geom::math::atan2(line.start.along.cross(start.1).length(), line.start.along.dot(start.1));
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

fn fault(run: &design::Run, part: &str, code: &'static str, message: String, help: &str) -> Fault {
    Fault {
        key: format!("run.{}{part}", run.name),
        code,
        message: format!("run `{}`: {message}", run.name),
        help: help.to_owned(),
    }
}

/// The host as a saddle in the coordinates of a piece whose axis at the cut's station is `frame`.
fn saddle(host: &design::Host, frame: Frame) -> Saddle {
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

/// Steps that lie beyond the run or inside a bend.
fn misplaced_steps(run: &design::Run, line: &Centreline) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (i, step) in run.sections.iter().skip(1).enumerate() {
        let part = format!(".steps[{i}]");
        if step.from >= line.length() {
            let message =
                format!("the step at {:.2} mm lies beyond its end at {:.2}", step.from, line.length());
            faults.push(fault(run, &part, "step-beyond-end", message, "move the step upstream"));
        }
        let bend = line.spans().into_iter().find(|s| s.is_arc() && step.from > s.from && step.from < s.to);
        if let Some(bend) = bend {
            let message = format!(
                "the step at {:.2} mm lies in the bend from {:.2} to {:.2}",
                step.from, bend.from, bend.to
            );
            faults.push(fault(run, &part, "step-in-bend", message, "move the step onto a straight"));
        }
    }
    faults
}

/// The piece between two stations of a run, with the run's own cuts at the run's ends.
fn piece(
    design: &Design,
    merges: &[MergeFrame],
    run: &design::Run,
    line: &Centreline,
    (from, to): (f64, f64),
    section: Section,
) -> Result<Piece, Fault> {
    let centreline = line.between(from, to).normalised();
    let (start, end) = (centreline.start, centreline.end());
    let length = centreline.length();
    let miter = |cut: design::Miter, pose: Frame, own: Frame, station: f64, flip: f64| Cut {
        station,
        roll: own.clock_of(pose.outward(cut.roll)) + flip,
        shape: Shape::Plane { tilt: cut.angle },
    };
    let start_cut = match (run.from, run.start_cut) {
        _ if from > 0.0 => Cut::square(0.0),
        (From::Merge(merge), _) if design.merges[merge].cone.is_none() => merges[merge].outlet_cut(start),
        // A start cut reaches furthest upstream at its long point: half a turn from the plane's zero.
        (_, Some(cut)) => miter(cut, line.start_at_first_bend(), start, 0.0, std::f64::consts::PI),
        _ => Cut::square(0.0),
    };
    let at_end = to >= line.length() - 1e-9;
    let end_cut = match (run.to, run.end_cut) {
        _ if !at_end => Cut::square(length),
        (To::Host(host), _) => {
            Cut { station: length, roll: 0.0, shape: Shape::Saddle(saddle(&design.hosts[host], end)) }
        }
        (_, Some(cut)) => miter(cut, line.end_at_last_bend(), end, length, 0.0),
        _ => Cut::square(length),
    };
    let short = |part: &str, missing: Option<f64>| {
        let missing = missing.map_or(String::new(), |m| format!(": {m:.2} mm of straight are missing"));
        let message = format!("its cut reaches into a bend, where no template fits{missing}");
        fault(
            run,
            part,
            "cut-into-bend",
            message,
            "lengthen the straight at that end, or cut it at a smaller angle",
        )
    };
    let part_at = |end: End| match end {
        End::Start if run.start_cut.is_some() => ".start_cut",
        End::End if run.end_cut.is_some() => ".end_cut",
        _ => ".path",
    };
    let piece = Piece::tube(centreline, section, start_cut, end_cut).ok_or_else(|| short(".path", None))?;
    match [End::Start, End::End].into_iter().find_map(|end| piece.missing_straight(end).map(|m| (end, m))) {
        Some((end, missing)) => Err(short(part_at(end), Some(missing))),
        None => Ok(piece),
    }
}

/// The way of making once the cuts are known: a cut that is not square reaches beyond the run's end, so
/// the raw tube and its marks, or the leg kept of a bought bend, grow with it.
fn settled(
    design: &Design,
    run: &design::Run,
    make: Make,
    piece: &Piece,
    findings: &mut Vec<Finding>,
) -> Make {
    let Body::Tube { centreline, section } = &piece.body else { return make };
    match make {
        Make::Drawn(_) => drawn::drawing(design, centreline, *section).map_or(make, Make::Drawn),
        Make::Bought(mut cutting) => {
            let (first, last) = centreline.end_straights();
            for (end, straight) in [first, last].into_iter().enumerate() {
                let grown = straight - cutting.legs[end];
                cutting.legs[end] = straight;
                cutting.waste -= grown;
                let leg = cutting.stock.map(|s| design.shop.bends[s].legs);
                let longest = leg.map_or(f64::INFINITY, |l| l[0].max(l[1]));
                if grown > 1e-9 && straight > longest + 1e-9 {
                    findings.push(Finding {
                        level: Level::Failure,
                        code: "leg-too-short",
                        place: run.name.clone(),
                        message: format!(
                            "its end is cut across the leg of a bought bend and needs {} of leg; the stock bend \
                             has {}",
                            design.units.written(straight),
                            design.units.written(longest)
                        ),
                        value: Some(straight),
                        limit: Some(longest),
                    });
                }
            }
            Make::Bought(cutting)
        }
        Make::Straight | Make::Cone => make,
    }
}

/// Gives each piece of a run half the weld shrinkage at each end that is welded.
fn shrink(design: &Design, run: &design::Run, own: &[usize], pieces: &mut [Part]) {
    let half = 0.5 * design.shop.weld_shrinkage;
    for (i, &piece) in own.iter().enumerate() {
        let welded_start = i > 0 || matches!(run.from, From::Merge(_));
        let welded_end = i + 1 < own.len() || matches!(run.to, To::Leg { .. } | To::Host(_));
        let shrinkage = [welded_start, welded_end].map(|welded| if welded { half } else { 0.0 });
        let part = &mut pieces[piece];
        part.shrinkage = shrinkage;
        if let Make::Drawn(drawing) = &mut part.make {
            drawing.lengthen(shrinkage);
        }
    }
}
