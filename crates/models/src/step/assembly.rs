//! The products of a file: the header, its groups, their solids, each used once in the one above it.

use geom::{DVec3, Frame};

use super::brep::Brep;
use super::text::{Arg, Id, Text, push_text};

/// Everything that a file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct StepModel {
    /// Name of the whole.
    pub name: String,
    /// Its parts.
    pub groups: Vec<StepGroup>,
}

/// Solids that belong together: of a run, of a merge.
#[derive(Clone, Debug, PartialEq)]
pub struct StepGroup {
    /// Its name.
    pub name: String,
    /// Its solids.
    pub solids: Vec<StepSolid>,
}

/// A named solid, where it stands in space.
#[derive(Clone, Debug, PartialEq)]
pub struct StepSolid {
    /// Its name: the mark of a piece.
    pub name: String,
    /// Its boundary, mm.
    pub brep: Brep,
}

/// The model as the text of an exchange file. The same model gives the same bytes: the file's head
/// names no time, no person and no machine.
pub fn step(model: &StepModel) -> Vec<u8> {
    let faces: usize = model.groups.iter().flat_map(|g| &g.solids).map(|s| s.brep.faces.len()).sum();
    let mut writer = Writer::new(4096 + 2600 * faces);
    let whole = writer.assembly(&model.name, &model.name, model.groups.len());
    for (place, group) in model.groups.iter().enumerate() {
        let path = format!("{}/{}", model.name, group.name);
        let branch = writer.assembly(&path, &group.name, group.solids.len());
        writer.place(&whole, &branch, place, &group.name);
        for (place, solid) in group.solids.iter().enumerate() {
            let leaf = writer.solid(&format!("{path}/{}", solid.name), solid);
            writer.place(&branch, &leaf, place, &solid.name);
        }
    }
    writer.text.finish(&header(&model.name))
}

/// A product with its shape.
struct Product {
    definition: Id,
    shape: Id,
    /// The placement of the product itself, then of each of its members.
    placements: Vec<Id>,
}

/// The text with what all products share.
struct Writer {
    text: Text,
    /// Where everything stands: members are written in the place that they have in the header.
    origin: Frame,
    product_context: Id,
    definition_context: Id,
    units: Id,
}

impl Writer {
    fn new(bytes: usize) -> Self {
        let mut text = Text::new(bytes);
        let application = text
            .add("APPLICATION_CONTEXT", &[Arg::Text("core data for automotive mechanical design processes")]);
        text.add(
            "APPLICATION_PROTOCOL_DEFINITION",
            &[
                Arg::Text("international standard"),
                Arg::Text("automotive_design"),
                Arg::Whole(2000),
                Arg::Ref(application),
            ],
        );
        let product_context =
            text.add("PRODUCT_CONTEXT", &[Arg::Text(""), Arg::Ref(application), Arg::Text("mechanical")]);
        let definition_context = text.add(
            "PRODUCT_DEFINITION_CONTEXT",
            &[Arg::Text("part definition"), Arg::Ref(application), Arg::Text("design")],
        );
        let units = units(&mut text);
        let origin = Frame { at: DVec3::ZERO, along: DVec3::Z, inside: DVec3::X };
        Writer { text, origin, product_context, definition_context, units }
    }

    /// A product made of `members` others.
    fn assembly(&mut self, id: &str, name: &str, members: usize) -> Product {
        let placements: Vec<Id> = (0..=members).map(|_| self.text.placement(&self.origin)).collect();
        let shape = self.shape("SHAPE_REPRESENTATION", name, &placements);
        let definition = self.product(id, name, shape);
        Product { definition, shape, placements }
    }

    /// A product that is one solid.
    fn solid(&mut self, id: &str, solid: &StepSolid) -> Product {
        let placement = self.text.placement(&self.origin);
        let brep = solid.brep.write(&solid.name, &mut self.text);
        let shape = self.shape("ADVANCED_BREP_SHAPE_REPRESENTATION", &solid.name, &[placement, brep]);
        let definition = self.product(id, &solid.name, shape);
        Product { definition, shape, placements: vec![placement] }
    }

    fn shape(&mut self, kind: &str, name: &str, items: &[Id]) -> Id {
        self.text.add(kind, &[Arg::Text(name), Arg::Refs(items), Arg::Ref(self.units)])
    }

    /// The definition of a product with its shape.
    fn product(&mut self, id: &str, name: &str, shape: Id) -> Id {
        let text = &mut self.text;
        let contexts = [self.product_context];
        let product =
            text.add("PRODUCT", &[Arg::Text(id), Arg::Text(name), Arg::Text(""), Arg::Refs(&contexts)]);
        let category = [Arg::Text("part"), Arg::Word("$"), Arg::Refs(&[product])];
        text.add("PRODUCT_RELATED_PRODUCT_CATEGORY", &category);
        let formation =
            text.add("PRODUCT_DEFINITION_FORMATION", &[Arg::Text(""), Arg::Text(""), Arg::Ref(product)]);
        let definition = text.add(
            "PRODUCT_DEFINITION",
            &[Arg::Text("design"), Arg::Text(""), Arg::Ref(formation), Arg::Ref(self.definition_context)],
        );
        let defined =
            text.add("PRODUCT_DEFINITION_SHAPE", &[Arg::Text(""), Arg::Text(""), Arg::Ref(definition)]);
        text.add("SHAPE_DEFINITION_REPRESENTATION", &[Arg::Ref(defined), Arg::Ref(shape)]);
        definition
    }

    /// Uses `member` in `whole`, at its placement number `place`.
    fn place(&mut self, whole: &Product, member: &Product, place: usize, name: &str) {
        let text = &mut self.text;
        let used = text.add(
            "NEXT_ASSEMBLY_USAGE_OCCURRENCE",
            &[
                Arg::Text(name),
                Arg::Text(name),
                Arg::Text(""),
                Arg::Ref(whole.definition),
                Arg::Ref(member.definition),
                Arg::Word("$"),
            ],
        );
        let defined = text.add("PRODUCT_DEFINITION_SHAPE", &[Arg::Text(""), Arg::Text(""), Arg::Ref(used)]);
        let transformation = text.add(
            "ITEM_DEFINED_TRANSFORMATION",
            &[
                Arg::Text(""),
                Arg::Text(""),
                Arg::Ref(member.placements[0]),
                Arg::Ref(whole.placements[place + 1]),
            ],
        );
        let related = text.add_complex(&[
            (
                "REPRESENTATION_RELATIONSHIP",
                &[Arg::Text(""), Arg::Text(""), Arg::Ref(member.shape), Arg::Ref(whole.shape)],
            ),
            ("REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION", &[Arg::Ref(transformation)]),
            ("SHAPE_REPRESENTATION_RELATIONSHIP", &[]),
        ]);
        text.add("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION", &[Arg::Ref(related), Arg::Ref(defined)]);
    }
}

/// Millimetres, radians, steradians, and the distance within which points are one.
fn units(text: &mut Text) -> Id {
    let length = text.add_complex(&[
        ("LENGTH_UNIT", &[]),
        ("NAMED_UNIT", &[Arg::Word("*")]),
        ("SI_UNIT", &[Arg::Word(".MILLI."), Arg::Word(".METRE.")]),
    ]);
    let angle = text.add_complex(&[
        ("NAMED_UNIT", &[Arg::Word("*")]),
        ("PLANE_ANGLE_UNIT", &[]),
        ("SI_UNIT", &[Arg::Word("$"), Arg::Word(".RADIAN.")]),
    ]);
    let solid_angle = text.add_complex(&[
        ("NAMED_UNIT", &[Arg::Word("*")]),
        ("SI_UNIT", &[Arg::Word("$"), Arg::Word(".STERADIAN.")]),
        ("SOLID_ANGLE_UNIT", &[]),
    ]);
    let same = text.add(
        "UNCERTAINTY_MEASURE_WITH_UNIT",
        &[
            Arg::Word("LENGTH_MEASURE(1.E-7)"),
            Arg::Ref(length),
            Arg::Text("distance_accuracy_value"),
            Arg::Text("points nearer than this are one"),
        ],
    );
    text.add_complex(&[
        ("GEOMETRIC_REPRESENTATION_CONTEXT", &[Arg::Whole(3)]),
        ("GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT", &[Arg::Refs(&[same])]),
        ("GLOBAL_UNIT_ASSIGNED_CONTEXT", &[Arg::Refs(&[length, angle, solid_angle])]),
        ("REPRESENTATION_CONTEXT", &[Arg::Text(""), Arg::Text("")]),
    ])
}

/// The file's head. Its time is the same in every file, so that the same model gives the same bytes.
fn header(name: &str) -> String {
    let mut quoted = String::new();
    push_text(&mut quoted, name);
    format!(
        "FILE_DESCRIPTION(('exhaust header, millimetres'),'2;1');\n\
         FILE_NAME({quoted},'1970-01-01T00:00:00',(''),(''),'hotside','hotside','');\n\
         FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\n"
    )
}
