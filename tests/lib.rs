//! What several tests share: reading the shipped specs.

use std::path::{Path, PathBuf};

use layout::Layout;
use spec::{Design, Level, Source};

/// The repository's root.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Every shipped spec: all TOML files under `specs/` that are no shop file.
pub fn demo_specs() -> Vec<PathBuf> {
    let folder = root().join("specs");
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .filter_map(|entry| entry.ok().map(|e| e.path()))
        .filter(|p| p.to_string_lossy().ends_with(".toml") && !p.to_string_lossy().ends_with(".shop.toml"))
        .collect();
    files.sort();
    files
}

/// Reads and lays out a spec file, or says why not.
pub fn lay(path: &Path) -> Result<(Design, Layout), String> {
    let source = source(path)?;
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    let (design, _) = spec::read_design(&source, &mut |name| self::source(&folder.join(name)))
        .map_err(|d| d.iter().map(|d| d.to_string()).collect::<Vec<_>>().join("\n"))?;
    let layout = layout::lay(&design)
        .map_err(|f| f.iter().map(|f| format!("{}: {}", f.key, f.message)).collect::<Vec<_>>().join("\n"))?;
    Ok((design, layout))
}

/// Panics unless the spec file lays out without a failure and each of its runs closes within 1e-6 mm.
pub fn assert_lays_out(path: &Path) {
    let (_, layout) = lay(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let failures: Vec<_> = layout.findings.iter().filter(|f| f.level == Level::Failure).collect();
    assert!(failures.is_empty(), "{}: {failures:#?}", path.display());
    for run in &layout.runs {
        assert!(run.closure.gap < 1e-6, "{}: {} ends {} off", path.display(), run.name, run.closure.gap);
    }
}

fn source(path: &Path) -> Result<Source, String> {
    let bytes = std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    Source::from_bytes(&path.display().to_string(), &bytes).map_err(|d| d.to_string())
}
