//! Centrelines of runs, from where they begin to where their ends have to be.

use geom::{DVec3, Frame};
use spec::Design;
use spec::design::{self, From, On, Path, Place, To};
use tube::{Centreline, Cut, End, MitredBend, Saddle, Shape, Vertex, VertexError, VertexTolerance, WallLine};

use crate::layout::Fault;
use crate::merges::MergeFrame;
use crate::run_ends::RunEnds;
use crate::through::{LEAST_SINE, Root};
use crate::{run_ends, segmented};

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
