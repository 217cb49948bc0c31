//! A table that wraps its cells and repeats its head on the next page.

use crate::canvas::{Align, Pen, Style};
use crate::folio::{Folio, LABEL};
use crate::font::{self, wrap};

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its heading.
    pub title: &'static str,
    /// Its share of the page's width, against those of the other columns.
    pub share: f64,
    /// How its cells look.
    pub style: Style,
}

/// A table of words and figures.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, a cell for each column.
    pub rows: Vec<Vec<String>>,
}

/// Space between columns, mm.
const GUTTER: f64 = 3.0;
/// Space above and below a row's words, mm.
const PADDING: f64 = 1.7;
/// Letters are never set smaller than this, mm.
const SMALLEST: f64 = 1.6;

/// A cell ready to be drawn.
struct Cell {
    lines: Vec<String>,
    style: Style,
}

impl Column {
    /// A column of words from the left.
    pub fn words(title: &'static str, share: f64) -> Column {
        Column { title, share, style: Style::plain(2.3) }
    }

    /// A column of figures to the right.
    pub fn numbers(title: &'static str, share: f64) -> Column {
        Column { title, share, style: Style::plain(2.3).align(Align::Right) }
    }

    /// The same column set otherwise; its alignment stays.
    pub fn set(self, style: Style) -> Column {
        let align = self.style.align;
        Column { style: style.align(align), ..self }
    }
}

impl Table {
    /// A table without rows.
    pub fn new(columns: Vec<Column>) -> Table {
        Table { columns, rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<String>) {
        debug_assert_eq!(cells.len(), self.columns.len());
        self.rows.push(cells);
    }

    /// How many of its rows, from the first, fit below its head into `room` mm of height on a page `width` mm wide.
    pub fn fitting(&self, width: f64, room: f64) -> usize {
        let widths = self.widths(width);
        let titles = self.columns.iter().zip(&widths).map(|(c, width)| wrap(c.title, &LABEL, *width).len());
        let mut left = room - head_height(titles.max().unwrap_or(1));
        let heights = self.rows.iter().map(|row| self.row_height(&self.cells(row, &widths)));
        heights
            .take_while(|height| {
                left -= height;
                left >= 0.0
            })
            .count()
    }

    /// Draws the table at the cursor, over as many pages as it takes.
    pub fn draw(&self, folio: &mut Folio) {
        let widths = self.widths(folio.width());
        folio.need(20.0);
        self.draw_head(folio, &widths);
        for row in &self.rows {
            let cells = self.cells(row, &widths);
            let height = self.row_height(&cells);
            if folio.need(height) {
                self.draw_head(folio, &widths);
            }
            self.draw_row(folio, &widths, &cells, height);
        }
        folio.y += 1.5;
    }

    fn widths(&self, room: f64) -> Vec<f64> {
        let total: f64 = self.columns.iter().map(|c| c.share).sum();
        let room = room - GUTTER * (self.columns.len() as f64 - 1.0);
        self.columns.iter().map(|c| room * c.share / total).collect()
    }

    fn cells(&self, row: &[String], widths: &[f64]) -> Vec<Cell> {
        let columns = self.columns.iter().zip(widths);
        row.iter().zip(columns).map(|(text, (column, width))| Cell::new(text, column.style, *width)).collect()
    }

    fn row_height(&self, cells: &[Cell]) -> f64 {
        let height = |cell: &Cell| cell.style.cap * (1.0 + 1.65 * (cell.lines.len() as f64 - 1.0));
        cells.iter().map(height).fold(0.0, f64::max) + 2.0 * PADDING
    }

    fn draw_head(&self, folio: &mut Folio, widths: &[f64]) {
        let titles: Vec<Vec<String>> = self
            .columns
            .iter()
            .zip(widths)
            .map(|(column, width)| wrap(column.title, &LABEL, *width))
            .collect();
        let lines = titles.iter().map(Vec::len).max().unwrap_or(1);
        let (left, right, top) = (folio.left(), folio.right(), folio.y);
        let bottom = top + head_height(lines);
        let mut x = left;
        for ((column, width), title) in self.columns.iter().zip(widths).zip(titles) {
            let first = bottom - 1.2 - 3.0 * (title.len() as f64 - 1.0);
            for (i, line) in title.into_iter().enumerate() {
                let at = [anchor(x, *width, column.style.align), first + 3.0 * i as f64];
                folio.canvas().words(at, line, LABEL.align(column.style.align));
            }
            x += width + GUTTER;
        }
        folio.canvas().line(&[[left, bottom], [right, bottom]], Pen::solid(0.35));
        folio.y = bottom;
    }

    fn draw_row(&self, folio: &mut Folio, widths: &[f64], cells: &[Cell], height: f64) {
        let (left, right, top) = (folio.left(), folio.right(), folio.y);
        let tallest = cells.iter().map(|c| c.style.cap).fold(0.0, f64::max);
        let mut x = left;
        for (cell, width) in cells.iter().zip(widths) {
            let style = cell.style;
            // A single line stands on the baseline of the row's largest figure.
            let base = top + PADDING + if cell.lines.len() == 1 { tallest } else { style.cap };
            for (i, line) in cell.lines.iter().enumerate() {
                let y = base + style.cap * 1.65 * i as f64;
                folio.canvas().words([anchor(x, *width, style.align), y], line.clone(), style);
            }
            x += width + GUTTER;
        }
        let bottom = top + height;
        folio.canvas().line(&[[left, bottom], [right, bottom]], Pen::solid(0.12).grey(0.6));
        folio.y = bottom;
    }
}

impl Cell {
    /// `text` wrapped to `width` mm, and set smaller where one of its words is wider than that.
    fn new(text: &str, style: Style, width: f64) -> Cell {
        let mut style = style;
        let widest = |style: &Style| text.split(' ').map(|w| font::width(w, style)).fold(0.0, f64::max);
        while widest(&style) > width && style.cap > SMALLEST {
            style.cap -= 0.1;
        }
        Cell { lines: wrap(text, &style, width), style }
    }
}

/// Height of a head whose titles take so many lines, mm.
fn head_height(lines: usize) -> f64 {
    1.8 + 3.0 * lines as f64
}

fn anchor(x: f64, width: f64, align: Align) -> f64 {
    match align {
        Align::Left => x,
        Align::Centre => x + 0.5 * width,
        Align::Right => x + width,
    }
}
