//! The picture of the whole header: seen from the front, from above and from the right, to scale on a grid,
//! and once more at an angle.

use geom::DVec3;
use geom::unit::{INCH, Units, fixed};
use layout::Layout;
use layout::flange_plate::{FlangePlate, PlateOf};
use layout::layout::{Owner, Part};
use spec::Design;
use tube::{Body, Piece};

use crate::canvas::{Align, Canvas, Pen, Point, Style};
use crate::figure::full_length;
use crate::folio::{Folio, LABEL};
use crate::font::{width, wrap};
use crate::head::plain_head;
use crate::labels::{self, Label};
use crate::projection::{Mark, View, paint, plate_points};

/// How much smaller than the header a picture may be.
const SCALES: [f64; 16] =
    [1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 10.0, 12.0, 15.0, 20.0, 25.0, 50.0, 100.0, 200.0];
/// Room for dimensions between two views, and around them, mm.
const GAP: f64 = 16.0;
/// The picture at an angle goes onto the same page where this height is left, mm.
const AT_AN_ANGLE: f64 = 80.0;
/// Height that the notes take with the title of the view below them, mm.
const NOTES: f64 = 36.0;
const NAME: Style = Style::bold(1.7);
const GRID: Pen = Pen::solid(0.08).grey(0.72);

/// Draws the page.
pub fn draw(folio: &mut Folio, design: &Design, layout: &Layout) {
    if layout.pieces.is_empty() {
        return;
    }
    folio.sheet(plain_head(design, "Whole header", "Picture"));
    let bounds = Bounds::of(layout);
    let size = bounds.most - bounds.least;
    let room = [folio.width(), folio.room()];
    let scale = scale(size, room);
    let (left, top) = (folio.left() + 12.0, folio.y + 6.0);
    let [x, y, z] = (size / scale).to_array();
    // The notes stand beside the view from above.
    let y = y.max(NOTES - GAP);
    let views = [
        (View::new(DVec3::Z, DVec3::Y), [left, top], "FROM ABOVE", ["x", "y"]),
        (View::new(DVec3::NEG_Y, DVec3::Z), [left, top + y + GAP], "FROM THE FRONT", ["x", "z"]),
        (View::new(DVec3::X, DVec3::Z), [left + x + GAP, top + y + GAP], "FROM THE RIGHT", ["y", "z"]),
    ];
    for (view, corner, title, axes) in views {
        let frame =
            Pane { view, corner, scale, extent: extent(&view, &bounds), step: step(design.units, scale) };
        frame.grid(folio.canvas(), design.units, axes);
        paint(folio.canvas(), marks(&view, layout), |p| frame.at(p));
        names(folio.canvas(), layout, &frame);
        frame.dimensions(folio.canvas(), design.units);
        folio.canvas().words([corner[0], corner[1] - 2.6], title, LABEL);
    }
    notes(folio, design, scale, [left + x + GAP, top]);
    folio.y = top + y + GAP + z + 16.0;
    folio.need(AT_AN_ANGLE);
    at_an_angle(folio, layout, &bounds, step(design.units, scale));
}

/// The header's extent along the axes, mm.
#[derive(Clone, Copy)]
struct Bounds {
    least: DVec3,
    most: DVec3,
}

impl Bounds {
    /// Of the outsides of all pieces, at places along them: a round tube reaches r sin(angle) beyond its axis.
    fn of(layout: &Layout) -> Bounds {
        let mut bounds = Bounds { least: DVec3::INFINITY, most: DVec3::NEG_INFINITY };
        for part in &layout.pieces {
            let line = axis(&part.piece);
            for (frame, radius) in line {
                let reach = DVec3::ONE - frame.along * frame.along;
                let reach = radius * DVec3::from(reach.to_array().map(|r| r.max(0.0).sqrt()));
                bounds.least = bounds.least.min(frame.at - reach);
                bounds.most = bounds.most.max(frame.at + reach);
            }
        }
        for point in layout.plates.iter().flat_map(plate_points) {
            bounds.least = bounds.least.min(point);
            bounds.most = bounds.most.max(point);
        }
        bounds
    }

    fn corners(&self) -> [DVec3; 8] {
        let pick = |i: usize, k: usize| if i >> k & 1 == 0 { self.least[k] } else { self.most[k] };
        std::array::from_fn(|i| DVec3::new(pick(i, 0), pick(i, 1), pick(i, 2)))
    }
}

/// Frames along a piece's axis with the outside radius there.
fn axis(piece: &Piece) -> Vec<(geom::Frame, f64)> {
    let mut frames = vec![(piece.frame_at(0.0), piece.outer_radius(0.0))];
    match &piece.body {
        Body::Tube { centreline, section } => {
            for span in centreline.spans() {
                let parts = if span.is_arc() { 24 } else { 1 };
                let far = (1..=parts).map(|i| (span.to - span.from) * f64::from(i) / f64::from(parts));
                frames.extend(far.map(|far| (span.frame_at(far), section.outer())));
            }
        }
        Body::Cone { .. } => {
            frames.push((piece.frame_at(piece.length()), piece.outer_radius(piece.length())))
        }
    }
    frames
}

/// Least and most of what a view shows of some bounds, to the right and up, mm.
fn extent(view: &View, bounds: &Bounds) -> [[f64; 2]; 2] {
    let flat = bounds.corners().map(|c| view.flat(c));
    [0, 1].map(|k| {
        let values = flat.iter().map(|p| p[k]);
        [values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max)]
    })
}

/// One of the views to scale on the page.
struct Pane {
    view: View,
    /// Its top left corner on the page.
    corner: Point,
    scale: f64,
    /// Least and most of what it shows, to the right and up, mm.
    extent: [[f64; 2]; 2],
    /// Distance of grid lines, mm.
    step: f64,
}

impl Pane {
    /// A point of the view on the page.
    fn at(&self, [x, y]: Point) -> Point {
        let [[left, _], [_, top]] = self.extent;
        [self.corner[0] + (x - left) / self.scale, self.corner[1] + (top - y) / self.scale]
    }

    /// Lines at whole steps of both axes, with their values at the left and below.
    fn grid(&self, canvas: &mut Canvas, units: Units, axes: [&str; 2]) {
        let [[left, right], [bottom, top]] = self.extent;
        let say = |mm: f64| fixed(mm / units.in_millimetres(), 0);
        let small = Style::plain(1.3).grey(0.35);
        for x in steps(left, right, self.step) {
            let (a, b) = (self.at([x, bottom]), self.at([x, top]));
            canvas.line(&[a, b], GRID);
            // The axis has its name at the end.
            if self.at([right, bottom])[0] - a[0] > 2.5 {
                canvas.words([a[0], a[1] + 2.2], say(x), small.align(Align::Centre));
            }
        }
        for y in steps(bottom, top, self.step) {
            let (a, b) = (self.at([left, y]), self.at([right, y]));
            canvas.line(&[a, b], GRID);
            canvas.words([a[0] - 0.8, a[1] + 0.6], say(y), small.align(Align::Right));
        }
        let axis = Style::bold(1.5).grey(0.35);
        let (a, b) = (self.at([right, bottom]), self.at([left, top]));
        canvas.words([a[0] + 1.0, a[1] + 2.4], axes[0], axis);
        canvas.words([b[0] - 1.0, b[1] - 0.8], axes[1], axis.align(Align::Right));
    }

    /// Overall dimensions: below, and at the right.
    fn dimensions(&self, canvas: &mut Canvas, units: Units) {
        let [[left, right], [bottom, top]] = self.extent;
        let pen = Pen::solid(0.12);
        let style = Style::plain(1.8);
        let (a, b) = (self.at([left, bottom]), self.at([right, bottom]));
        let y = a[1] + 6.4;
        canvas.line(&[[a[0], y], [b[0], y]], pen);
        for p in [a, b] {
            canvas.line(&[[p[0], p[1] + 3.6], [p[0], y + 1.0]], pen);
        }
        let text = full_length(units, right - left);
        let below = if width(&text, &style) > b[0] - a[0] - 2.0 { 3.4 } else { 0.0 };
        canvas.words([0.5 * (a[0] + b[0]), y - 0.8 + below], text, style.align(Align::Centre));
        let (a, b) = (self.at([right, bottom]), self.at([right, top]));
        let x = a[0] + 5.0;
        canvas.line(&[[x, a[1]], [x, b[1]]], pen);
        for p in [a, b] {
            canvas.line(&[[p[0] + 1.0, p[1]], [x + 1.0, p[1]]], pen);
        }
        let text = full_length(units, top - bottom);
        canvas.turned_words([x + 2.4, 0.5 * (a[1] + b[1])], text, style.align(Align::Centre), 3);
    }
}

/// How the views lie.
const VIEWS: &str = "Third-angle: the view from above stands over the front, that from the right beside it. Front: \
     looking along +y. Axes: the spec's. Everything is shown by its outside.";

/// The scale and how the views lie, beside the view from above.
fn notes(folio: &mut Folio, design: &Design, scale: f64, [x, top]: Point) {
    let step = step(design.units, scale);
    let lines = [
        format!("Scale 1 : {}", fixed(scale, 1).trim_end_matches('0').trim_end_matches('.')),
        format!("Grid {} {}", fixed(step / design.units.in_millimetres(), 0), design.units.symbol()),
    ];
    let small = Style::plain(1.8);
    let room = (folio.right() - x).min(62.0);
    let lines = lines.map(|line| (line, Style::bold(2.4))).into_iter();
    let words = wrap(VIEWS, &small, room).into_iter().map(|line| (line, small));
    for (i, (line, style)) in lines.chain(words).enumerate() {
        folio.canvas().words([x, top + 2.0 + 4.0 * i as f64], line, style);
    }
}

/// The header at an angle over a floor with the same grid, as large as fits.
fn at_an_angle(folio: &mut Folio, layout: &Layout, bounds: &Bounds, step: f64) {
    let view = View::new(DVec3::new(0.55, -0.75, 0.5), DVec3::Z);
    let [[left, right], [bottom, top]] = extent(&view, bounds);
    let room = [folio.width(), folio.room() - 4.0];
    let scale = ((right - left) / room[0]).max((top - bottom) / room[1]);
    let shift = folio.left() + 0.5 * (room[0] - (right - left) / scale);
    let head = folio.y + 3.0;
    let at = |[x, y]: Point| [shift + (x - left) / scale, head + (top - y) / scale];
    let left_edge = folio.left();
    let canvas = folio.canvas();
    canvas.words(
        [left_edge, head - 1.0],
        "AT AN ANGLE, FROM THE FRONT, THE RIGHT AND ABOVE: NOT TO SCALE",
        LABEL,
    );
    let (least, most) = (bounds.least, bounds.most);
    for x in steps(least.x, most.x, step) {
        let line = [least.y, most.y].map(|y| at(view.flat(DVec3::new(x, y, least.z))));
        canvas.line(&line, GRID);
    }
    for y in steps(least.y, most.y, step) {
        let line = [least.x, most.x].map(|x| at(view.flat(DVec3::new(x, y, least.z))));
        canvas.line(&line, GRID);
    }
    paint(canvas, marks(&view, layout), at);
    label(canvas, layout, &view, (&at, Vec::new()));
}

fn marks(view: &View, layout: &Layout) -> Vec<Mark> {
    let pieces = layout.pieces.iter().flat_map(|part| view.faced(&part.piece, faces(part)));
    // A plug is hidden between its legs.
    let shown = layout.plates.iter().filter(|plate| matches!(plate.of, PlateOf::Flange(_)));
    let plates = shown.flat_map(|plate| view.plate(plate, tubes_side(layout, plate)));
    let transitions = layout.transitions.iter().flat_map(|part| view.transition(part));
    pieces.chain(plates).chain(transitions).collect()
}

/// Whether a piece's start and its end can be seen into: a merge's legs end in its mouth, where its cone begins.
pub fn faces(part: &Part) -> [bool; 2] {
    match (part.owner, &part.piece.body) {
        (Owner::Merge(_), Body::Tube { .. }) => [true, false],
        (Owner::Merge(_), Body::Cone { .. }) => [false, true],
        _ => [true; 2],
    }
}

/// On which side of a plate its tubes are: 1 along the gas, else -1.
pub fn tubes_side(layout: &Layout, plate: &FlangePlate) -> f64 {
    let run = plate.openings.iter().find_map(|opening| opening.run).map(|run| &layout.runs[run]);
    let middle = run.map(|run| run.centreline.frame_at(0.5 * run.length()).at);
    middle.map_or(1.0, |at| (at - plate.frame.at).dot(plate.frame.along).signum())
}

fn names(canvas: &mut Canvas, layout: &Layout, pane: &Pane) {
    // Labels keep off the dimensions at the right and below.
    let [[left, right], [bottom, top]] = pane.extent;
    let (low, high) = (pane.at([left, bottom]), pane.at([right, top]));
    let (wide, tall) = (high[0] - low[0], low[1] - high[1]);
    let title = [low[0], high[1] - 5.0, 28.0, 3.0];
    let taken = vec![[high[0] + 2.0, high[1], 8.0, tall], [low[0], low[1], wide, 8.0], title];
    label(canvas, layout, &pane.view, (&|p| pane.at(p), taken));
}

/// The names of runs, at their middles, and of merges, at their mouths, clear of what is `taken`; `at` puts a point
/// of the view on the page.
fn label(
    canvas: &mut Canvas,
    layout: &Layout,
    view: &View,
    (at, taken): (&dyn Fn(Point) -> Point, Vec<[f64; 4]>),
) {
    let runs =
        layout.runs.iter().map(|run| (&run.name, run.centreline.frame_at(0.5 * run.length()).at, NAME));
    let merge = Style::plain(NAME.cap);
    let merges = layout.merges.iter().map(|m| (&m.name, m.frame.at, merge));
    let labels = runs.chain(merges).map(|(name, place, style)| Label {
        text: name.clone(),
        point: at(view.flat(place)),
        style,
    });
    labels::draw(canvas, labels, taken);
}

/// The least reduction with which three views and their gaps fit into `room`; none is larger than life.
fn scale(size: DVec3, room: [f64; 2]) -> f64 {
    let fits = |scale: &f64| {
        let across = (size.x + size.y) / scale + 2.0 * GAP + 12.0;
        let down = (size.y / scale).max(NOTES - GAP) + size.z / scale + 2.0 * GAP + 8.0;
        across <= room[0] && down <= room[1]
    };
    SCALES.into_iter().find(fits).unwrap_or(1000.0)
}

/// The distance of grid lines: a round number of the spec's units, about 10 mm on the page or more.
fn step(units: Units, scale: f64) -> f64 {
    let choices: &[f64] = match units {
        Units::Millimetre => &[10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0],
        Units::Inch => &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0],
    };
    let unit = if units == Units::Inch { INCH } else { 1.0 };
    let wide = choices.iter().map(|c| c * unit).find(|s| s / scale >= 9.0);
    wide.unwrap_or(10_000.0)
}

/// The multiples of `step` from `from` to `to`.
fn steps(from: f64, to: f64, step: f64) -> Vec<f64> {
    let (first, last) = ((from / step).ceil() as i64, (to / step).floor() as i64);
    (first..=last).map(|i| i as f64 * step).collect()
}
