//! Every shipped spec and fixture as strands and nodes.
#![allow(dead_code, missing_docs, reason = "shared by tests")]

use std::path::{Path, PathBuf};

use fitment::{Node, Strand, strands_and_nodes};
use layout::Layout;
use spec::{Design, Source, read_design};

/// A header.
pub struct Header {
    pub name: String,

    pub design: Design,
    pub layout: Layout,
    pub strands: Vec<Strand>,
    pub nodes: Vec<Node>,
}

/// Every shipped spec and fixture; `chord` is the largest distance between a block's mesh and the true surface, mm.
pub fn headers(chord: f64) -> Vec<Header> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let folders = ["specs", "tests/fixtures"].map(|folder| root.join(folder));
    let files = folders.iter().flat_map(|f| std::fs::read_dir(f).unwrap()).map(|entry| entry.unwrap().path());
    let is_spec = |p: &PathBuf| {
        let name = p.file_name().unwrap().to_str().unwrap();
        name.ends_with(".toml") && !name.ends_with(".shop.toml")
    };
    let mut files: Vec<PathBuf> = files.filter(is_spec).collect();
    files.sort();
    files.iter().map(|path| header(path, chord)).collect()
}

fn header(path: &Path, chord: f64) -> Header {
    let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
    let source = |path: &Path| Source {
        name: path.display().to_string(),
        text: std::fs::read_to_string(path).unwrap().into(),
    };
    let folder = path.parent().unwrap();
    let design = read_design(&source(path), &mut |shop| Ok(source(&folder.join(shop)))).unwrap().0;
    let layout = layout::lay(&design).unwrap_or_else(|fault| panic!("{name}: {fault:?}"));
    of_layout(name, design, layout, chord)
}

/// A header made of its layout.
pub fn of_layout(name: String, design: Design, layout: Layout, chord: f64) -> Header {
    let made = strands_and_nodes(&design, &layout, chord);
    let (strands, nodes) = made.unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
    Header { name, design, layout, strands, nodes }
}
