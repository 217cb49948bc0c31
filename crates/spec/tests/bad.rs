//! Every bad spec of tests/bad reports exactly what the `.expected` file beside it says.
//! `HOTSIDE_BLESS=1` writes those files anew.

use std::fs;
use std::path::{Path, PathBuf};

use spec::{Diagnostic, Source, read_design};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/bad")
}

fn specs() -> Vec<PathBuf> {
    let entries = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let mut specs: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|e| e == "toml")).collect();
    specs.sort();
    specs
}

fn faults(path: &Path) -> Vec<Diagnostic> {
    let name = path.file_name().unwrap().to_str().unwrap();
    let source = match Source::from_bytes(name, &fs::read(path).unwrap()) {
        Ok(source) => source,
        Err(fault) => return vec![fault],
    };
    let mut load = |shop: &str| {
        let bytes = fs::read(folder().join(shop)).map_err(|_| "no such file".to_owned())?;
        Source::from_bytes(shop, &bytes).map_err(|fault| fault.message)
    };
    read_design(&source, &mut load).expect_err(name)
}

/// `code at line:column `token` (label): message | help`.
fn line(fault: &Diagnostic) -> String {
    let Diagnostic { code, message, label, help, source, span } = fault;
    let (line, column) = source.line_column(span.start);
    let token: String = source.text[span.clone()].chars().take(30).collect();
    format!(
        "{code} at {}:{line}:{column} `{}` ({label}): {message} | {help}\n",
        source.name,
        token.escape_debug()
    )
}

#[test]
fn each_bad_spec_reports_its_fault() {
    let specs = specs();
    assert!(specs.len() >= 30);
    let mut wrong = String::new();
    for path in specs {
        let told: String = faults(&path).iter().map(line).collect();
        let expected = path.with_extension("expected");
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

#[test]
fn faults_come_in_the_order_of_the_file() {
    for path in specs() {
        let faults = faults(&path);
        for pair in faults.windows(2).filter(|pair| pair[0].source == pair[1].source) {
            assert!(pair[0].span.start <= pair[1].span.start, "{}", path.display());
        }
    }
}

/// Other than those that are there to show several, a spec has one fault and reports one.
#[test]
fn one_fault_is_reported_once() {
    let several = [
        "several-at-once",
        "bay-several",
        "missing-keys",
        "wrong-words",
        "syntax-and-more",
        "shop-bad",
        "shop-and-spec",
        "printer-several",
    ];
    for path in specs() {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let count = faults(&path).len();
        assert_eq!(count > 1, several.contains(&name), "{name} reports {count}");
    }
}
