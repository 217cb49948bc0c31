//! Figures sunk into a tube: strokes of one width, bent around it.

use geom::math::sin_cos;
use geom::{DVec3, Frame};
use manifold_rust::cross_section::CrossSection;
use manifold_rust::linalg::Vec2;
use manifold_rust::manifold::Manifold;
use solids::{Mesh, MeshFault};
use tube::Centreline;

use crate::glyph::{self, Stroke};
use crate::unite::{single, vector};

/// A line of text and how it is cut. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// What it says. `>` is an arrow along it, `^` one up. Small letters become large ones; what no glyph is known
    /// for becomes a box.
    pub text: String,
    /// Height of a figure.
    pub height: f64,
    /// Width of its strokes.
    pub stroke: f64,
    /// How deep it is sunk.
    pub depth: f64,
}

/// Where text stands: x along the text, y up, z out of the material.
#[derive(Clone, Debug, PartialEq)]
pub enum Surface {
    /// On the outside of a tube, around a place of its line; reads downstream, or upstream.
    Tube {
        /// The line.
        line: Centreline,
        /// The middle of the text along it, mm.
        station: f64,
        /// The middle of the text around it, rad.
        clock: f64,
        /// Radius of the outside, mm.
        radius: f64,
        /// Which way the text runs.
        way: Way,
    },
    /// On a flat: the text's middle at `at`, reading along `inside`, out of the material along `along`.
    Flat(Frame),
}

/// Which way text runs on a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Along the line, downstream.
    Along,
    /// Around it, clock rising, its top downstream.
    Around,
}

impl Figures {
    /// Figures 6 mm high, sunk 0.6 mm, their strokes two widths of the nozzle and at least 0.8 mm wide.
    pub fn new(text: &str, nozzle: f64) -> Figures {
        Figures { text: text.to_owned(), height: 6.0, stroke: (2.0 * nozzle).max(0.8), depth: 0.6 }
    }

    /// Length and height of the text with its strokes' width, mm.
    pub fn size(&self) -> [f64; 2] {
        let across = glyph::width(&self.text) * self.height / glyph::HEIGHT;
        [across + self.stroke, self.height + self.stroke]
    }

    /// What is to be taken away: every stroke as deep as it is sunk, and reaching out of the surface.
    ///
    /// Errors when the text has no strokes, or when the surface folds them.
    pub fn sunk(&self, surface: &Surface) -> Result<Mesh, MeshFault> {
        let scale = self.height / glyph::HEIGHT;
        let middle = [0.5 * glyph::width(&self.text), 0.5 * glyph::HEIGHT];
        let place = |[x, y]: [f64; 2]| Vec2::new((x - middle[0]) * scale, (y - middle[1]) * scale);
        let strokes: Vec<Stroke> = glyph::strokes(&self.text);
        let bars = strokes.iter().flat_map(|stroke| stroke.windows(2)).map(|ends| {
            let [from, to] = [place(ends[0]), place(ends[1])];
            bar(from, to, 0.5 * self.stroke)
        });
        let flat = CrossSection::new(bars.collect()).simplify(CORNER);
        let high = self.depth + PROUD;
        let upright = Manifold::extrude(&flat.to_polygons(), high, 0, 0.0, Vec2::new(1.0, 1.0));
        let fine = upright.refine_to_length(FINE);
        single(&fine.warp(|v| *v = vector(surface.point(DVec3::new(v.x, v.y, v.z - self.depth)))))
    }
}

impl Surface {
    /// The place in space of a point of the text: x along it, y up, z out of the surface, mm.
    pub fn point(&self, text: DVec3) -> DVec3 {
        match self {
            Surface::Flat(frame) => {
                frame.at + frame.inside * text.x + frame.side() * text.y + frame.along * text.z
            }
            Surface::Tube { line, station, clock, radius, way } => {
                let (along, around) = match way {
                    Way::Along => (text.x, -text.y),
                    Way::Around => (text.y, text.x),
                };
                let frame = line.frame_at(station + along);
                frame.point(0.0, clock + around / radius, radius + text.z)
            }
        }
    }

    /// The frame of its middle, `along` out of the material, `inside` along the text; none where it is folded there.
    pub fn frame(&self) -> Option<Frame> {
        let at = self.point(DVec3::ZERO);
        let [x, out] = [DVec3::X, DVec3::Z].map(|axis| self.point(axis * SHORT) - at);
        Frame::new(at, out, x)
    }
}

/// A bar with round ends, anticlockwise.
fn bar(from: Vec2, to: Vec2, radius: f64) -> Vec<Vec2> {
    let along = geom::math::atan2(to.y - from.y, to.x - from.x);
    let round = |middle: Vec2, begin: f64| {
        (0..=ROUND).map(move |k| {
            let (s, c) = sin_cos(begin + std::f64::consts::PI * f64::from(k) / f64::from(ROUND));
            Vec2::new(middle.x + radius * c, middle.y + radius * s)
        })
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    round(to, along - quarter).chain(round(from, along + quarter)).collect()
}

/// How far a cutter stands out of the surface it cuts, mm.
const PROUD: f64 = 0.5;

/// Edges of figures are at most so long, so that they follow a tube, mm.
const FINE: f64 = 1.5;

/// Over what length a direction on a surface is taken, mm.
const SHORT: f64 = 1e-3;

/// Corners nearer than this to a line are left out, mm.
const CORNER: f64 = 0.01;

/// Into how many parts a stroke's round end is divided.
const ROUND: u32 = 6;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::NoStore;
    use crate::unite::combined;
    use crate::unite::tests::disc;
    use std::f64::consts::PI;
    use tube::Segment;

    fn bent() -> Centreline {
        let start = Frame::new(DVec3::new(40.0, 5.0, 9.0), DVec3::X, DVec3::Z).unwrap();
        let arc = Segment::Arc { radius: 60.0, angle: 1.2, twist: 0.7 };
        Centreline { start, segments: vec![Segment::Straight { length: 30.0 }, arc] }
    }

    /// Every known glyph gives a solid, on a flat and on a tube, whose depth is as asked.
    #[test]
    fn every_glyph_is_a_solid_as_deep_as_asked() {
        for text in glyph::KNOWN.chars() {
            let figures = Figures { depth: 0.7, ..Figures::new(&text.to_string(), 0.4) };
            let flat =
                figures.sunk(&Surface::Flat(Frame::new(DVec3::ZERO, DVec3::Z, DVec3::X).unwrap())).unwrap();
            let lowest = flat.points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
            assert!((lowest + 0.7).abs() < 1e-6, "{text}: {lowest}");
            // The middle of its depth stands 0.1 mm below the outside, where what is around is so much shorter.
            let around =
                Surface::Tube { line: bent(), station: 15.0, clock: 2.0, radius: 19.0, way: Way::Around };
            let ratio = figures.sunk(&around).unwrap().volume() / flat.volume();
            assert!((ratio - (1.0 - 0.1 / 19.0)).abs() < 5e-3, "{text}: {ratio}");
            let bend =
                Surface::Tube { line: bent(), station: 70.0, clock: 2.0, radius: 19.0, way: Way::Along };
            figures.sunk(&bend).unwrap();
        }
    }

    /// A bar's volume by hand: its length and two half circles, by depth.
    #[test]
    fn a_dash_has_the_volume_of_a_bar() {
        let figures = Figures { text: "-".to_owned(), height: 6.0, stroke: 1.0, depth: 0.5 };
        let dash =
            figures.sunk(&Surface::Flat(Frame::new(DVec3::ZERO, DVec3::Z, DVec3::X).unwrap())).unwrap();
        let length = figures.size()[0] - figures.stroke;
        let exact = (length + PI / 4.0) * (0.5 + PROUD);
        assert!((dash.volume() / exact - 1.0).abs() < 0.02, "{} {exact}", dash.volume());
    }

    /// Seen from outside with the flow to the right, text along a tube reads from left to right, not mirrored.
    #[test]
    fn text_is_not_mirrored() {
        for way in [Way::Along, Way::Around] {
            let surface = Surface::Tube { line: bent(), station: 15.0, clock: 0.3, radius: 19.0, way };
            let [o, x, y, z] = [DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::Z].map(|p| surface.point(p * 1e-3));
            assert!((x - o).cross(y - o).dot(z - o) > 0.99e-9);
        }
    }

    /// Sunk into a tube in a bend it takes away its own volume below the surface.
    #[test]
    fn sinking_figures_takes_their_volume() {
        let start = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let tube = disc(&start, 20.0, [0.0, 60.0]);
        let line = Centreline::straight(start, 60.0);
        let surface = Surface::Tube { line, station: 30.0, clock: 1.0, radius: 20.0, way: Way::Along };
        let figures = Figures::new("P12>", 0.4);
        let cutter = figures.sunk(&surface).unwrap();
        let left = combined(&[&tube], &[&cutter], &NoStore).unwrap();
        let share = figures.depth / (figures.depth + PROUD);
        let taken = (tube.volume() - left.volume()) / (cutter.volume() * share);
        assert!((taken - 1.0).abs() < 0.05, "{taken}");
    }
}
