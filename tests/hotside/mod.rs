//! Runs the `hotside` binary.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// What one run of `hotside` gave.
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// Runs `hotside` in `folder` and waits for it. It keeps no scans.
pub fn hotside(folder: &Path, arguments: &[&str]) -> Ran {
    hotside_keeping(folder, arguments, "off")
}

/// The same, with `HOTSIDE_CACHE` set to `cache`.
pub fn hotside_keeping(folder: &Path, arguments: &[&str], cache: &str) -> Ran {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hotside"));
    command.env("HOTSIDE_CACHE", cache);
    let Output { status, stdout, stderr } = command.args(arguments).current_dir(folder).output().unwrap();
    Ran {
        code: status.code().expect("hotside was killed"),
        out: String::from_utf8(stdout).unwrap(),
        err: String::from_utf8(stderr).unwrap(),
    }
}

/// How what was told of `name` differs from the text beside it, in words; nothing where it does not. `HOTSIDE_BLESS=1`
/// writes the text anew.
#[allow(dead_code, reason = "not every test has texts beside it")]
pub fn difference(name: &str, file: &Path, told: &str) -> String {
    if std::env::var_os("HOTSIDE_BLESS").is_some() {
        fs::write(file, told).unwrap();
    }
    let expected = fs::read_to_string(file).unwrap_or_default();
    if told == expected { String::new() } else { format!("{name}\n  told:\n{told}  expected:\n{expected}") }
}

/// A fresh empty folder for the test called `name`.
pub fn fresh(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    match fs::remove_dir_all(&folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => panic!("{error}"),
        _ => fs::create_dir_all(&folder).unwrap(),
    }
    folder
}
