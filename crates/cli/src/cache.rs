//! What is kept between runs, one file each: scans and solids.
//!
//! Nothing of what goes wrong here is told: what cannot be kept is made anew, to the same bits.

use std::cmp::Reverse;
use std::env;
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::PathBuf;
use std::time::SystemTime;

/// The most that is kept, bytes: beyond it the files that were used longest ago are removed.
const MOST: u64 = 2 << 30;

/// Endings of our files; `part`: of one being written.
const ENDINGS: [&str; 3] = ["scan", "solid", "part"];

/// Where things are kept.
pub struct Cache {
    folder: PathBuf,
}

impl Cache {
    /// The folder that `HOTSIDE_CACHE` names (`off`: none); else `hotside` in `XDG_CACHE_HOME`, else in `.cache` of
    /// `HOME`. None where none of them is set.
    pub fn of_user() -> Option<Cache> {
        let set = |name| env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
        let folder = match set("HOTSIDE_CACHE") {
            Some(word) if word.as_os_str() == "off" => return None,
            Some(folder) => folder,
            None => set("XDG_CACHE_HOME").or_else(|| Some(set("HOME")?.join(".cache")))?.join("hotside"),
        };
        folder.is_absolute().then_some(Cache { folder })
    }

    /// What the file `name` holds, as `unpacked` makes it of its bytes.
    pub fn get<T>(&self, name: &str, unpacked: impl FnOnce(&[u8]) -> Option<T>) -> Option<T> {
        let path = self.folder.join(name);
        let kept = unpacked(&fs::read(&path).ok()?)?;
        // It was used now: others go first. On a read-only disk none goes.
        let _ = File::options().append(true).open(path).and_then(|file| file.set_modified(SystemTime::now()));
        Some(kept)
    }

    /// Keeps a file, written beside and renamed; then removes what was used longest ago beyond [`MOST`].
    pub fn keep(&self, name: &str, bytes: &[u8]) {
        let part = self.folder.join(format!("{name}.{}.part", std::process::id()));
        let written = fs::create_dir_all(&self.folder)
            .and_then(|()| File::create_new(&part)?.write_all(bytes))
            .and_then(|()| fs::rename(&part, self.folder.join(name)));
        if written.is_err() {
            let _ = fs::remove_file(&part);
        }
        let _ = self.prune();
    }

    fn prune(&self) -> io::Result<()> {
        let mut files = Vec::new();
        for entry in fs::read_dir(&self.folder)? {
            let (path, told) = entry.and_then(|entry| Ok((entry.path(), entry.metadata()?)))?;
            if told.is_file() && path.extension().is_some_and(|e| ENDINGS.iter().any(|ours| e == *ours)) {
                files.push((Reverse(told.modified()?), path, told.len()));
            }
        }
        files.sort();
        let mut kept = 0;
        for (_, path, length) in files {
            kept += length;
            if kept > MOST {
                fs::remove_file(path)?;
            }
        }
        Ok(())
    }
}
