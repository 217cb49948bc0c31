//! Runs the outside readers of `tests/readers`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The repository's top.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// Every shipped spec.
pub fn shipped_specs() -> Vec<PathBuf> {
    let specs = fs::read_dir(top().join("specs")).unwrap().map(|entry| entry.unwrap().path());
    let is_spec = |path: &PathBuf| {
        let name = path.file_name().unwrap().to_str().unwrap();
        name.ends_with(".toml") && !name.ends_with(".shop.toml")
    };
    let specs: Vec<PathBuf> = specs.filter(is_spec).collect();
    assert!(specs.len() >= 4, "only {} specs", specs.len());
    specs
}

/// A reader's exit code, and what it told.
pub fn read(reader: &str, arguments: &[&Path]) -> (Option<i32>, String) {
    let script = top().join("tests/readers").join(reader);
    let ran = Command::new(python()).arg("-B").arg(script).args(arguments).output().unwrap();
    let told = String::from_utf8_lossy(&ran.stdout).into_owned() + &String::from_utf8_lossy(&ran.stderr);
    (ran.status.code(), told)
}

/// The Python with the outside readers: `HOTSIDE_PYTHON`, else the one that `tests/all.sh` makes.
fn python() -> PathBuf {
    let python =
        std::env::var_os("HOTSIDE_PYTHON").map_or_else(|| top().join("out/venv/bin/python"), PathBuf::from);
    assert!(python.exists(), "{} is not there: run `bash tests/all.sh`, which makes it", python.display());
    python
}
