//! Pieces in the report.

use std::f64::consts::TAU;

use layout::Layout;
use layout::layout::{BendMark, Make, Owner, Part};
use serde::Serialize;
use sheets::csv::{kind, raw_length};
use tube::{Body, Centreline, End, Form, Piece};

use super::branch::HoleRow;
use super::number::{Num, Pose};
use super::run::{BendRow, bends};

/// Degrees between the points of a cut's edges.
const STEP: usize = 5;

/// A piece.
#[derive(Debug, Serialize)]
pub struct PieceRow<'a> {
    mark: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    run: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    merge: Option<&'a str>,
    order: usize,
    kind: &'static str,
    od: Num,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_od: Option<Num>,
    wall: Num,
    alloy: &'static str,
    raw_length: Num,
    cut_length: Num,
    volume_mm3: Num,
    area_mm2: Num,
    mass: Num,
    start: Pose,
    bends: Vec<PieceBend>,
    tail: Num,
    start_cut: CutRow,
    end_cut: CutRow,
    #[serde(skip_serializing_if = "Option::is_none")]
    seam_clock: Option<Num>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seam_clear: Option<Num>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    holes: Vec<HoleRow>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    formed: Vec<FormRow>,
}

/// A formed end.
#[derive(Debug, Serialize)]
struct FormRow {
    end: &'static str,
    od: Num,
    wall: Num,
    taper: Num,
    land: Num,
    consumed: Num,
    stretch: Num,
}

#[derive(Debug, Serialize)]
struct PieceBend {
    #[serde(flatten)]
    bend: BendRow,
    #[serde(skip_serializing_if = "Option::is_none")]
    set_angle: Option<Num>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mark_begin: Option<Num>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mark_end: Option<Num>,
}

#[derive(Debug, Serialize)]
struct CutRow {
    kind: &'static str,
    angle: Num,
    roll: Num,
    longest: Num,
    shortest: Num,
    outer: Vec<[Num; 2]>,
    inner: Vec<[Num; 2]>,
}

impl<'a> PieceRow<'a> {
    /// The piece `index` of a layout.
    pub fn of(index: usize, layout: &'a Layout) -> PieceRow<'a> {
        let (part, seam) = (&layout.pieces[index], layout.weld_seams[index]);
        let piece = &part.piece;
        let owner = layout.owner_name(part);
        let of_run = matches!(part.owner, Owner::Run(_));
        PieceRow {
            mark: &part.mark,
            run: of_run.then_some(owner),
            merge: (!of_run).then_some(owner),
            order: part.order,
            kind: kind(part),
            od: Num(piece.od()),
            end_od: cone_end(piece),
            wall: Num(piece.wall()),
            alloy: piece.alloy().name,
            raw_length: Num(raw_length(part)),
            cut_length: Num(piece.length()),
            volume_mm3: Num(piece.volume()),
            area_mm2: Num(piece.area()),
            mass: Num(part.mass()),
            start: Pose::of(&piece.frame_at(0.0)),
            bends: piece_bends(part),
            tail: Num(piece.rows().tail),
            start_cut: CutRow::of(piece, End::Start),
            end_cut: CutRow::of(piece, End::End),
            seam_clock: seam.map(|seam| Num::degrees(seam.clock)),
            seam_clear: seam.map(|seam| Num::degrees(seam.clear)),
            holes: piece.holes.iter().map(HoleRow::of).collect(),
            formed: formed(piece),
        }
    }
}

impl CutRow {
    fn of(piece: &Piece, end: End) -> CutRow {
        let extremes = piece.extremes(end, 1.0);
        CutRow {
            kind: piece.cut(end).kind(),
            angle: Num::degrees(piece.cut_angle(end)),
            roll: Num::degrees(piece.cut_roll(end)),
            longest: Num(extremes.longest.1),
            shortest: Num(extremes.shortest.1),
            outer: edge(piece, end, 1.0),
            inner: edge(piece, end, 0.0),
        }
    }
}

/// A cut's edge as clock (degrees) and station (mm): every 5 degrees and at each kink; of a square
/// cut the four quarters.
fn edge(piece: &Piece, end: End, depth: f64) -> Vec<[Num; 2]> {
    let step = if piece.cut(end).kind() == "square" { 90 } else { STEP };
    let mut clocks: Vec<f64> = (0..360).step_by(step).map(|clock| (clock as f64).to_radians()).collect();
    if step == STEP {
        clocks.extend(piece.kinks(end, depth).iter().map(|kink| kink.rem_euclid(TAU)));
    }
    clocks.sort_by(f64::total_cmp);
    clocks.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    clocks.iter().map(|&clock| [Num::degrees(clock), Num(piece.edge(end, clock, depth))]).collect()
}

/// The formed ends of a piece.
fn formed(piece: &Piece) -> Vec<FormRow> {
    let Some(section) = piece.section() else { return Vec::new() };
    let row = |(end, form): (&'static str, Option<Form>)| {
        form.map(|form| FormRow {
            end,
            od: Num(form.od),
            wall: Num(form.wall),
            taper: Num(form.taper),
            land: Num(form.land),
            consumed: Num(form.consumed(&section)),
            stretch: Num(form.stretch(&section)),
        })
    };
    ["start", "end"].into_iter().zip(piece.forms).filter_map(row).collect()
}

fn cone_end(piece: &Piece) -> Option<Num> {
    match &piece.body {
        Body::Cone { end_od, .. } => Some(Num(*end_od)),
        Body::Tube { .. } => None,
    }
}

fn piece_bends(part: &Part) -> Vec<PieceBend> {
    let rows = part.piece.rows();
    let marks: &[BendMark] = match &part.make {
        Make::Drawn(drawing) => &drawing.marks,
        Make::Straight | Make::Bought(_) | Make::Cone | Make::Segment | Make::Whole(_) => &[],
    };
    let bends = bends(&Centreline::from_rows(part.piece.frame_at(0.0), &rows));
    let with_mark = |(index, bend): (usize, BendRow)| {
        let mark = marks.get(index);
        PieceBend {
            bend,
            set_angle: mark.map(|mark| Num::degrees(mark.set_angle)),
            mark_begin: mark.map(|mark| Num(mark.begin)),
            mark_end: mark.map(|mark| Num(mark.end)),
        }
    };
    bends.into_iter().enumerate().map(with_mark).collect()
}
