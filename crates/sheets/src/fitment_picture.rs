//! The printed model put together, and drawn apart in the order of its assembly.

use fitment::Fitment;
use geom::DVec3;
use layout::Layout;

use crate::canvas::{Pen, Point, Style};
use crate::fitment_sheet::head;
use crate::folio::{BODY, Folio, LABEL};
use crate::labels::{self, Label};
use crate::part_view;
use crate::projection::{Mark, View, paint};

/// What stands above the pictures.
const TOGETHER: &str = "Marks count the order of assembly: P1 lies on the bench first, and every part goes onto those with smaller \
     numbers. Plain numbers are joints. Each part has its mark, whose number is its order, and an arrow downstream sunk into it.";
const DRAWN_APART: &str = "Each part is drawn back on the way by which it is put in; dashed lines lead from each joint's one side \
     to the other.";

/// Where each page's pictures are seen from.
const FROM: [(DVec3, &str); 2] = [
    (DVec3::new(0.55, -0.75, 0.5), "FROM THE FRONT, THE RIGHT AND ABOVE"),
    (DVec3::new(-0.55, 0.75, 0.5), "FROM THE BACK, THE LEFT AND ABOVE"),
];
/// How light parts are in turn, so that neighbours differ.
const SHADES: [f64; 3] = [1.0, 0.82, 0.92];
/// How far parts are drawn apart, of the header's largest extent.
const APART: f64 = 0.16;
const MARK: Style = Style::bold(2.2);
const NUMBER: Style = Style::plain(1.6);
/// Room about a label's point that other labels leave free, mm.
const DOT: f64 = 0.8;
/// Room for labels on both sides of a picture, mm.
const BESIDE: f64 = 7.0;
const WAY: Pen = Pen { width: 0.12, grey: 0.2, dash: Some([1.2, 0.8]) };

/// Draws two pages: the parts together, and apart.
pub fn draw(folio: &mut Folio, layout: &Layout, model: &Fitment, facts: &[(String, String)]) {
    let (mut least, mut most) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for point in &model.whole.points {
        (least, most) = (least.min(*point), most.max(*point));
    }
    let far = APART * (most - least).max_element();
    for (far, words, mark) in [(0.0, TOGETHER, "Assembly"), (far, DRAWN_APART, "Assembly, apart")] {
        folio.sheet(head(mark, "Parts and their order", facts));
        folio.paragraph(words, BODY);
        let half = 0.5 * (folio.room() - 6.0);
        let shifts = shifts(model, far);
        for (toward, from) in FROM {
            let view = View::new(toward, DVec3::Z);
            let picture = Picture { layout, model, view, shifts: &shifts, is_apart: far > 0.0 };
            picture.draw(folio, half, &format!("{from}: NOT TO SCALE"));
        }
    }
}

/// How far each part is drawn from its place: back on the way by which it was put in, from the part that it goes onto.
fn shifts(model: &Fitment, apart: f64) -> Vec<DVec3> {
    let mut shifts: Vec<DVec3> = Vec::new();
    for (index, plan) in model.division.parts.iter().enumerate() {
        let onto = onto(model, index).into_iter().map(|(part, _)| part).min();
        let base = onto.map_or(DVec3::ZERO, |part| shifts[part]);
        shifts.push(base - plan.put_in.unwrap_or(DVec3::ZERO) * apart);
    }
    shifts
}

/// The parts before it that a part goes onto, each with the index of the joint.
pub fn onto(model: &Fitment, part: usize) -> Vec<(usize, usize)> {
    let joinings = 0..model.division.joinings.len();
    let others = joinings.filter_map(|joining| match model.division.sides(joining) {
        [a, b] if a == part && b < part => Some((b, joining)),
        [a, b] if b == part && a < part => Some((a, joining)),
        _ => None,
    });
    others.collect()
}

/// All parts as they are seen from one side.
struct Picture<'a> {
    layout: &'a Layout,
    model: &'a Fitment,
    view: View,
    /// How far each part is drawn from its place.
    shifts: &'a [DVec3],
    /// Whether spigots are out of their sockets.
    is_apart: bool,
}

impl Picture<'_> {
    /// Draws it below its title, at most `height` mm high.
    fn draw(&self, folio: &mut Folio, height: f64, title: &str) {
        let marks = self.marks();
        let [[left, right], [bottom, top]] = extent(&marks);
        let width = folio.width() - 2.0 * BESIDE;
        let scale = ((right - left) / width).max((top - bottom) / (height - 6.0)).max(1e-6);
        let middle = folio.left() + 0.5 * folio.width() - 0.5 * (right - left) / scale;
        let first = folio.y + 5.0;
        let at = |[x, y]: Point| [middle + (x - left) / scale, first + (top - y) / scale];
        let (edge, canvas) = (folio.left(), folio.canvas());
        canvas.words([edge, first - 2.0], title, LABEL);
        paint(canvas, marks, at);
        for [a, b] in self.joints().map(|ends| ends.map(|end| at(self.view.flat(end)))) {
            if (a[0] - b[0]).abs().max((a[1] - b[1]).abs()) > 0.5 {
                canvas.line(&[a, b], WAY);
            }
        }
        let labels = self.labels(at);
        let dot = |[x, y]: Point| [x - DOT, y - DOT, 2.0 * DOT, 2.0 * DOT];
        let dots = labels.iter().map(|label| dot(label.point)).collect();
        labels::draw(canvas, labels, dots);
        folio.y = first + (top - bottom) / scale + 3.0;
    }

    fn marks(&self) -> Vec<Mark> {
        let drawn = if self.is_apart { part_view::part } else { part_view::outside };
        let mut marks: Vec<Mark> = Vec::new();
        for (index, shift) in self.shifts.iter().enumerate() {
            let by = [self.view.right, self.view.up, self.view.toward].map(|axis| shift.dot(axis));
            let shade = SHADES[index % SHADES.len()];
            let own = drawn(&self.view, self.layout, self.model, index);
            marks.extend(own.into_iter().map(|mark| mark.shaded(shade).moved(by)));
        }
        marks
    }

    /// Both sides of each joint.
    fn joints(&self) -> impl Iterator<Item = [DVec3; 2]> {
        self.model.division.joinings.iter().enumerate().map(|(index, joining)| {
            let place = self.model.strands[joining.strand].line.frame_at(joining.station).at;
            self.model.division.sides(index).map(|part| place + self.shifts[part])
        })
    }

    /// The parts' marks, then the joints' numbers; `at` puts a point of the view on the page.
    fn labels(&self, at: impl Fn(Point) -> Point) -> Vec<Label> {
        let put = |place: DVec3| at(self.view.flat(place));
        let parts = self.model.parts.iter().enumerate().filter_map(|(index, part)| {
            let place = middle(self.layout, self.model, index)? + self.shifts[index];
            Some(Label { text: part.mark.clone(), point: put(place), style: MARK })
        });
        let joints = self.model.division.joinings.iter().zip(self.joints()).map(|(joining, [a, b])| Label {
            text: joining.number.to_string(),
            point: put(0.5 * (a + b)),
            style: NUMBER,
        });
        parts.chain(joints).collect()
    }
}

/// Least and most of what is drawn, to the right and up, mm.
pub fn extent(marks: &[Mark]) -> [[f64; 2]; 2] {
    let mut extent = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    for point in marks.iter().flat_map(Mark::points) {
        for (side, value) in extent.iter_mut().zip(point) {
            *side = [side[0].min(value), side[1].max(value)];
        }
    }
    extent
}

/// The middle of a part's longest length on a run.
pub fn middle(layout: &Layout, model: &Fitment, part: usize) -> Option<DVec3> {
    let lengths = model.division.parts[part].stretches.iter().map(|stretch| {
        let strand = &model.strands[stretch.strand];
        let end = strand.origin + layout.runs[strand.run].length();
        let (from, to) = (stretch.from.max(strand.origin), stretch.to.min(end));
        (to - from, strand.line.frame_at(0.5 * (from + to)).at)
    });
    lengths.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, place)| place)
}
