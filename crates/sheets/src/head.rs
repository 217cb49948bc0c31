//! Heads of sheets: mark, quantity, alloy, section, spec.

use layout::Layout;
use layout::layout::Part;
use spec::Design;

use crate::figure::piece_section;
use crate::folio::Head;

/// The head of a sheet about one piece.
pub fn piece_head(design: &Design, layout: &Layout, part: &Part, title: &str) -> Head {
    Head {
        mark: part.mark.clone(),
        title: title.to_owned(),
        facts: piece_facts(design, part),
        about: vec![part.mark.clone(), layout.owner_name(part).to_owned()],
    }
}

/// The head of a sheet about many pieces, or about none.
pub fn plain_head(design: &Design, mark: &str, title: &str) -> Head {
    let facts = vec![
        ("SPEC".to_owned(), spec_name(design)),
        ("LENGTHS IN".to_owned(), design.units.symbol().to_owned()),
    ];
    Head { mark: mark.to_owned(), title: title.to_owned(), facts, about: Vec::new() }
}

/// Quantity, alloy, section and spec, with their labels.
pub fn piece_facts(design: &Design, part: &Part) -> Vec<(String, String)> {
    vec![
        ("QUANTITY".to_owned(), "1".to_owned()),
        ("ALLOY".to_owned(), part.piece.alloy().name.to_owned()),
        ("OD × WALL".to_owned(), piece_section(design.units, &part.piece)),
        ("SPEC".to_owned(), spec_name(design)),
    ]
}

fn spec_name(design: &Design) -> String {
    design.name.clone()
}
