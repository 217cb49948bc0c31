//! A drawing as SVG, 1:1 in mm.

use std::f64::consts::PI;

use svg::Document;
use svg::node::element::{Circle, Group, Line, Path};

use crate::drawing::{Drawing, Ink};
use crate::edge::Edge;
use crate::outline::Loop;

/// Room around the drawing, mm, so that its lines are not cut off.
const ROOM: f64 = 2.0;

/// Colour and dashes of each layer.
const STYLES: [(&str, &str, &str); 3] =
    [("cut", "#000000", "none"), ("etch", "#0000ff", "none"), ("centre", "#ff0000", "6 1.5 1.5 1.5")];

/// The drawing as an SVG document whose size is given in mm: one user unit is 1 mm, y upwards as in
/// the drawing. The layers are groups with the ids `cut`, `etch` and `centre`.
pub fn write(drawing: &Drawing) -> String {
    let (low, high) = drawing.bounds();
    let (width, height) = (high.x - low.x + 2.0 * ROOM, high.y - low.y + 2.0 * ROOM);
    // SVG's y points down: the drawing's is turned over.
    let place = format!("matrix(1 0 0 -1 {} {})", number(ROOM - low.x), number(high.y + ROOM));
    let mut document = Document::new()
        .set("width", format!("{}mm", number(width)))
        .set("height", format!("{}mm", number(height)))
        .set("viewBox", format!("0 0 {} {}", number(width), number(height)));
    for ((name, ink), (_, colour, dashes)) in drawing.layers().into_iter().zip(STYLES) {
        let group = Group::new()
            .set("id", name)
            .set("transform", place.as_str())
            .set("fill", "none")
            .set("stroke", colour)
            .set("stroke-width", "0.1")
            .set("stroke-dasharray", dashes);
        document = document.add(ink.iter().fold(group, add));
    }
    format!("{document}\n")
}

fn add(group: Group, ink: &Ink) -> Group {
    match ink {
        Ink::Line { from, to } => group.add(
            Line::new()
                .set("x1", number(from.x))
                .set("y1", number(from.y))
                .set("x2", number(to.x))
                .set("y2", number(to.y)),
        ),
        Ink::Loop(outline) => match outline.as_circle() {
            Some((centre, radius)) => group.add(
                Circle::new()
                    .set("cx", number(centre.x))
                    .set("cy", number(centre.y))
                    .set("r", number(radius)),
            ),
            None => group.add(Path::new().set("d", path(outline))),
        },
    }
}

/// A loop as path data. Arcs of more than half a turn are SVG's large ones.
fn path(outline: &Loop) -> String {
    let mut text = String::new();
    for (k, edge) in outline.edges.iter().enumerate() {
        if k == 0 {
            text = format!("M{} {}", number(edge.from().x), number(edge.from().y));
        }
        let (x, y) = (number(edge.to().x), number(edge.to().y));
        text += &match *edge {
            Edge::Line { .. } => format!(" L{x} {y}"),
            Edge::Arc { radius, turn, .. } => {
                let (large, sweep) = (u8::from(turn.abs() > PI), u8::from(turn > 0.0));
                format!(" A{r} {r} 0 {large} {sweep} {x} {y}", r = number(radius))
            }
        };
    }
    text + " Z"
}

/// A number to 1e-6 mm without trailing noughts.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
