//! Tubes seen along a direction, in parallel projection: what is nearer covers what is farther.
//!
//! A tube's visible outline is where its wall turns away from the viewer: on both sides of the axis, square
//! to it and to the line of sight. Its front is drawn in short patches, white with their sides drawn, from
//! the farthest to the nearest (painter's order), so hidden lines are covered rather than computed.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geom::{DVec3, Frame};
use layout::Transition;
use layout::flange_plate::FlangePlate;
use plate::Loop;
use tube::{Body, End, Piece};

use crate::canvas::{Canvas, Pen, Point};

/// A way of looking at things in space: three unit vectors square to each other, `right x up = toward`.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// To the right on the page.
    pub right: DVec3,
    /// Up on the page.
    pub up: DVec3,
    /// Toward the viewer.
    pub toward: DVec3,
}

/// Something drawn of a view, in mm of the header; a larger depth is nearer.
#[derive(Clone, Debug)]
pub struct Mark {
    depth: f64,
    /// What it covers, and how light that is.
    area: Option<(Vec<Point>, f64)>,
    lines: Vec<(Vec<Point>, Pen)>,
}

/// Pen of an outline.
const OUTLINE: Pen = Pen::solid(0.2);
/// Pen that closes the seam between two patches.
const SEAM: Pen = Pen::solid(0.1).grey(1.0);
/// Pen of an edge where two pieces meet.
const EDGE: Pen = Pen::solid(0.13);
/// Clocks between the points of an edge, and of a patch's ends: halves of a turn are divided so.
const PARTS: usize = 18;
/// Longest patch on a straight, in outside diameters, and on a bend, rad.
const LONGEST: (f64, f64) = (1.0, 0.13);
/// Sides that a transition is drawn with.
const SIDES: usize = 48;
/// Chord error of a plate's outline, mm.
const ROUGH: f64 = 0.1;
/// An axis within this of the line of sight shows no sides (sine of the angle).
const END_ON: f64 = 0.05;

impl Mark {
    /// The same, its white areas this light instead.
    pub fn shaded(mut self, grey: f64) -> Mark {
        if let Some((_, own)) = &mut self.area {
            *own *= grey;
        }
        for (_, pen) in self.lines.iter_mut().filter(|(_, pen)| *pen == SEAM) {
            pen.grey = grey;
        }
        self
    }

    /// The same, moved to the right, up and toward the viewer, mm.
    pub fn moved(mut self, [right, up, toward]: [f64; 3]) -> Mark {
        let lines = self.lines.iter_mut().map(|(points, _)| points);
        for point in self.area.iter_mut().map(|(points, _)| points).chain(lines).flatten() {
            *point = [point[0] + right, point[1] + up];
        }
        self.depth += toward;
        self
    }

    /// The points of all that is drawn.
    pub fn points(&self) -> impl Iterator<Item = Point> + '_ {
        let area = self.area.iter().flat_map(|(points, _)| points);
        area.chain(self.lines.iter().flat_map(|(points, _)| points)).copied()
    }
}

impl View {
    /// The view from the side that `toward` looks from, with `up` up as near as can be.
    pub fn new(toward: DVec3, up: DVec3) -> View {
        let toward = toward.normalize();
        let right = up.cross(toward).normalize();
        View { right, up: toward.cross(right), toward }
    }

    /// A point as the view shows it, y up.
    pub fn flat(&self, p: DVec3) -> Point {
        [p.dot(self.right), p.dot(self.up)]
    }

    /// Everything that is drawn of a piece.
    pub fn piece(&self, piece: &Piece) -> Vec<Mark> {
        self.faced(piece, [true; 2])
    }

    /// The same; `faces` says whether its start and its end can be seen into.
    pub fn faced(&self, piece: &Piece, faces: [bool; 2]) -> Vec<Mark> {
        let places = places(piece);
        let last = places.len().saturating_sub(2);
        let patch = |(i, pair)| self.patch(piece, pair, [i > 0, i < last]);
        let mut marks: Vec<Mark> = places.windows(2).enumerate().filter_map(patch).collect();
        marks.extend(places.iter().filter(|p| p.turning).filter_map(|p| self.round(piece, p)));
        for (end, face) in [End::Start, End::End].into_iter().zip(faces) {
            marks.extend(self.edge(piece, &places, end, face));
        }
        marks
    }

    /// Everything that is drawn of a flange's plate: the sides and the face that look at the viewer, with its
    /// openings and holes. It lies behind all that stands on its side toward `tubes` (1 along the gas, else
    /// -1) where that is the viewer's side, else before it.
    pub fn plate(&self, plate: &FlangePlate, tubes: f64) -> Vec<Mark> {
        let Frame { along, .. } = plate.frame;
        let near = if along.dot(self.toward) > 0.0 { 1 } else { 0 };
        let corners = plate_points(plate);
        let depths = corners.iter().map(|p| p.dot(self.toward));
        let depth = if tubes * along.dot(self.toward) > 0.0 {
            depths.fold(f64::INFINITY, f64::min)
        } else {
            depths.fold(f64::NEG_INFINITY, f64::max)
        };
        let mut marks = Vec::new();
        for part in &plate.parts {
            let edges = |face: usize| part.outline.loops().map(move |l| on_face(plate, l, face));
            let outer = [0, 1].map(|face| on_face(plate, &part.outline.outer, face));
            marks.extend(self.plate_sides(depth, along, &outer));
            for (i, edge) in edges(near).enumerate() {
                let flat: Vec<Point> = edge.iter().map(|p| self.flat(*p)).collect();
                let grey = if i == 0 { 1.0 } else { 0.85 };
                marks.push(Mark { depth, area: Some((flat.clone(), grey)), lines: vec![(flat, OUTLINE)] });
            }
        }
        marks
    }

    /// Everything that is drawn of a transition: those sides of its outside that look at the viewer, and their
    /// outline.
    pub fn transition(&self, part: &Transition) -> Vec<Mark> {
        let ring = |i: usize, station: f64| {
            part.rings[i].iter().map(move |p| part.place(*p, station)).collect::<Vec<_>>()
        };
        let (near, far) = (ring(1, 0.0), ring(3, part.length));
        let corners: Vec<usize> = (0..near.len()).step_by((near.len() / SIDES).max(1)).collect();
        let count = corners.len();
        let side = |i: usize| {
            let (j, k) = (corners[i % count], corners[(i + 1) % count]);
            [near[j], near[k], far[k], far[j]]
        };
        let looks = |i: usize| {
            let [a, b, _, d] = side(i);
            let out = (b - a).cross(d - a);
            out.dot(self.toward) * out.dot(a - part.frame.at) > 0.0
        };
        let mark = |i: usize| {
            let [a, b, c, d] = side(i).map(|p| self.flat(p));
            let pen = |looks: bool| if looks { SEAM } else { OUTLINE };
            let lines = vec![
                (vec![a, d], pen(looks(i + count - 1))),
                (vec![b, c], pen(looks(i + 1))),
                (vec![a, b], EDGE),
                (vec![c, d], EDGE),
            ];
            Mark { depth: self.depth(&side(i)), area: Some((vec![a, b, c, d], 1.0)), lines }
        };
        (0..count).filter(|&i| looks(i)).map(mark).collect()
    }

    /// The sides of a plate that look at the viewer, between its outer loop on both faces: counter-clockwise
    /// about `along`, so that outward is edge x along.
    fn plate_sides(&self, depth: f64, along: DVec3, [up, down]: &[Vec<DVec3>; 2]) -> Vec<Mark> {
        let count = up.len() - 1;
        let looks = |i: usize| (up[i + 1] - up[i]).cross(along).dot(self.toward) > 0.0;
        let side = |i: usize| {
            let [a, b, c, d] = [up[i], up[i + 1], down[i + 1], down[i]].map(|p| self.flat(p));
            let mut lines = vec![(vec![a, b], OUTLINE), (vec![c, d], OUTLINE)];
            // Where the plate's side turns away from the viewer it has its outline.
            if !looks((i + count - 1) % count) {
                lines.push((vec![a, d], OUTLINE));
            }
            if !looks((i + 1) % count) {
                lines.push((vec![b, c], OUTLINE));
            }
            Mark { depth, area: Some((vec![a, b, c, d], 1.0)), lines }
        };
        (0..count).filter(|&i| looks(i)).map(side).collect()
    }

    /// The clock of the silhouette on the left of travel as seen, if the axis is not seen end-on; the front
    /// reaches from there over half a turn of falling clocks.
    fn silhouette(&self, frame: &Frame) -> Option<f64> {
        let side = frame.along.cross(self.toward);
        (side.length() > END_ON).then(|| frame.clock_of(side))
    }

    /// The front of a piece between two places, joined to what is before and after it where `goes_on` says so.
    fn patch(&self, piece: &Piece, pair: &[Place], goes_on: [bool; 2]) -> Option<Mark> {
        let (a, b) = (&pair[0], &pair[1]);
        let (from, to) = (self.silhouette(&a.frame)?, self.silhouette(&b.frame)?);
        let row = |place: &Place, first: f64| -> Vec<DVec3> {
            (0..=PARTS / 2).map(|i| place.on(piece, first - PI * i as f64 / (PARTS / 2) as f64)).collect()
        };
        let (start, end) = (row(a, from), row(b, to));
        let last = start.len() - 1;
        let all: Vec<DVec3> = start.iter().chain(end.iter().rev()).copied().collect();
        let line = |i: usize| (vec![self.flat(start[i]), self.flat(end[i])], OUTLINE);
        let ends = [&start, &end].into_iter().zip(goes_on).map(|(row, goes_on)| {
            let flat = |row: &[DVec3]| row.iter().map(|p| self.flat(*p)).collect();
            // Without a seam what lies behind would shine through between two patches; the sides stay clear of it.
            if goes_on { (flat(&row[1..last]), SEAM) } else { (flat(row), EDGE) }
        });
        Some(Mark {
            depth: self.depth(&all),
            area: Some((all.iter().map(|p| self.flat(*p)).collect(), 1.0)),
            lines: ends.chain([line(0), line(last)]).collect(),
        })
    }

    /// The outline of a bend where it comes straight at the viewer or goes straight away.
    fn round(&self, piece: &Piece, place: &Place) -> Option<Mark> {
        if place.frame.along.cross(self.toward).length() > 3.0 * LONGEST.1 {
            return None;
        }
        let ring: Vec<DVec3> =
            (0..=2 * PARTS).map(|i| place.on(piece, TAU * i as f64 / (2 * PARTS) as f64)).collect();
        let flat: Vec<Point> = ring.iter().map(|p| self.flat(*p)).collect();
        Some(Mark { depth: self.depth(&ring), area: Some((flat.clone(), 1.0)), lines: vec![(flat, OUTLINE)] })
    }

    /// The edge at an end: of one that looks at the viewer its face, if it can be seen into, else its front half.
    fn edge(&self, piece: &Piece, places: &[Place], end: End, face: bool) -> Option<Mark> {
        let place = if end == End::Start { places.first() } else { places.last() };
        let frame = place.map_or_else(|| piece.frame_at(0.0), |p| p.frame);
        let looks = frame.along.dot(self.toward) * if end == End::Start { -1.0 } else { 1.0 };
        let first = self.silhouette(&frame).unwrap_or(-FRAC_PI_2);
        let ring = |turn: f64, parts: usize| -> Vec<DVec3> {
            let clocks = (0..=parts).map(|i| first - turn * i as f64 / parts as f64);
            clocks.map(|clock| piece.edge_point(end, clock, 1.0)).collect()
        };
        if looks > END_ON {
            let whole = ring(TAU, 2 * PARTS);
            let flat: Vec<Point> = whole.iter().map(|p| self.flat(*p)).collect();
            let lines = vec![(flat.clone(), OUTLINE)];
            return face.then(|| Mark { depth: self.depth(&whole), area: Some((flat, 0.85)), lines });
        }
        let half = ring(PI, PARTS);
        let flat = half.iter().map(|p| self.flat(*p)).collect();
        // Over the patches on both sides, whose middles may be nearer by half their length.
        let over = 0.55 * LONGEST.0 * piece.od() * looks.abs() + 0.01 * piece.od();
        Some(Mark { depth: self.depth(&half) + over, area: None, lines: vec![(flat, EDGE)] })
    }

    fn depth(&self, points: &[DVec3]) -> f64 {
        points.iter().map(|p| p.dot(self.toward)).sum::<f64>() / points.len() as f64
    }
}

/// The corners of a plate on both faces, mm.
pub fn plate_points(plate: &FlangePlate) -> Vec<DVec3> {
    let outer = plate.parts.iter().map(|part| &part.outline.outer);
    outer.flat_map(|l| [0, 1].map(|face| on_face(plate, l, face))).flatten().collect()
}

/// A loop of a plate's drawing on the face where the plate begins (0) or ends (1), closed.
fn on_face(plate: &FlangePlate, edge: &Loop, face: usize) -> Vec<DVec3> {
    let frame = plate.frame.advanced(plate.reach[face]);
    let mut points: Vec<DVec3> =
        edge.points(ROUGH).iter().map(|p| frame.at + frame.inside * p.x + frame.side() * p.y).collect();
    points.extend(points.first().copied());
    points
}

/// Draws marks on a canvas, the farthest first; `place` puts a point of the view on the page.
pub fn paint(canvas: &mut Canvas, mut marks: Vec<Mark>, place: impl Fn(Point) -> Point) {
    marks.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let put = |points: &[Point]| -> Vec<Point> { points.iter().map(|p| place(*p)).collect() };
    for mark in &marks {
        if let Some((area, grey)) = &mark.area {
            canvas.area(&put(area), *grey);
        }
        for (points, pen) in &mark.lines {
            canvas.line(&put(points), *pen);
        }
    }
}

/// A place along a piece.
struct Place {
    frame: Frame,
    station: f64,
    /// Whether it lies in a bend.
    turning: bool,
}

impl Place {
    /// The point of the outside at `clock`, no further than the metal reaches there. A cut that is not square
    /// stands on a straight, on which the frame only advances.
    fn on(&self, piece: &Piece, clock: f64) -> DVec3 {
        let ends = [End::Start, End::End].map(|end| piece.edge(end, clock, 1.0));
        let station = if self.turning { self.station } else { self.station.max(ends[0]).min(ends[1]) };
        self.frame.point(station - self.station, clock, piece.outer_radius(station))
    }
}

/// The places between which a piece is drawn in patches.
fn places(piece: &Piece) -> Vec<Place> {
    let longest = LONGEST.0 * piece.od();
    let mut places = Vec::new();
    let mut stretch = |from: f64, length: f64, step: f64, turning: bool, at: &dyn Fn(f64) -> Frame| {
        let parts = (length / step).ceil().max(1.0) as u32;
        for i in 0..=parts {
            let far = length * f64::from(i) / f64::from(parts);
            let inner = turning && i > 0 && i < parts;
            places.push(Place { frame: at(far), station: from + far, turning: inner });
        }
    };
    match &piece.body {
        Body::Tube { centreline, .. } => {
            for span in centreline.spans() {
                let length = span.to - span.from;
                let step = match span.segment {
                    tube::Segment::Arc { radius, .. } => radius * LONGEST.1,
                    tube::Segment::Straight { .. } => longest,
                };
                stretch(span.from, length, step, span.is_arc(), &|far| span.frame_at(far));
            }
        }
        Body::Cone { frame, length, .. } => {
            stretch(0.0, *length, longest, false, &|far| frame.advanced(far));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use tube::{Centreline, Cut, Row, Rows, Section, alloy};

    fn tube(start: Frame, bend: f64) -> Piece {
        let rows = vec![Row { feed: 80.0, rotate: 0.0, bend, radius: 70.0 }];
        let line = Centreline::from_rows(start, &Rows { rows, tail: 60.0 });
        let length = line.length();
        let section = Section { od: 40.0, wall: 1.5, alloy: &alloy::ALLOYS[0] };
        Piece::tube(line, section, Cut::square(0.0), Cut::square(length)).unwrap()
    }

    fn along_x(z: f64) -> Frame {
        Frame { at: DVec3::new(0.0, 0.0, z), along: DVec3::X, inside: DVec3::Y }
    }

    #[test]
    fn a_view_is_right_handed_and_upright() {
        let view = View::new(DVec3::new(0.5, -0.8, 0.4), DVec3::Z);
        assert!((view.right.cross(view.up) - view.toward).length() < 1e-12);
        assert!(view.right.z.abs() < 1e-12 && view.up.z > 0.0);
        let above = View::new(DVec3::Z, DVec3::Y);
        assert_eq!(above.flat(DVec3::new(3.0, 5.0, 7.0)), [3.0, 5.0]);
    }

    #[test]
    fn a_tube_across_the_view_is_as_wide_as_it_is() {
        let view = View::new(DVec3::Z, DVec3::Y);
        let piece = tube(along_x(0.0), 0.8);
        let sides: Vec<Point> = view
            .piece(&piece)
            .iter()
            .flat_map(|m| m.lines.iter().filter(|l| l.1 == OUTLINE).flat_map(|l| l.0.clone()))
            .collect();
        let first: Vec<&Point> = sides.iter().filter(|p| p[0] < 79.0).collect();
        assert!(first.len() >= 4 && first.iter().all(|p| (p[1].abs() - 20.0).abs() < 1e-9), "{first:?}");
    }

    #[test]
    fn what_is_nearer_is_drawn_later() {
        let view = View::new(DVec3::Z, DVec3::Y);
        let (far, near) = (view.piece(&tube(along_x(0.0), 0.8)), view.piece(&tube(along_x(50.0), 0.8)));
        let most = |marks: &[Mark]| marks.iter().map(|m| m.depth).fold(f64::NEG_INFINITY, f64::max);
        let least = |marks: &[Mark]| marks.iter().map(|m| m.depth).fold(f64::INFINITY, f64::min);
        assert!(most(&far) < least(&near));
    }
}
