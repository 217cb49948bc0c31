//! The pages of one document: paper, margins, heads, and a cursor that breaks to the next page.

use layout::Layout;
use spec::design::Paper;
use spec::{Design, Level};

use crate::canvas::{Align, Canvas, Pen, Style};
use crate::font::{width, wrap};

/// Margin of a printed page, mm.
pub const MARGIN: f64 = 12.0;
/// Room that the foot takes, mm.
const FOOT: f64 = 8.0;
/// Reasons printed in full across a head; the rest stand on the summary.
const REASONS: usize = 3;

/// Body text.
pub const BODY: Style = Style::plain(2.3);
/// A label above a figure.
pub const LABEL: Style = Style::plain(1.8).grey(0.25);
/// A figure to be read across a bench.
pub const FIGURE: Style = Style::bold(5.0);
/// The heading of a part of a sheet.
pub const HEADING: Style = Style::bold(3.0);

/// The head of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The mark, or what the sheet is called: printed largest.
    pub mark: String,
    /// What kind of sheet it is.
    pub title: String,
    /// Labels and figures in one row below: quantity, alloy and the like.
    pub facts: Vec<(String, String)>,
    /// Names that this sheet is about: reasons against its release that name them come first.
    pub about: Vec<String>,
}

/// A document being laid out.
#[derive(Clone, Debug)]
pub struct Folio {
    /// Where the next thing goes: its top, mm from the top of the page.
    pub y: f64,
    size: [f64; 2],
    foot: String,
    /// Places and messages of the failures, if any.
    reasons: Vec<(String, String)>,
    head: Option<Head>,
    pages: Vec<Canvas>,
}

/// Width and height of a paper, mm.
pub fn size(paper: Paper) -> [f64; 2] {
    match paper {
        Paper::A4 => [210.0, 297.0],
        Paper::Letter => [215.9, 279.4],
    }
}

impl Folio {
    /// A document without pages, `name` in its foot.
    pub fn new(design: &Design, layout: &Layout, name: &str) -> Folio {
        Folio {
            y: 0.0,
            size: size(design.paper),
            foot: format!("{} · {name}", design.name),
            reasons: reasons(layout),
            head: None,
            pages: Vec::new(),
        }
    }

    /// A document on the same paper with the same reasons, without pages.
    pub fn blank(&self) -> Folio {
        Folio {
            y: 0.0,
            foot: String::new(),
            reasons: self.reasons.clone(),
            head: None,
            pages: Vec::new(),
            ..*self
        }
    }

    /// How many pages it has.
    pub fn count(&self) -> usize {
        self.pages.len()
    }

    /// Draws what belongs together: on a new page where this one has not enough room and a whole one has.
    pub fn together(&mut self, draw: impl Fn(&mut Folio)) {
        let mut trial = self.blank();
        trial.head.clone_from(&self.head);
        trial.page(true);
        let (top, pages) = (trial.y, trial.count());
        draw(&mut trial);
        if trial.count() == pages {
            self.need(trial.y - top);
        }
        draw(self);
    }

    /// Left edge of what is printed, mm.
    pub fn left(&self) -> f64 {
        MARGIN
    }

    /// Right edge of what is printed, mm.
    pub fn right(&self) -> f64 {
        self.size[0] - MARGIN
    }

    /// Width of what is printed, mm.
    pub fn width(&self) -> f64 {
        self.right() - self.left()
    }

    /// Height left on the page, mm.
    pub fn room(&self) -> f64 {
        self.size[1] - MARGIN - FOOT - self.y
    }

    /// Begins a sheet on a new page.
    pub fn sheet(&mut self, head: Head) {
        self.head = Some(head);
        self.page(false);
    }

    /// Goes on to a new page of the same sheet unless `height` mm are left on this one. Says whether it did.
    pub fn need(&mut self, height: f64) -> bool {
        let full = self.y + height > self.size[1] - MARGIN - FOOT;
        if full {
            self.page(true);
        }
        full
    }

    /// The page being drawn.
    pub fn canvas(&mut self) -> &mut Canvas {
        if self.pages.is_empty() {
            self.page(false);
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// A heading, with room kept for a few lines or the first row of a table below it.
    pub fn heading(&mut self, text: &str) {
        self.need(32.0);
        self.y += 3.0 + HEADING.cap;
        let at = [self.left(), self.y];
        self.canvas().words(at, text, HEADING);
        self.y += 3.0;
    }

    /// Words wrapped to the page's width.
    pub fn paragraph(&mut self, text: &str, style: Style) {
        self.item("", text, style);
    }

    /// Words wrapped beside a sign or number that stands alone at the left.
    pub fn item(&mut self, sign: &str, text: &str, style: Style) {
        let indent = if sign.is_empty() { 0.0 } else { 6.0 };
        let mut first = true;
        let lines = wrap(text, &style, self.width() - indent);
        // A few lines stay together: none of them stands alone on the next page.
        self.need(style.cap * 1.9 * lines.len().min(5) as f64);
        for line in lines {
            self.need(style.cap * 1.9);
            self.y += style.cap * 1.75;
            let (left, y) = (self.left(), self.y);
            if first {
                self.canvas().words([left, y], sign, style);
            }
            self.canvas().words([left + indent, y], line, style);
            first = false;
        }
        self.y += style.cap * 0.7;
    }

    /// A row of labels, each above its figure, set as `style`; the room is shared evenly by what they need.
    pub fn figures(&mut self, figures: &[(String, String)], style: Style) {
        self.need(style.cap + 9.0);
        let (left, top, room) = (self.left(), self.y, self.width());
        let needs: Vec<f64> =
            figures.iter().map(|(label, value)| width(value, &style).max(width(label, &LABEL))).collect();
        let total: f64 = needs.iter().sum();
        let gap = ((room - total) / needs.len().max(1) as f64).clamp(3.0, 16.0);
        let mut x = left;
        for ((label, value), need) in figures.iter().zip(needs) {
            let canvas = self.canvas();
            canvas.words([x, top + 3.5], label, LABEL);
            canvas.words([x, top + 5.6 + style.cap], value, style);
            x += need + gap;
        }
        self.y = top + style.cap + 8.5;
    }

    /// A thin line across.
    pub fn rule(&mut self) {
        let (left, right, y) = (self.left(), self.right(), self.y);
        self.canvas().line(&[[left, y], [right, y]], Pen::solid(0.2).grey(0.5));
        self.y += 1.0;
    }

    /// The pages, without a foot.
    pub fn finish_plain(self) -> Vec<Canvas> {
        self.pages
    }

    /// The pages, each with its number.
    pub fn finish(mut self) -> Vec<Canvas> {
        let (count, foot, size) = (self.pages.len(), self.foot.clone(), self.size);
        for (i, page) in self.pages.iter_mut().enumerate() {
            let y = size[1] - MARGIN + 1.0;
            page.line(&[[MARGIN, y - 4.0], [size[0] - MARGIN, y - 4.0]], Pen::solid(0.15).grey(0.5));
            page.words([MARGIN, y], foot.clone(), LABEL);
            let number = format!("page {} of {count}", i + 1);
            page.words([size[0] - MARGIN, y], number, LABEL.align(Align::Right));
        }
        self.pages
    }

    fn page(&mut self, continued: bool) {
        self.pages.push(Canvas::new(self.size[0], self.size[1]));
        self.y = MARGIN;
        if let Some(head) = self.head.clone() {
            self.banner(&head.about);
            self.draw_head(&head, continued);
        }
    }

    /// NOT RELEASED and why, white on black across the head.
    fn banner(&mut self, about: &[String]) {
        if self.reasons.is_empty() {
            return;
        }
        let (left, top, room) = (self.left(), self.y, self.width());
        let height = not_released(self.canvas_and_reasons(), about, [left, top], room);
        self.y = top + height + 2.0;
    }

    fn canvas_and_reasons(&mut self) -> (&mut Canvas, &[(String, String)]) {
        let last = self.pages.len() - 1;
        (&mut self.pages[last], &self.reasons)
    }

    fn draw_head(&mut self, head: &Head, continued: bool) {
        let (left, right, top) = (self.left(), self.right(), self.y);
        let title = if continued { format!("{}, continued", head.title) } else { head.title.clone() };
        let big = Style::bold(if head.mark.chars().count() > 18 { 5.5 } else { 8.0 });
        let canvas = self.canvas();
        canvas.words([left, top + 8.0], head.mark.clone(), big);
        canvas.words([right, top + 8.0], title, Style::plain(3.4).align(Align::Right));
        self.y = top + 10.0;
        if !head.facts.is_empty() {
            self.figures(&head.facts, Style::bold(3.6));
        }
        self.y += 1.0;
        let y = self.y;
        self.canvas().line(&[[left, y], [right, y]], Pen::solid(0.6));
        self.y += 2.0;
    }
}

/// Places and messages of what keeps a layout from being released.
pub fn reasons(layout: &Layout) -> Vec<(String, String)> {
    let failures = layout.findings.iter().filter(|f| f.level == Level::Failure);
    failures.map(|f| (f.place.clone(), f.message.clone())).collect()
}

/// Draws NOT RELEASED with the reasons, those about `about` first, in a black box `room` mm wide from
/// its top left corner `at`. Returns its height, mm.
pub fn not_released(
    (canvas, reasons): (&mut Canvas, &[(String, String)]),
    about: &[String],
    [left, top]: [f64; 2],
    room: f64,
) -> f64 {
    let small = Style::plain(2.0).grey(1.0);
    let (mut first, rest): (Vec<_>, Vec<_>) = reasons.iter().partition(|(place, _)| about.contains(place));
    first.extend(rest);
    let mut lines = Vec::new();
    for (place, message) in first.iter().take(REASONS) {
        lines.extend(wrap(&format!("{place}: {message}"), &small, room - 6.0));
    }
    if first.len() > REASONS {
        lines.push(format!("and {} more, see the summary", first.len() - REASONS));
    }
    let height = 9.5 + 3.5 * lines.len() as f64;
    canvas.fill([left, top], room, height, 0.0);
    canvas.words([left + 3.0, top + 7.0], "NOT RELEASED", Style::bold(5.0).grey(1.0));
    for (i, line) in lines.into_iter().enumerate() {
        canvas.words([left + 3.0, top + 11.0 + 3.5 * i as f64], line, small);
    }
    height
}
