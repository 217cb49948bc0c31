//! A drawing as DXF R2000.

use std::fmt::Write;

use geom::math::tan;

use crate::drawing::{Drawing, Ink};
use crate::edge::Edge;
use crate::outline::Loop;

/// The drawing as ASCII DXF R2000 (AC1015) in mm: layers `cut`, `etch` and `centre`, loops as closed
/// light-weight polylines whose arcs are bulges, whole circles as circles.
///
/// No date and no random identity: the same drawing gives the same bytes.
pub fn write(drawing: &Drawing) -> String {
    let (low, high) = drawing.bounds();
    let layers = drawing.layers();
    let count: usize = layers.iter().map(|(_, ink)| ink.len()).sum();
    let mut out = Out { text: String::new(), next: FIRST_FREE };
    out.section("HEADER", |out| {
        out.texts(&[(9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252")]);
        out.texts(&[(9, "$HANDSEED"), (5, &format!("{:X}", FIRST_FREE as usize + count))]);
        out.texts(&[(9, "$INSUNITS"), (70, "4"), (9, "$MEASUREMENT"), (70, "1")]);
        out.text(9, "$EXTMIN");
        out.point(10, low.x, low.y);
        out.text(9, "$EXTMAX");
        out.point(10, high.x, high.y);
    });
    out.section("CLASSES", |_| ());
    out.section("TABLES", Out::tables);
    out.section("BLOCKS", Out::blocks);
    out.section("ENTITIES", |out| {
        for (layer, ink) in &layers {
            ink.iter().for_each(|ink| out.ink(layer, ink));
        }
    });
    out.section("OBJECTS", Out::objects);
    out.text(0, "EOF");
    out.text
}

/// Handles of what other records point to.
const MODEL: &str = "20";
const PAPER: &str = "21";
const ROOT: &str = "30";
const GROUPS: &str = "31";
/// The first handle that entities take; all fixed ones are below.
const FIRST_FREE: u32 = 0x100;

/// Layer, its colour number and its line type.
const LAYERS: [(&str, &str, &str); 4] = [
    ("0", "7", "CONTINUOUS"),
    ("cut", "7", "CONTINUOUS"),
    ("etch", "5", "CONTINUOUS"),
    ("centre", "1", "CENTER"),
];

/// The text written so far and the next free handle.
struct Out {
    text: String,
    next: u32,
}

impl Out {
    /// One pair of group code and value.
    fn text(&mut self, code: u32, value: &str) {
        // Writing into a String cannot fail.
        let _ = write!(self.text, "{code:>3}\n{value}\n");
    }

    fn texts(&mut self, pairs: &[(u32, &str)]) {
        pairs.iter().for_each(|(code, value)| self.text(*code, value));
    }

    fn number(&mut self, code: u32, value: f64) {
        self.text(code, &decimal(value));
    }

    /// A point in the plane: x, y and z under `code`, `code + 10` and `code + 20`.
    fn point(&mut self, code: u32, x: f64, y: f64) {
        self.number(code, x);
        self.number(code + 10, y);
        self.number(code + 20, 0.0);
    }

    fn section(&mut self, name: &str, body: impl FnOnce(&mut Out)) {
        self.texts(&[(0, "SECTION"), (2, name)]);
        body(self);
        self.text(0, "ENDSEC");
    }

    fn ink(&mut self, layer: &str, ink: &Ink) {
        match ink {
            Ink::Line { from, to } => {
                self.entity("LINE", layer, "AcDbLine");
                self.point(10, from.x, from.y);
                self.point(11, to.x, to.y);
            }
            Ink::Loop(outline) => match outline.as_circle() {
                Some((centre, radius)) => {
                    self.entity("CIRCLE", layer, "AcDbCircle");
                    self.point(10, centre.x, centre.y);
                    self.number(40, radius);
                }
                None => self.polyline(layer, outline),
            },
        }
    }

    fn polyline(&mut self, layer: &str, outline: &Loop) {
        self.entity("LWPOLYLINE", layer, "AcDbPolyline");
        self.texts(&[(90, &outline.edges.len().to_string()), (70, "1")]);
        self.number(43, 0.0);
        for edge in &outline.edges {
            self.number(10, edge.from().x);
            self.number(20, edge.from().y);
            if let Edge::Arc { turn, .. } = edge {
                self.number(42, tan(0.25 * turn));
            }
        }
    }

    fn entity(&mut self, kind: &str, layer: &str, class: &str) {
        let handle = format!("{:X}", self.next);
        self.next += 1;
        self.texts(&[(0, kind), (5, &handle), (330, MODEL), (100, "AcDbEntity"), (8, layer), (100, class)]);
    }

    fn tables(&mut self) {
        self.table("VPORT", "8", &[]);
        self.table(
            "LTYPE",
            "5",
            &[("10", "ByBlock"), ("11", "ByLayer"), ("12", "CONTINUOUS"), ("13", "CENTER")],
        );
        self.table("LAYER", "2", &[("14", "0"), ("15", "cut"), ("16", "etch"), ("17", "centre")]);
        self.table("STYLE", "3", &[("18", "Standard")]);
        self.table("VIEW", "6", &[]);
        self.table("UCS", "7", &[]);
        self.table("APPID", "9", &[("19", "ACAD")]);
        self.table("DIMSTYLE", "A", &[("1A", "Standard")]);
        self.table("BLOCK_RECORD", "1", &[(MODEL, "*Model_Space"), (PAPER, "*Paper_Space")]);
    }

    /// A symbol table and its records, as (handle, name).
    fn table(&mut self, kind: &str, handle: &str, records: &[(&str, &str)]) {
        self.texts(&[(0, "TABLE"), (2, kind), (5, handle), (330, "0"), (100, "AcDbSymbolTable")]);
        self.text(70, &records.len().to_string());
        if kind == "DIMSTYLE" {
            self.text(100, "AcDbDimStyleTable");
        }
        for (own, name) in records {
            let handle_code = if kind == "DIMSTYLE" { 105 } else { 5 };
            self.texts(&[(0, kind), (handle_code, own), (330, handle), (100, "AcDbSymbolTableRecord")]);
            self.record(kind, name);
        }
        self.text(0, "ENDTAB");
    }

    /// What a record of a symbol table holds besides its handle.
    fn record(&mut self, kind: &str, name: &str) {
        match kind {
            "LTYPE" => self.line_type(name),
            "LAYER" => {
                let (_, colour, line) = LAYERS.iter().find(|layer| layer.0 == name).unwrap_or(&LAYERS[0]);
                self.texts(&[(100, "AcDbLayerTableRecord"), (2, name), (70, "0"), (62, colour), (6, line)]);
            }
            "STYLE" => {
                self.texts(&[
                    (100, "AcDbTextStyleTableRecord"),
                    (2, name),
                    (70, "0"),
                    (40, "0.0"),
                    (41, "1.0"),
                ]);
                self.texts(&[(50, "0.0"), (71, "0"), (42, "2.5"), (3, "txt"), (4, "")]);
            }
            "APPID" => self.texts(&[(100, "AcDbRegAppTableRecord"), (2, name), (70, "0")]),
            "DIMSTYLE" => self.texts(&[(100, "AcDbDimStyleTableRecord"), (2, name), (70, "0")]),
            _ => self.texts(&[(100, "AcDbBlockTableRecord"), (2, name), (340, "0")]),
        }
    }

    fn line_type(&mut self, name: &str) {
        self.texts(&[(100, "AcDbLinetypeTableRecord"), (2, name), (70, "0")]);
        if name != "CENTER" {
            self.texts(&[(3, ""), (72, "65"), (73, "0"), (40, "0.0")]);
            return;
        }
        self.texts(&[(3, "Centre ____ _ ____"), (72, "65"), (73, "4"), (40, "20.0")]);
        for dash in ["12.5", "-2.5", "2.5", "-2.5"] {
            self.texts(&[(49, dash), (74, "0")]);
        }
    }

    fn blocks(&mut self) {
        for (record, name, begin, end) in
            [(MODEL, "*Model_Space", "22", "23"), (PAPER, "*Paper_Space", "24", "25")]
        {
            self.texts(&[(0, "BLOCK"), (5, begin), (330, record), (100, "AcDbEntity"), (8, "0")]);
            self.texts(&[(100, "AcDbBlockBegin"), (2, name), (70, "0")]);
            self.point(10, 0.0, 0.0);
            self.texts(&[(3, name), (1, "")]);
            self.texts(&[(0, "ENDBLK"), (5, end), (330, record), (100, "AcDbEntity"), (8, "0")]);
            self.text(100, "AcDbBlockEnd");
        }
    }

    fn objects(&mut self) {
        self.texts(&[(0, "DICTIONARY"), (5, ROOT), (330, "0"), (100, "AcDbDictionary"), (281, "1")]);
        self.texts(&[(3, "ACAD_GROUP"), (350, GROUPS)]);
        self.texts(&[(0, "DICTIONARY"), (5, GROUPS), (330, ROOT), (100, "AcDbDictionary"), (281, "1")]);
    }
}

/// A number to 1e-12, without trailing noughts but with a decimal: readers tell reals by it.
pub(crate) fn decimal(value: f64) -> String {
    let text = format!("{value:.12}");
    let text = text.trim_end_matches('0');
    let text = if text.ends_with('.') { format!("{text}0") } else { text.to_owned() };
    if text == "-0.0" { "0.0".to_owned() } else { text }
}
