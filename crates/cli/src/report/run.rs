//! Runs in the report.

use layout::Layout;
use layout::layout::{Run, Stretch};
use serde::Serialize;
use tube::{Centreline, Segment};

use super::number::{Num, Point, Pose, point};

/// A run.
#[derive(Debug, Serialize)]
pub struct RunRow<'a> {
    name: &'a str,
    from: &'a str,
    to: &'a str,
    length: Num,
    length_to_tip: Option<Num>,
    target_length: Option<Num>,
    start: Pose,
    end: Pose,
    vertices: Vec<Point>,
    closure: Closure,
    print_error: Num,
    shop_error: Num,
    shop_error_likely: Num,
    sections: Vec<SectionRow>,
    bends: Vec<BendRow>,
    tail: Num,
    pieces: Vec<&'a str>,
}

#[derive(Debug, Serialize)]
struct Closure {
    gap: Num,
    angle: Num,
}

#[derive(Debug, Serialize)]
struct SectionRow {
    od: Num,
    wall: Num,
    alloy: &'static str,
    from: Num,
    to: Num,
}

/// A bend of a run or a piece, with its stations there.
#[derive(Debug, Serialize)]
pub struct BendRow {
    feed: Num,
    rotate: Num,
    angle: Num,
    radius: Num,
    begin: Num,
    end: Num,
}

impl<'a> RunRow<'a> {
    /// A run of a layout.
    pub fn of(run: &'a Run, layout: &'a Layout) -> RunRow<'a> {
        let centreline = run.centreline.normalised();
        let mut vertices = vec![point(centreline.start.at)];
        vertices.extend(centreline.vertices().iter().map(|vertex| point(vertex.at)));
        vertices.push(point(centreline.end().at));
        RunRow {
            name: &run.name,
            from: &run.from,
            to: &run.to,
            length: Num(run.length()),
            length_to_tip: run.length_to_tip().map(Num),
            target_length: run.target.map(Num),
            start: Pose::of(&centreline.start),
            end: Pose::of(&run.end_pose()),
            vertices,
            closure: Closure { gap: Num(run.closure.gap), angle: Num::degrees(run.closure.angle) },
            print_error: Num(run.end_error.print),
            shop_error: Num(run.end_error.shop),
            shop_error_likely: Num(run.end_error.shop_likely),
            sections: run.sections.iter().map(SectionRow::of).collect(),
            bends: bends(&centreline),
            tail: Num(centreline.rows().tail),
            pieces: run.pieces.iter().map(|&piece| layout.pieces[piece].mark.as_str()).collect(),
        }
    }
}

impl SectionRow {
    fn of(stretch: &Stretch) -> SectionRow {
        let section = stretch.section;
        SectionRow {
            od: Num(section.od),
            wall: Num(section.wall),
            alloy: section.alloy.name,
            from: Num(stretch.from),
            to: Num(stretch.to),
        }
    }
}

/// The bends of a centreline, whose first twist is 0 when it is normalised.
pub fn bends(centreline: &Centreline) -> Vec<BendRow> {
    let arcs = centreline.spans().into_iter().filter(|span| matches!(span.segment, Segment::Arc { .. }));
    let row = |(row, span): (tube::Row, tube::Span)| BendRow {
        feed: Num(row.feed),
        rotate: Num::degrees(row.rotate),
        angle: Num::degrees(row.bend),
        radius: Num(row.radius),
        begin: Num(span.from),
        end: Num(span.to),
    };
    centreline.rows().rows.into_iter().zip(arcs).map(row).collect()
}
