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

/// A fresh empty folder for the test called `name`.
pub fn fresh(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    match fs::remove_dir_all(&folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => panic!("{error}"),
        _ => fs::create_dir_all(&folder).unwrap(),
    }
    folder
}
