//! Every bad scan of bad/ is refused exactly as the `.expected` file beside it says; bad.py makes the scans.
//! `HOTSIDE_BLESS=1` writes the `.expected` files anew.

use std::fs;
use std::path::{Path, PathBuf};

use scan::{Fault, Format, read};

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e != "expected")).collect();
    files.sort();
    files
}

fn fault(path: &Path) -> Fault {
    let format = Format::of_ending(path.extension().unwrap().to_str().unwrap()).unwrap();
    read(&fs::read(path).unwrap(), format).expect_err(&path.display().to_string())
}

#[test]
fn each_bad_scan_is_refused_with_its_fault() {
    let files = files();
    assert!(files.len() >= 90);
    let mut wrong = String::new();
    for path in files {
        let Fault { place, code, message, help } = fault(&path);
        let told = format!("{code}, {place}: {message}\n  {help}\n");
        let expected = PathBuf::from(format!("{}.expected", path.display()));
        if std::env::var_os("HOTSIDE_BLESS").is_some() {
            fs::write(&expected, &told).unwrap();
        }
        let expected = fs::read_to_string(&expected).unwrap_or_default();
        if told != expected {
            wrong += &format!("{}\n  told:\n{told}  expected:\n{expected}", path.display());
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Ten million and one.
#[test]
fn too_many_are_refused() {
    let mut ply = b"ply\nformat binary_little_endian 1.0\nelement vertex 10000001\nproperty uchar x\nproperty uchar y\nproperty uchar z\nend_header\n".to_vec();
    ply.resize(ply.len() + 30_000_003, 1);
    let xyz = b"0 0 0\n".repeat(10_000_001);
    for fault in [read(&ply, Format::Ply).unwrap_err(), read(&xyz, Format::Xyz).unwrap_err()] {
        assert_eq!(fault.code, "too-many");
        assert_eq!(fault.message, "the file holds 10,000,001 points; at most 10,000,000 are read");
    }
}
