//! A page of ink: lines, areas and words in mm, not yet in any file format.

/// A page. The origin is its top left corner, x grows to the right and y down, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Canvas {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What is on it, in the order of drawing.
    pub inks: Vec<Ink>,
}

/// A point on a page, mm.
pub type Point = [f64; 2];

/// One thing drawn on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Ink {
    /// A line through two or more points.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// How it is drawn.
        pen: Pen,
    },
    /// A filled polygon.
    Area {
        /// Its corners.
        points: Vec<Point>,
        /// How light it is: 0 black, 1 white.
        grey: f64,
    },
    /// Words on one line.
    Words {
        /// The text.
        text: String,
        /// Where the baseline begins, is centred or ends.
        at: Point,
        /// How they look.
        style: Style,
        /// Clockwise turn about `at`, in quarter turns.
        quarter_turns: u8,
    },
    /// Ink that shows only inside a rectangle: the corner nearest the origin, then width and height.
    Window {
        /// The rectangle, mm.
        frame: [f64; 4],
        /// What is seen through it.
        inks: Vec<Ink>,
    },
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Width, mm.
    pub width: f64,
    /// How light it is: 0 black, 1 white.
    pub grey: f64,
    /// Lengths of dash and gap, mm; `None` for a solid line.
    pub dash: Option<[f64; 2]>,
}

/// How words look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Height of a capital or a figure, mm.
    pub cap: f64,
    /// Bold or regular.
    pub weight: Weight,
    /// Which part of them is at the given point.
    pub align: Align,
    /// How light they are: 0 black, 1 white.
    pub grey: f64,
}

/// Weight of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// For words.
    Regular,
    /// For figures and headings.
    Bold,
}

/// Which part of words, or of a table's cell, is at the given point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Their left end.
    Left,
    /// Their middle.
    Centre,
    /// Their right end.
    Right,
}

impl Pen {
    /// A solid black line `width` mm wide.
    pub const fn solid(width: f64) -> Pen {
        Pen { width, grey: 0.0, dash: None }
    }

    /// A dashed black line `width` mm wide.
    pub const fn dashed(width: f64) -> Pen {
        Pen { width, grey: 0.0, dash: Some([2.0, 1.2]) }
    }

    /// The same line, lighter.
    pub const fn grey(self, grey: f64) -> Pen {
        Pen { grey, ..self }
    }
}

impl Style {
    /// Regular black words from the left, `cap` mm high.
    pub const fn plain(cap: f64) -> Style {
        Style { cap, weight: Weight::Regular, align: Align::Left, grey: 0.0 }
    }

    /// Bold black words from the left, `cap` mm high.
    pub const fn bold(cap: f64) -> Style {
        Style { weight: Weight::Bold, ..Style::plain(cap) }
    }

    /// The same words, aligned otherwise.
    pub const fn align(self, align: Align) -> Style {
        Style { align, ..self }
    }

    /// The same words, lighter.
    pub const fn grey(self, grey: f64) -> Style {
        Style { grey, ..self }
    }
}

impl Canvas {
    /// An empty page of `width` by `height` mm.
    pub fn new(width: f64, height: f64) -> Canvas {
        Canvas { width, height, inks: Vec::new() }
    }

    /// Writes `text` with its baseline at `at`.
    pub fn words(&mut self, at: Point, text: impl Into<String>, style: Style) {
        self.inks.push(Ink::Words { text: text.into(), at, style, quarter_turns: 0 });
    }

    /// Writes `text` turned clockwise by quarter turns about `at`.
    pub fn turned_words(&mut self, at: Point, text: impl Into<String>, style: Style, quarter_turns: u8) {
        self.inks.push(Ink::Words { text: text.into(), at, style, quarter_turns });
    }

    /// Draws a line through `points`.
    pub fn line(&mut self, points: &[Point], pen: Pen) {
        self.inks.push(Ink::Line { points: points.to_vec(), pen });
    }

    /// Draws the outline of a rectangle from its top left corner.
    pub fn rect(&mut self, at: Point, width: f64, height: f64, pen: Pen) {
        let mut points = corners(at, width, height);
        points.push(at);
        self.inks.push(Ink::Line { points, pen });
    }

    /// Fills a rectangle from its top left corner.
    pub fn fill(&mut self, at: Point, width: f64, height: f64, grey: f64) {
        self.inks.push(Ink::Area { points: corners(at, width, height), grey });
    }

    /// Fills a polygon.
    pub fn area(&mut self, points: &[Point], grey: f64) {
        self.inks.push(Ink::Area { points: points.to_vec(), grey });
    }

    /// Every text on the page, in the order of drawing.
    pub fn texts(&self) -> Vec<&str> {
        texts(&self.inks)
    }
}

impl Ink {
    /// The same ink, `dx` to the right and `dy` down, mm.
    pub fn moved(&self, dx: f64, dy: f64) -> Ink {
        let shift = |points: &[Point]| points.iter().map(|p| [p[0] + dx, p[1] + dy]).collect();
        match self {
            Ink::Line { points, pen } => Ink::Line { points: shift(points), pen: *pen },
            Ink::Area { points, grey } => Ink::Area { points: shift(points), grey: *grey },
            Ink::Words { text, at, style, quarter_turns } => Ink::Words {
                text: text.clone(),
                at: [at[0] + dx, at[1] + dy],
                style: *style,
                quarter_turns: *quarter_turns,
            },
            Ink::Window { frame: [x, y, w, h], inks } => Ink::Window {
                frame: [x + dx, y + dy, *w, *h],
                inks: inks.iter().map(|ink| ink.moved(dx, dy)).collect(),
            },
        }
    }
}

fn texts(inks: &[Ink]) -> Vec<&str> {
    let mut found = Vec::new();
    for ink in inks {
        match ink {
            Ink::Words { text, .. } => found.push(text.as_str()),
            Ink::Window { inks, .. } => found.extend(texts(inks)),
            Ink::Line { .. } | Ink::Area { .. } => {}
        }
    }
    found
}

fn corners([x, y]: Point, width: f64, height: f64) -> Vec<Point> {
    vec![[x, y], [x + width, y], [x + width, y + height], [x, y + height]]
}
