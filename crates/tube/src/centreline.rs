//! The centreline of a tube: straights and arcs, each given relative to the one before.

use std::f64::consts::{PI, TAU};

use geom::angle::wrap_signed;
use geom::math::atan2;
use geom::{DVec3, Frame};

use crate::row::{Row, Rows};

/// One stretch of a centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// A straight.
    Straight {
        /// Length, mm; above 0.
        length: f64,
    },
    /// A bend.
    Arc {
        /// Centreline radius, mm; 0 is a mitre, which turns the line without length.
        radius: f64,
        /// Bend angle, rad; above 0.
        angle: f64,
        /// Turn of the bend plane since the bend before (the first: since the start frame's clock 0),
        /// rad, right-handed about the direction of travel.
        twist: f64,
    },
}

/// A tube's centreline: a start frame and relative segments.
///
/// It cannot lose tangency, and it is the bend sheet: [`Centreline::rows`] only regroups it.
/// Frames computed along it carry the scribe line: clock 0 runs on through the bends without twist.
#[derive(Clone, Debug, PartialEq)]
pub struct Centreline {
    /// Where it begins; its `inside` is the scribe line's side.
    pub start: Frame,
    /// Its segments in the direction of travel.
    pub segments: Vec<Segment>,
}

/// A segment with its place on the centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The segment.
    pub segment: Segment,
    /// Station of its begin, mm.
    pub from: f64,
    /// Station of its end, mm.
    pub to: f64,
    /// Frame at its begin, clock 0 on the scribe line.
    pub frame: Frame,
    /// Clock of the inside of the bend (for a straight: of the bend before it), rad.
    pub plane: f64,
}

impl Segment {
    /// Length along the centreline, mm.
    pub fn length(&self) -> f64 {
        match *self {
            Segment::Straight { length } => length,
            Segment::Arc { radius, angle, .. } => radius * angle,
        }
    }
}

impl Span {
    /// The frame `distance` mm from the span's begin, clock 0 on the scribe line; of a mitre, which has
    /// no length, the frame behind it.
    pub fn frame_at(&self, distance: f64) -> Frame {
        match self.segment {
            Segment::Straight { .. } => self.frame.advanced(distance),
            Segment::Arc { radius, angle, .. } => {
                let turned = if radius > 0.0 { distance / radius } else { angle };
                self.frame.turned(self.plane).bent(radius, turned).turned(-self.plane)
            }
        }
    }
}

impl Centreline {
    /// A single straight of `length` mm from `start`.
    pub fn straight(start: Frame, length: f64) -> Self {
        Centreline { start, segments: vec![Segment::Straight { length }] }
    }

    /// The centreline that `rows` describe, from `start`, whose clock 0 is the inside of the first bend.
    ///
    /// The first row's rotate turns the first bend away from clock 0. Straights of length 0 are left out.
    pub fn from_rows(start: Frame, rows: &Rows) -> Self {
        let mut segments = Vec::with_capacity(2 * rows.rows.len() + 1);
        for row in &rows.rows {
            push_straight(&mut segments, row.feed);
            segments.push(Segment::Arc { radius: row.radius, angle: row.bend, twist: row.rotate });
        }
        push_straight(&mut segments, rows.tail);
        Centreline { start, segments }
    }

    /// Its bends as rows; the first rotate is the first bend's twist from the start's clock 0.
    pub fn rows(&self) -> Rows {
        let mut rows = Vec::new();
        let mut feed = 0.0;
        for segment in &self.segments {
            match *segment {
                Segment::Straight { length } => feed += length,
                Segment::Arc { radius, angle, twist } => {
                    rows.push(Row { feed, rotate: wrap_signed(twist), bend: angle, radius });
                    feed = 0.0;
                }
            }
        }
        Rows { rows, tail: feed }
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// The segments with their places, in the direction of travel.
    pub fn spans(&self) -> Vec<Span> {
        let (mut frame, mut plane, mut from) = (self.start, 0.0, 0.0);
        let mut spans = Vec::with_capacity(self.segments.len());
        for &segment in &self.segments {
            if let Segment::Arc { twist, .. } = segment {
                plane = wrap_signed(plane + twist);
            }
            let span = Span { segment, from, to: from + segment.length(), frame, plane };
            frame = span.frame_at(segment.length());
            from = span.to;
            spans.push(span);
        }
        spans
    }

    /// The frame at its end, clock 0 on the scribe line.
    pub fn end(&self) -> Frame {
        self.spans().last().map_or(self.start, |s| s.frame_at(s.to - s.from))
    }

    /// The frame at `station` mm from the start, clock 0 on the scribe line.
    ///
    /// Before the start and beyond the end it goes on along a straight. At a mitre it is the frame ahead
    /// of the turn.
    pub fn frame_at(&self, station: f64) -> Frame {
        if station <= 0.0 {
            return self.start.advanced(station);
        }
        let spans = self.spans();
        match spans.iter().find(|s| station <= s.to) {
            Some(span) => span.frame_at(station - span.from),
            None => self.end().advanced(station - spans.last().map_or(0.0, |s| s.to)),
        }
    }

    /// The start frame with clock 0 at the inside of the first bend (without bends: as it is).
    pub fn start_at_first_bend(&self) -> Frame {
        let first = self.spans().into_iter().find(|s| s.is_arc());
        first.map_or(self.start, |s| self.start.turned(s.plane))
    }

    /// The end frame with clock 0 at the inside of the last bend (without bends: the scribe line).
    pub fn end_at_last_bend(&self) -> Frame {
        let last = self.spans().into_iter().rfind(|s| s.is_arc());
        self.end().turned(last.map_or(0.0, |s| s.plane))
    }

    /// The same line with the start's clock 0 at the inside of the first bend, so that its twist is 0;
    /// without bends, at the vector nearest to +z (else +x).
    pub fn normalised(&self) -> Centreline {
        let mut line = self.clone();
        line.start = self.start_at_first_bend();
        match line.segments.iter_mut().find(|s| matches!(s, Segment::Arc { .. })) {
            Some(Segment::Arc { twist, .. }) => *twist = 0.0,
            _ => line.start = Frame::upright(line.start.at, line.start.along).unwrap_or(line.start),
        }
        line
    }

    /// Lengthened by straights at its start and end, mm; a negative length shortens the straight there.
    ///
    /// `None` when a shortening is more than that straight holds.
    pub fn extended(&self, at_start: f64, at_end: f64) -> Option<Centreline> {
        let mut rows = self.rows();
        match rows.rows.first_mut() {
            Some(row) => row.feed += at_start,
            None => rows.tail += at_start,
        }
        rows.tail += at_end;
        let start = self.start.advanced(-at_start);
        let short = rows.rows.first().is_some_and(|r| r.feed < 0.0) || rows.tail < 0.0;
        (!short).then(|| Centreline::from_rows(start, &rows))
    }

    /// The part between two stations, mm, as a centreline of its own with the same scribe line.
    ///
    /// A bend is cut on the plane through its centre. Stations are clamped to the line. A mitre at one of
    /// the two stations is left out: the part begins behind it, or ends ahead of it.
    pub fn between(&self, from: f64, to: f64) -> Centreline {
        let mut segments = Vec::new();
        let mut plane = 0.0;
        for span in self.spans() {
            let length = to.min(span.to) - from.max(span.from);
            let inside = span.is_mitre() && span.from > from + AT_MITRE && span.from < to - AT_MITRE;
            if length <= 0.0 && !inside {
                continue;
            }
            segments.push(match span.segment {
                Segment::Straight { .. } => Segment::Straight { length },
                Segment::Arc { radius, angle, .. } => {
                    let twist = wrap_signed(span.plane - plane);
                    plane = span.plane;
                    let angle = if inside { angle } else { length / radius };
                    Segment::Arc { radius, angle, twist }
                }
            });
        }
        let start = self.mitre_at(from).map_or_else(|| self.frame_at(from.max(0.0)), |m| m.frame_at(0.0));
        Centreline { start, segments }
    }

    /// The part between two stations, mm, as [`Centreline::between`]; before its start and beyond its end it
    /// goes on straight.
    pub fn reaching(&self, from: f64, to: f64) -> Centreline {
        let (ahead, beyond) = ((-from).max(0.0), (to - self.length()).max(0.0));
        match self.extended(ahead, beyond) {
            Some(line) if ahead + beyond > 0.0 => line.between(from + ahead, to + ahead),
            _ => self.between(from, to),
        }
    }

    /// The station, mm, of the place at which `frame` stands and travels the same way: of the nearest place
    /// where it does not stand on the line. Ahead of its start and beyond its end the line goes on straight.
    pub fn station_of(&self, frame: Frame) -> f64 {
        let spans = self.spans();
        let last = spans.len().saturating_sub(1);
        let mut best = (f64::INFINITY, 0.0);
        for (k, span) in spans.iter().enumerate() {
            let along = span.foot(frame);
            let open = [k == 0 && !span.is_arc(), k == last && !span.is_arc()];
            let low = if open[0] { f64::NEG_INFINITY } else { 0.0 };
            let high = if open[1] { f64::INFINITY } else { span.to - span.from };
            let along = along.clamp(low, high);
            let there = span.frame_at(along);
            let off = there.at.distance(frame.at) + ASKEW * (1.0 - there.along.dot(frame.along));
            if off < best.0 {
                best = (off, span.from + along);
            }
        }
        best.1
    }

    /// The mitre at `station`, mm (within 1e-9), if one is there.
    pub fn mitre_at(&self, station: f64) -> Option<Span> {
        self.spans().into_iter().find(|s| s.is_mitre() && (s.from - station).abs() <= AT_MITRE)
    }

    /// The same tube travelled from its end: lengths and angles in reverse order, rotates in reverse
    /// order with their signs kept. Clock 0 is at the inside of what is now the first bend.
    pub fn reversed(&self) -> Centreline {
        let twists: Vec<f64> = self.twists();
        let mut twists = twists.into_iter().rev();
        let mut next = 0.0;
        let segments = self
            .segments
            .iter()
            .rev()
            .map(|s| match *s {
                Segment::Arc { radius, angle, .. } => {
                    let twist = std::mem::replace(&mut next, twists.next().unwrap_or(0.0));
                    Segment::Arc { radius, angle, twist }
                }
                straight => straight,
            })
            .collect();
        Centreline { start: self.end_at_last_bend().reversed(), segments }
    }

    /// Its mirror image in the plane z = 0: every twist changes sign and nothing else.
    pub fn mirrored(&self) -> Centreline {
        let flip = |v: DVec3| DVec3::new(v.x, v.y, -v.z);
        let start =
            Frame { at: flip(self.start.at), along: flip(self.start.along), inside: flip(self.start.inside) };
        let segments = self
            .segments
            .iter()
            .map(|s| match *s {
                Segment::Arc { radius, angle, twist } => {
                    Segment::Arc { radius, angle, twist: wrap_signed(-twist) }
                }
                straight => straight,
            })
            .collect();
        Centreline { start, segments }
    }

    /// Straight before the first bend and after the last, mm; the whole length twice without bends.
    pub fn end_straights(&self) -> (f64, f64) {
        let rows = self.rows();
        (rows.rows.first().map_or(rows.tail, |r| r.feed), rows.tail)
    }

    /// The twist of every arc but the first.
    fn twists(&self) -> Vec<f64> {
        let arcs = self.segments.iter().filter_map(|s| match s {
            Segment::Arc { twist, .. } => Some(*twist),
            Segment::Straight { .. } => None,
        });
        arcs.skip(1).collect()
    }
}

impl Span {
    /// Whether it is a bend or a mitre.
    pub fn is_arc(&self) -> bool {
        matches!(self.segment, Segment::Arc { .. })
    }

    /// Whether it is a mitre: a bend without length.
    pub fn is_mitre(&self) -> bool {
        matches!(self.segment, Segment::Arc { radius: 0.0, .. })
    }

    /// How far from its begin `frame` stands abreast, mm.
    fn foot(&self, frame: Frame) -> f64 {
        match self.segment {
            Segment::Straight { .. } => (frame.at - self.frame.at).dot(self.frame.along),
            Segment::Arc { radius, .. } => {
                let local = self.frame.turned(self.plane).local_point(frame.at);
                let angle = atan2(local.z, radius - local.x);
                radius * if angle < 0.0 { angle + TAU } else { angle }
            }
        }
    }
}

fn push_straight(segments: &mut Vec<Segment>, length: f64) {
    if length != 0.0 {
        segments.push(Segment::Straight { length });
    }
}

/// Travelling the other way counts as this far off, mm: a line may pass through one place twice.
const ASKEW: f64 = 100.0;

/// A station within this of a mitre stands at it, mm.
const AT_MITRE: f64 = 1e-9;

/// The largest bend that is written as one vertex; a larger one is written as two halves, because the
/// tangent length grows without bound towards 180 degrees.
pub const LARGEST_VERTEX_BEND: f64 = 150.0 / 180.0 * PI;
