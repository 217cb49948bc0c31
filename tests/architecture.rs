//! Dependencies between crates go one way, in the order that DEVELOPERS.md draws.

use std::fs;

use hotside_tests::root;

const ORDER: [&str; 13] = [
    "geom",
    "tube",
    "plate",
    "scan",
    "distance",
    "spec",
    "layout",
    "solids",
    "clearance",
    "models",
    "fitment",
    "sheets",
    "cli",
];

#[test]
fn every_crate_depends_only_on_earlier_ones() {
    for (place, name) in ORDER.iter().enumerate() {
        let path = root().join("crates").join(name).join("Cargo.toml");
        let manifest = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let dependencies = manifest.split("[dependencies]").nth(1).unwrap_or_default();
        let dependencies = dependencies.split("\n[").next().unwrap_or_default();
        for line in dependencies.lines() {
            let other = line.split(['.', ' ', '=']).next().unwrap_or_default();
            if let Some(found) = ORDER.iter().position(|o| *o == other) {
                assert!(found < place, "{name} depends on {other}, which comes later");
            }
        }
    }
}

#[test]
fn the_order_names_every_crate() {
    let folder = root().join("crates");
    let mut found: Vec<String> = fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .filter_map(|e| e.ok().map(|e| e.file_name().to_string_lossy().into_owned()))
        .collect();
    let mut named: Vec<String> = ORDER.iter().map(|s| (*s).to_owned()).collect();
    found.sort();
    named.sort();
    assert_eq!(found, named);
}

#[test]
fn only_cli_reads_and_writes_files() {
    for name in &ORDER[..12] {
        for file in sources(&root().join("crates").join(name).join("src")) {
            let text = fs::read_to_string(&file).unwrap_or_default();
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            for banned in ["std::fs", "std::env", "std::process", "println!", "SystemTime", "Instant::now"] {
                assert!(!code.contains(banned), "{} uses {banned}", file.display());
            }
        }
    }
}

fn sources(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok) {
        let path = entry.path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files
}
