//! 3MF files: millimetres, one object a piece, with names and colours.
//!
//! 3MF Core Specification 1.x (3MF Consortium). The package is a zip of three parts; every part has the
//! same fixed time, so that the same model gives the same bytes.

use std::io::{Cursor, Write};

use solids::mesh::{Mesh, MeshFault};
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// What a file holds.
#[derive(Clone, Copy, Debug)]
pub struct ThreemfModel<'a> {
    /// Its title.
    pub title: &'a str,
    /// Its groups, each with a colour of its own.
    pub groups: &'a [ThreemfGroup<'a>],
}

/// Objects of one colour: of a run, of a merge.
#[derive(Clone, Debug)]
pub struct ThreemfGroup<'a> {
    /// Its name, that of its material.
    pub name: String,
    /// Its objects: name and mesh. The meshes' points are single precision, as
    /// [`rounded`](crate::stl::rounded()) gives them.
    pub objects: Vec<(&'a str, &'a Mesh)>,
}

/// The model as the bytes of a 3MF file.
///
/// Errors when the zip cannot be written.
pub fn threemf(model: &ThreemfModel<'_>) -> Result<Vec<u8>, MeshFault> {
    zipped(model).map_err(|error| MeshFault::Modeller(error.to_string()))
}

fn zipped(model: &ThreemfModel<'_>) -> Result<Vec<u8>, ZipError> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(LEVEL))
        .last_modified_time(DateTime::default());
    let mut package = ZipWriter::new(Cursor::new(Vec::new()));
    let document = document(model);
    for (name, text) in
        [("[Content_Types].xml", TYPES), ("_rels/.rels", RELATIONS), ("3D/3dmodel.model", &document)]
    {
        package.start_file(name, options)?;
        package.write_all(text.as_bytes())?;
    }
    Ok(package.finish()?.into_inner())
}

/// The model part: base materials first, then the objects, then what is to be built.
fn document(model: &ThreemfModel<'_>) -> String {
    let objects = model.groups.iter().flat_map(|g| &g.objects);
    let room: usize = objects.map(|(_, mesh)| 64 * mesh.points.len() + 48 * mesh.triangles.len()).sum();
    let mut text = String::with_capacity(room + 4096);
    text.push_str(HEAD);
    text.push_str(&format!("<metadata name=\"Title\">{}</metadata>\n", escaped(model.title)));
    text.push_str("<resources>\n<basematerials id=\"1\">\n");
    for (i, group) in model.groups.iter().enumerate() {
        let (name, colour) = (escaped(&group.name), COLOURS[i % COLOURS.len()]);
        text.push_str(&format!("<base name=\"{name}\" displaycolor=\"{colour}\"/>\n"));
    }
    text.push_str("</basematerials>\n");
    let mut id = 1;
    for (material, group) in model.groups.iter().enumerate() {
        for (name, mesh) in &group.objects {
            id += 1;
            let name = escaped(name);
            text.push_str(&format!(
                "<object id=\"{id}\" type=\"model\" name=\"{name}\" partnumber=\"{name}\" pid=\"1\" \
                 pindex=\"{material}\">\n"
            ));
            push_mesh(&mut text, mesh);
            text.push_str("</object>\n");
        }
    }
    text.push_str("</resources>\n<build>\n");
    (2..=id).for_each(|i| text.push_str(&format!("<item objectid=\"{i}\"/>\n")));
    text.push_str("</build>\n</model>\n");
    text
}

fn push_mesh(text: &mut String, mesh: &Mesh) {
    text.push_str("<mesh>\n<vertices>\n");
    for point in &mesh.points {
        // The shortest decimals that are read back as the same single.
        let [x, y, z] = point.to_array().map(|x| x as f32 + 0.0);
        text.push_str(&format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>\n"));
    }
    text.push_str("</vertices>\n<triangles>\n");
    for [a, b, c] in &mesh.triangles {
        text.push_str(&format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>\n"));
    }
    text.push_str("</triangles>\n</mesh>\n");
}

/// A text that may stand in an attribute or an element; characters that XML does not know become spaces.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => escaped.push(' '),
            c => escaped.push(c),
        }
    }
    escaped
}

/// Colours that the colour-blind tell apart too (Okabe and Ito, Color Universal Design, 2008), one for
/// each group in turn.
const COLOURS: [&str; 7] =
    ["#E69F00FF", "#56B4E9FF", "#009E73FF", "#F0E442FF", "#0072B2FF", "#D55E00FF", "#CC79A7FF"];

/// Fast compression: the text is regular, and more effort saves little.
const LEVEL: i64 = 1;

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <model unit=\"millimeter\" xml:lang=\"en-US\" \
    xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n";

const TYPES: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\n\
    <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\n\
    <Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>\n\
    </Types>\n";

const RELATIONS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\n\
    <Relationship Target=\"/3D/3dmodel.model\" Id=\"rel0\" \
    Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\n\
    </Relationships>\n";
