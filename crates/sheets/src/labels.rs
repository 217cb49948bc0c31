//! Labels on a picture, each beside its point with a line to it, clear of each other.

use crate::canvas::{Canvas, Pen, Point, Style};
use crate::font::width;

/// A text about a point.
#[derive(Clone, Debug)]
pub struct Label {
    /// The text.
    pub text: String,
    /// The point on the page, mm.
    pub point: Point,
    /// How the text looks.
    pub style: Style,
}

/// Draws labels, each in the first free place around its point that is not `taken`, with a line to it. Boxes are a
/// corner, width and height, mm.
pub fn draw(canvas: &mut Canvas, labels: impl IntoIterator<Item = Label>, mut taken: Vec<[f64; 4]>) {
    for Label { text, point, style } in labels {
        let size = [width(&text, &style) + 1.6, style.cap + 1.4];
        let frame = free(point, size, &taken);
        taken.push(frame);
        let [x, y, w, h] = frame;
        let foot = [point[0].clamp(x, x + w), point[1].clamp(y, y + h)];
        canvas.line(&[point, foot], Pen::solid(0.12));
        canvas.area(&dot(point), 0.0);
        canvas.fill([x, y], w, h, 1.0);
        canvas.rect([x, y], w, h, Pen::solid(0.08));
        canvas.words([x + 0.8, y + h - 0.7], text, style);
    }
}

/// The first of rings of places around a point where a label overlaps no other.
fn free(point: Point, [w, h]: [f64; 2], taken: &[[f64; 4]]) -> [f64; 4] {
    let apart = |a: &[f64; 4], b: &[f64; 4]| {
        a[0] + a[2] < b[0] || b[0] + b[2] < a[0] || a[1] + a[3] < b[1] || b[1] + b[3] < a[1]
    };
    let places = (1..=8).flat_map(|ring| {
        (0..8).map(move |k| {
            let (s, c) = geom::math::sin_cos(std::f64::consts::FRAC_PI_4 * f64::from(k) - 0.4);
            let far = 3.0 * f64::from(ring);
            [point[0] + c * (far + 0.5 * w) - 0.5 * w, point[1] + s * (far + 0.5 * h) - 0.5 * h, w, h]
        })
    });
    let first = [point[0] + 3.0, point[1] - 3.0, w, h];
    places.into_iter().find(|p| taken.iter().all(|t| apart(p, t))).unwrap_or(first)
}

fn dot([x, y]: Point) -> Vec<Point> {
    let turn = |i: u32| geom::math::sin_cos(f64::from(i) * std::f64::consts::FRAC_PI_4);
    (0..8).map(|i| [x + 0.45 * turn(i).1, y + 0.45 * turn(i).0]).collect()
}
