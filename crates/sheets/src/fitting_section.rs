//! A section through a fitting: the walls of its parts and of the tubes beside it, to scale.

use geom::unit::Units;
use layout::Layout;
use layout::fitting::Fitting;
use layout::layout::{JointKind, Make, Part, WholeKind};
use spec::Design;
use spec::design::FittingPart;

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::figure::length;
use crate::folio::Folio;

/// How much of the tubes beside a fitting is drawn, mm of tube.
const BESIDE: f64 = 40.0;
/// The most that a picture may be wide and high on the page, mm.
const WIDEST: f64 = 130.0;
const HIGHEST: f64 = 46.0;

/// A wall in section: stations from the fitting's begin, and radii, mm.
struct Wall<'a> {
    part: &'a Part,
    from: f64,
    to: f64,
    outer: f64,
    inner: f64,
    is_fitting: bool,
}

/// Draws the section at the folio's cursor.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout, fitting: &Fitting) {
    let walls = walls(layout, fitting);
    let from = walls.iter().map(|w| w.from).fold(f64::INFINITY, f64::min);
    let to = walls.iter().map(|w| w.to).fold(f64::NEG_INFINITY, f64::max);
    let widest = walls.iter().map(|w| w.outer).fold(0.0, f64::max);
    if walls.is_empty() || to <= from {
        return;
    }
    let scale = (WIDEST / (to - from)).min(HIGHEST / (2.0 * widest));
    let height = 2.0 * widest * scale;
    folio.need(height + 26.0);
    let (left, top) = (folio.left() + 4.0, folio.y + 8.5);
    let axis = top + 0.5 * height;
    let place =
        |station: f64, radius: f64| -> Point { [left + (station - from) * scale, axis - radius * scale] };
    let canvas = folio.canvas();
    for wall in &walls {
        self::wall(canvas, wall, &place);
    }
    labels(canvas, &walls, &place, axis - 0.5 * height - 1.4);
    canvas.line(&[place(from, 0.0), place(to, 0.0)], Pen::dashed(0.2));
    canvas.words([left + (to - from) * scale + 3.0, axis + 0.8], "gas →", Style::plain(2.0));
    let bottom = axis + 0.5 * height + 3.0;
    for (a, b, what) in measures(design, fitting) {
        let [x0, x1] = [a, b].map(|station| place(station, 0.0)[0]);
        for x in [x0, x1] {
            canvas.line(&[[x, axis + 0.5 * height], [x, bottom + 3.0]], Pen::solid(0.15));
        }
        canvas.line(&[[x0, bottom + 2.0], [x1, bottom + 2.0]], Pen::solid(0.25));
        let middle = [0.5 * (x0 + x1), bottom + 5.2];
        canvas.words(middle, number(design.units, b - a), Style::bold(2.2).align(Align::Centre));
        canvas.words([middle[0], bottom + 8.2], what, Style::plain(1.7).grey(0.25).align(Align::Centre));
    }
    folio.y = bottom + 11.0;
}

fn number(units: Units, mm: f64) -> String {
    length(units, mm)
}

/// The walls of the fitting's parts and of what they are joined to.
fn walls<'a>(layout: &'a Layout, fitting: &Fitting) -> Vec<Wall<'a>> {
    let line = &layout.runs[fitting.run].centreline;
    let middle = line.frame_at((0.5 * (fitting.from + fitting.to)).clamp(0.0, line.length()));
    let Some(&first) = fitting.pieces.first() else { return Vec::new() };
    let origin = layout.pieces[first].piece.frame_at(0.0).at;
    let station = |piece: &tube::Piece, at: f64| (piece.frame_at(at).at - origin).dot(middle.along);
    let mut walls = Vec::new();
    let mut push = |index: usize, from: f64, to: f64, is_fitting: bool| {
        let part = &layout.pieces[index];
        let [outer, inner] = [1.0, 0.0].map(|depth| part.piece.line(0.0, depth).rho);
        walls.push(Wall { part, from, to, outer, inner, is_fitting });
    };
    let ends = fitting.pieces.iter().map(|&own| &layout.pieces[own].piece);
    let whole = ends.map(|piece| station(piece, piece.length())).fold(0.0, f64::max);
    let mut beside: Vec<usize> = Vec::new();
    for joint in &layout.joints {
        let own = |piece: usize| fitting.pieces.contains(&piece);
        let on_axis = !matches!(joint.kind, JointKind::Mouth | JointKind::Seam | JointKind::Saddle);
        if own(joint.a) == own(joint.b) || !on_axis {
            continue;
        }
        let other = if own(joint.a) { joint.b } else { joint.a };
        if beside.contains(&other) {
            continue;
        }
        beside.push(other);
        let piece = &layout.pieces[other].piece;
        let rows = piece.rows();
        // What stands in the fitting, and as much again as is drawn beside it.
        if other == joint.a {
            let end = station(piece, piece.length());
            push(other, end - rows.tail.min(BESIDE + end.max(0.0)), end, false);
        } else {
            let begin = station(piece, 0.0);
            let straight = rows.rows.first().map_or(rows.tail, |row| row.feed);
            push(other, begin, begin + straight.min(BESIDE + (whole - begin).max(0.0)), false);
        }
    }
    for &own in &fitting.pieces {
        let piece = &layout.pieces[own].piece;
        push(own, station(piece, 0.0), station(piece, piece.length()), true);
    }
    walls
}

/// Both halves of a wall; of a bellows its cuffs and a row of waves.
fn wall(canvas: &mut Canvas, wall: &Wall, place: &dyn Fn(f64, f64) -> Point) {
    let grey = if wall.is_fitting { 0.62 } else { 0.86 };
    let waves = matches!(&wall.part.make, Make::Whole(whole) if whole.kind == WholeKind::Bellows);
    for side in [1.0, -1.0] {
        if waves {
            let steps = 28;
            let depth = wall.outer - wall.inner;
            let cuff = 0.14 * (wall.to - wall.from);
            let mut points = vec![place(wall.from, side * (wall.inner + 0.12 * depth))];
            for i in 0..=steps {
                let station =
                    wall.from + cuff + (wall.to - wall.from - 2.0 * cuff) * f64::from(i) / f64::from(steps);
                let crest = if i % 2 == 1 { wall.outer } else { wall.inner + 0.12 * depth };
                points.push(place(station, side * crest));
            }
            points.push(place(wall.to, side * (wall.inner + 0.12 * depth)));
            canvas.line(&points, Pen::solid(0.45));
            continue;
        }
        let corners =
            [(wall.from, wall.outer), (wall.to, wall.outer), (wall.to, wall.inner), (wall.from, wall.inner)];
        let points = corners.map(|(station, radius)| place(station, side * radius));
        canvas.area(&points, grey);
        canvas.line(&[points[0], points[1], points[2], points[3], points[0]], Pen::solid(0.25));
    }
}

/// The marks of the fitting's parts above the picture, those that would touch one above the other.
fn labels(canvas: &mut Canvas, walls: &[Wall], place: &dyn Fn(f64, f64) -> Point, bottom: f64) {
    let mut set: Vec<(f64, f64)> = Vec::new();
    for wall in walls.iter().filter(|wall| wall.is_fitting) {
        let x = place(0.5 * (wall.from + wall.to), 0.0)[0];
        let half = 0.9 * wall.part.mark.chars().count() as f64;
        let below = set.iter().filter(|(other, theirs)| (x - other).abs() < half + theirs).count();
        let at = [x, bottom - 2.6 * below as f64];
        let words = format!("{}{}", wall.part.mark, side(walls, wall));
        canvas.words(at, words, Style::plain(1.9).align(Align::Centre));
        set.push((x, half));
    }
}

/// Which of two sleeves over the same stations a wall is; nothing for any other.
fn side(walls: &[Wall], wall: &Wall) -> &'static str {
    let over = |other: &&Wall| other.is_fitting && other.from < wall.to - 1e-6 && other.to > wall.from + 1e-6;
    match walls.iter().filter(over).find(|other| other.outer != wall.outer) {
        Some(other) if other.outer < wall.outer => ", outside",
        Some(_) => ", inside",
        None => "",
    }
}

/// What is measured on the section: stations from the fitting's begin, and its name.
fn measures(design: &Design, fitting: &Fitting) -> Vec<(f64, f64, &'static str)> {
    match fitting.part {
        FittingPart::Slip(slip) => {
            let slip = &design.slips[slip];
            let (first, last) = if slip.inner.is_some() {
                (("socket", slip.socket), ("insertion", slip.insertion))
            } else {
                (("insertion", slip.insertion), ("socket", slip.socket))
            };
            let (a, b) = (first.1, first.1 + slip.room);
            vec![(0.0, a, first.0), (a, b, "room"), (b, b + last.1, last.0)]
        }
        FittingPart::Bellows(bellows) => vec![(0.0, design.bellows[bellows].length, "length")],
        FittingPart::Coupling(coupling) => {
            let coupling = &design.couplings[coupling];
            vec![(0.0, coupling.overall(), "length")]
        }
    }
}
