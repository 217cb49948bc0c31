//! PLY: points, with faces or without, text or binary. Other elements and properties are passed over; edges have to
//! be those of faces.

mod edges;
mod header;
mod source;

use geom::DVec3;

use crate::bulk::{Bad, BadIndices, Fan, MOST, counted, grouped, nothing, too_many};
use crate::fault::{Fault, Place};
use crate::scan::Scan;
use edges::Edges;
use header::{Element, Encoding, Header, Kind};
use source::{Binary, Source, Text};

/// Whether the file begins as they all do.
pub(crate) fn is_ply(bytes: &[u8]) -> bool {
    bytes.starts_with(b"ply\n") || bytes.starts_with(b"ply\r")
}

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, Fault> {
    if !is_ply(bytes) {
        let message = "the file does not begin with `ply` on a line of its own".to_owned();
        return Err(Fault::new(
            Place::Byte(0),
            "head",
            message,
            "export the scan again, or correct the ending",
        ));
    }
    let header = header::read(bytes)?;
    let of = |name: &str| header.elements.iter().find(|element| element.name == name);
    let count = of("vertex").map_or(0, |vertex| vertex.count);
    if count == 0 {
        return Err(nothing("points"));
    }
    // Edges alone are all that there is.
    let faces = of("face").map_or(0, |face| face.count);
    if let Some(edges) = of("edge").filter(|edges| edges.count > 0 && faces == 0) {
        let message = "it has edges, lines between points, which are not read".to_owned();
        return Err(Fault::new(Place::Line(edges.line), "line-element", message, edges::HELP));
    }
    if let Some(strips) = of("tristrips").filter(|strips| strips.count > 0) {
        let message = "the surface is in triangle strips, which are not read".to_owned();
        return Err(Fault::new(Place::Line(strips.line), "strips", message, "export it with faces"));
    }
    match header.encoding {
        Encoding::Text => {
            let source = Text::new(&bytes[header.body..], header.lines, bytes.len() as u64);
            Body::new(source, count).read(&header)
        }
        Encoding::LittleEndian => Body::new(Binary::new(bytes, header.body, false), count).read(&header),
        Encoding::BigEndian => Body::new(Binary::new(bytes, header.body, true), count).read(&header),
    }
}

/// The rows as far as they are read.
struct Body<S> {
    source: S,
    points: Vec<DVec3>,
    fan: Fan,
    edges: Edges,
    bad: Bad,
    bad_indices: BadIndices,
}

impl<S: Source> Body<S> {
    /// Of a file whose head counts so many points.
    fn new(source: S, count: u64) -> Body<S> {
        let (bad, bad_indices) = (Bad::default(), BadIndices::new(count, 0));
        Body { source, points: Vec::new(), fan: Fan::default(), edges: Edges::default(), bad, bad_indices }
    }

    fn read(mut self, header: &Header) -> Result<Scan, Fault> {
        let (mut points, mut faces) = (false, false);
        for element in &header.elements {
            self.fits(element)?;
            match element.name.as_str() {
                "vertex" if !std::mem::replace(&mut points, true) => self.points(element)?,
                "face" if !std::mem::replace(&mut faces, true) => self.faces(element)?,
                "edge" if element.count > 0 => self.edges(element)?,
                _ => self.others(element)?,
            }
        }
        self.source.finish()?;
        self.bad.settled("point")?;
        self.bad_indices.settled()?;
        let triangles = self.fan.into_triangles()?;
        self.edges.settled(&triangles)?;
        Ok(Scan::of_surface(self.points, triangles))
    }

    /// Errors: the rest of the file is too short for the rows that the head counts.
    fn fits(&self, element: &Element) -> Result<(), Fault> {
        let row: u64 = element.properties.iter().map(|property| self.source.least(property.kind)).sum();
        let left = self.source.left();
        if element.count.checked_mul(row).is_some_and(|due| due <= left) {
            return Ok(());
        }
        let (count, name) = (grouped(element.count), &element.name);
        let message = format!(
            "the head counts {count} rows of `{name}`, each of at least {}, but {} are left for them",
            counted(row, "byte"),
            grouped(left)
        );
        let help = "copy or export the file again: its end is missing or its counts are wrong";
        Err(Fault::new(Place::Line(element.line), "truncated", message, help))
    }

    fn points(&mut self, element: &Element) -> Result<(), Fault> {
        let axis = |name: &str| {
            let found = element.properties.iter().position(|property| property.name == name);
            found.filter(|at| matches!(element.properties[*at].kind, Kind::One(_)))
        };
        let (Some(x), Some(y), Some(z)) = (axis("x"), axis("y"), axis("z")) else {
            let message = "the points have no `x`, `y` and `z`".to_owned();
            return Err(Fault::new(Place::Line(element.line), "head", message, "export the file again"));
        };
        let slots: Vec<Option<usize>> =
            (0..element.properties.len()).map(|at| [x, y, z].iter().position(|axis| *axis == at)).collect();
        if element.count > MOST {
            return Err(too_many(element.count, "points"));
        }
        self.points.reserve_exact(element.count as usize);
        for _ in 0..element.count {
            self.source.begin()?;
            let mut values = [0.0; 3];
            for (property, slot) in element.properties.iter().zip(&slots) {
                match (property.kind, slot) {
                    (Kind::One(scalar), Some(slot)) => values[*slot] = self.source.real(scalar)?,
                    (kind, _) => self.source.skip(kind)?,
                }
            }
            self.source.end()?;
            let point = DVec3::from_array(values);
            self.bad.passes(point, || self.source.place());
            self.points.push(point);
        }
        Ok(())
    }

    fn faces(&mut self, element: &Element) -> Result<(), Fault> {
        let named = |name: &str| name == "vertex_indices" || name == "vertex_index";
        let list = element
            .properties
            .iter()
            .position(|property| named(&property.name) && matches!(property.kind, Kind::List { .. }));
        let Some(list) = list.or((element.count == 0).then_some(0)) else {
            let message = "the faces have no list `vertex_indices`".to_owned();
            return Err(Fault::new(Place::Line(element.line), "head", message, "export the file again"));
        };
        self.fan.expect(element.count as usize);
        for _ in 0..element.count {
            self.source.begin()?;
            for (at, property) in element.properties.iter().enumerate() {
                match property.kind {
                    Kind::List { count, item } if at == list => {
                        for _ in 0..self.source.count(count)? {
                            let index = self.source.whole(item)?;
                            let index = self.bad_indices.passed(index, || self.source.place());
                            self.fan.corner(index);
                        }
                    }
                    kind => self.source.skip(kind)?,
                }
            }
            self.source.end()?;
            self.fan.close(self.source.place())?;
        }
        Ok(())
    }

    fn edges(&mut self, element: &Element) -> Result<(), Fault> {
        let end = |name: &str| {
            let found = element.properties.iter().position(|property| property.name == name);
            found.filter(|at| matches!(element.properties[*at].kind, Kind::One(_)))
        };
        let (Some(first), Some(second)) = (end("vertex1"), end("vertex2")) else {
            return Err(edges::unknown(element.count, element.line));
        };
        if element.count > MOST {
            return Err(too_many(element.count, "edges"));
        }
        for _ in 0..element.count {
            self.source.begin()?;
            let mut ends = [0; 2];
            for (at, property) in element.properties.iter().enumerate() {
                match property.kind {
                    Kind::One(scalar) if at == first => ends[0] = self.source.whole(scalar)?,
                    Kind::One(scalar) if at == second => ends[1] = self.source.whole(scalar)?,
                    kind => self.source.skip(kind)?,
                }
            }
            self.source.end()?;
            self.edges.push(ends, self.source.place());
        }
        Ok(())
    }

    fn others(&mut self, element: &Element) -> Result<(), Fault> {
        if element.properties.is_empty() {
            return Ok(());
        }
        for _ in 0..element.count {
            self.source.begin()?;
            for property in &element.properties {
                self.source.skip(property.kind)?;
            }
            self.source.end()?;
        }
        Ok(())
    }
}
