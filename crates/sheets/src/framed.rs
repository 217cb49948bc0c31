//! A drawing whose canvas is just large enough.

use crate::canvas::{Canvas, Pen, Point};

/// A drawing whose canvas is just large enough.
pub struct Framed {
    origin: Point,
    /// The drawing.
    pub canvas: Canvas,
}

impl Framed {
    const PAD: f64 = 4.0;

    /// A canvas with room for `lines` and a little more.
    pub fn around(lines: &[&[Point]]) -> Framed {
        let bound = |axis: usize| {
            let values = lines.iter().flat_map(|line| line.iter().map(|p| p[axis]));
            (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
        };
        let ((x0, x1), (y0, y1)) = (bound(0), bound(1));
        let canvas = Canvas::new(x1 - x0 + 2.0 * Self::PAD, y1 - y0 + 2.0 * Self::PAD);
        Framed { origin: [x0 - Self::PAD, y0 - Self::PAD], canvas }
    }

    /// Where a point is on the canvas.
    pub fn at(&self, [x, y]: Point) -> Point {
        [x - self.origin[0], y - self.origin[1]]
    }

    /// Draws a line through points.
    pub fn line(&mut self, points: &[Point], pen: Pen) {
        let points: Vec<Point> = points.iter().map(|p| self.at(*p)).collect();
        self.canvas.line(&points, pen);
    }
}
