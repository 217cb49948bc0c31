//! Runs made of mitred segments: their pieces, and what is noticed of them.

use std::f64::consts::PI;

use geom::angle::{from_degrees, to_degrees};
use geom::math::{cos, sin, tan};
use spec::design::Making;
use spec::{Design, Finding, Level};
use tube::{Centreline, Cut, End, MitredBend, Piece, Segment, Shape, Span};

use crate::layout::{Fault, JointKind, Layout, Make, Part};
use crate::runs::Share;

/// The centreline as it is made: that of the segments where the run is segmented.
///
/// This is the one place where a path's rounded line becomes the line of a run, so lengths, poses, rows and
/// closure are all those of the segments.
pub(crate) fn as_made(
    run: &spec::design::Run,
    smooth: Centreline,
) -> Result<(Centreline, Vec<MitredBend>), Fault> {
    let Making::Segmented(segments) = run.making else { return Ok((smooth, Vec::new())) };
    smooth.segmented(segments).ok_or_else(|| Fault {
        key: format!("run.{}.segments", run.name),
        code: "too-few-segments",
        message: format!(
            "run `{}`: a bend is too large for so few pieces: its cuts would lie along the tube",
            run.name
        ),
        help: "give more segments: with n of them a bend of A degrees is cut at A / (2 n - 2) from square"
            .into(),
    })
}

/// The pieces of a stretch of a segmented run: straights between mitres and the stretch's ends. End halves
/// are of one piece with the straight beside them.
pub(crate) fn shares(line: &Centreline) -> Vec<Share> {
    let mitres = line.spans().into_iter().filter(Span::is_mitre).map(|s| s.from);
    let ends: Vec<f64> = [0.0].into_iter().chain(mitres).chain([line.length()]).collect();
    let make = if ends.len() > 2 { Make::Segment } else { Make::Straight };
    ends.windows(2).map(|pair| Share { from: pair[0], to: pair[1], make: make.clone() }).collect()
}

/// Steps, fittings and ends that stand in a segmented bend, where two segments would have to carry them.
pub(crate) fn blocked(
    run: &spec::design::Run,
    bends: &[MitredBend],
    places: impl Iterator<Item = f64>,
) -> Vec<Fault> {
    let inside = |at: f64| bends.iter().find(|b| at > b.from && at < b.to).map(|b| (at, b));
    let fault = |(at, bend): (f64, &MitredBend)| Fault {
        key: format!("run.{}", run.name),
        code: "in-segments",
        message: format!(
            "run `{}`: its tube ends at {at:.2} mm, in the segmented bend from {:.2} to {:.2}: {:.2} mm too far \
             downstream, or {:.2} mm too far upstream",
            run.name,
            bend.from,
            bend.to,
            at - bend.from,
            bend.to - at
        ),
        help: "move the step or fitting onto a straight".into(),
    };
    let mut places: Vec<f64> = places.collect();
    places.dedup();
    places.into_iter().filter_map(inside).map(fault).collect()
}

/// The cut at `station` of a segment, whose clock 0 is the run's scribe line, where the run has no end of
/// its own: square, or at a mitre the plane midway between the directions on both sides, longest on the
/// outside of the bend.
pub(crate) fn inner_cut(mitre: Option<Span>, end: End, station: f64) -> Cut {
    let Some(Span { segment: Segment::Arc { angle, .. }, plane, .. }) = mitre else {
        return Cut::square(station);
    };
    // The plane lies furthest downstream on the inside of the bend for the piece that begins there, and on
    // the outside for the piece that ends there: one plane, seen along two directions.
    let roll = if end == End::Start { plane } else { plane + PI };
    Cut { station, roll, shape: Shape::Plane { tilt: 0.5 * angle } }
}

/// Length of a straight piece along its shortest side on the outside, mm: what a saw has to hold.
///
/// A plane cut of tilt t and roll p ends at `station + r tan t cos(clock - p)`, so the side's length is the
/// axis' plus a single cosine of the clock, whose amplitude is that of the two cuts' difference.
pub(crate) fn short_side(piece: &Piece) -> f64 {
    let lean = |cut: &Cut| match cut.shape {
        Shape::Plane { tilt } => [tan(tilt) * cos(cut.roll), tan(tilt) * sin(cut.roll)],
        _ => [0.0; 2],
    };
    let (start, end) = (lean(&piece.start), lean(&piece.end));
    let (x, y) = (end[0] - start[0], end[1] - start[1]);
    piece.end.station - piece.start.station - piece.outer_radius(0.0) * (x * x + y * y).sqrt()
}

/// Tilt from square beyond which a mitre is warned of, degrees: the rules for mitre bends of ASME B31.3 hold
/// up to it (a worksheet per ASME B31.3-2002, appendix D; written for pressure piping, here guidance only).
const STEEP: f64 = 22.5;

impl Layout {
    /// How many mitres are cut like this end of a piece: all of a bend, at the end of its first segment; 0 at the
    /// others, which need no template of their own. `None` where the end is no mitre.
    pub fn mitres_like(&self, piece: usize, end: End) -> Option<usize> {
        let mitres: Vec<_> = self.joints.iter().filter(|j| j.kind == JointKind::Mitre).collect();
        let at = mitres.iter().position(|j| if end == End::Start { j.b == piece } else { j.a == piece })?;
        let cut = |i: usize| &self.pieces[mitres[i].a].piece.end;
        let alike = |i: usize| {
            i + 1 < mitres.len()
                && mitres[i].b == mitres[i + 1].a
                && cut(i).shape == cut(i + 1).shape
                && (cut(i).roll - cut(i + 1).roll).abs() < 1e-9
        };
        let first = at == 0 || !alike(at - 1);
        let count = 1 + (at..mitres.len()).take_while(|&i| alike(i)).count();
        Some(if end == End::End && first { count } else { 0 })
    }
}

/// Warnings of steep mitres and of segments too short to hold, once for each run.
pub(crate) fn report<'a>(
    design: &Design,
    run: &str,
    bends: &[MitredBend],
    parts: impl Iterator<Item = &'a Part>,
    findings: &mut Vec<Finding>,
) {
    let warning = |code, message, value, limit| Finding {
        level: Level::Warning,
        code,
        place: run.to_owned(),
        message,
        value: Some(value),
        limit: Some(limit),
    };
    let steepest = bends.iter().map(MitredBend::tilt).fold(0.0, f64::max);
    if steepest > from_degrees(STEEP) + 1e-9 {
        let tilt = to_degrees(steepest);
        let message = format!(
            "mitres are cut {tilt:.2} degrees from square; ASME B31.3's rules for mitre bends end at {STEEP} (guidance \
             here): more segments turn the gas more gently"
        );
        findings.push(warning("steep-mitre", message, tilt, STEEP));
    }
    let least = design.shop.least_piece;
    let sides = parts.filter(|p| p.make == Make::Segment).map(|p| short_side(&p.piece));
    let short: Vec<f64> = sides.filter(|s| *s < least - 1e-9).collect();
    let shortest = short.iter().copied().fold(f64::INFINITY, f64::min);
    if !short.is_empty() {
        let message = format!(
            "{} of its segments {} a short side below {}, the least {}: hard to hold; saw from the stick, or choose \
             fewer segments or a larger radius",
            short.len(),
            if short.len() == 1 { "has" } else { "have" },
            design.units.written(least),
            design.units.written(shortest)
        );
        findings.push(warning("short-segment", message, shortest, least));
    }
}
