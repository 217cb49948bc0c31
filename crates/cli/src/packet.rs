//! A packet on disk: it appears whole or not at all, and only what hotside wrote is ever replaced.
//!
//! It is written into a folder beside its place and moved there in one step. Each packet lists its own
//! files in [`MANIFEST`]; whatever else lies in a former packet is carried over. A folder that was left
//! by a killed build is locked by nobody, and the next build removes it.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fs::{self, File, TryLockError};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use crate::failure::Failure;
use crate::packet_files::Files;

/// The list of a packet's own files, one path a line, itself included.
pub const MANIFEST: &str = ".hotside-manifest";

/// Writes `files` as the packet `folder`, in place of a former one.
///
/// Errors: the folder holds files and no manifest, so it is not ours; a foreign file stands where one
/// of ours would go; the disk refuses. In each case the former packet stays as it was.
pub fn write(folder: &Path, files: &Files) -> Result<(), Failure> {
    let place = Place::of(folder)?;
    place.mend()?;
    let former = Former::read(&place.folder)?;
    let part = Part::begin(&place)?;
    let written = part.write(files).and_then(|()| former.carry_over(&place.folder, &part.folder, files));
    let moved = written.and_then(|()| place.take(&part.folder, former.exists));
    // Now it holds the former packet, or what a failed build has written: neither is wanted. Where it
    // cannot be removed the next build tries again.
    let _ = fs::remove_dir_all(&part.folder);
    moved
}

/// Refuses what [`write`] would refuse of what stands at `folder`, before its files are made; writes nothing.
pub fn check(folder: &Path) -> Result<(), Failure> {
    Former::read(folder).map(drop)
}

/// Where a packet goes.
struct Place {
    folder: PathBuf,
    parent: PathBuf,
    name: OsString,
}

/// What stands at a packet's place.
struct Former {
    exists: bool,
    /// Relative paths of folders and files there that are not ours, folders first.
    foreign: Vec<PathBuf>,
}

/// The folder in which a packet is being written, locked as long as this lives.
struct Part {
    folder: PathBuf,
    _lock: File,
}

impl Place {
    fn of(folder: &Path) -> Result<Place, Failure> {
        let folder = match fs::canonicalize(folder) {
            Ok(found) => found,
            Err(error) if error.kind() == ErrorKind::NotFound => {
                std::path::absolute(folder).map_err(|error| Failure::refused(folder, error))?
            }
            Err(error) => return Err(Failure::refused(folder, error)),
        };
        let (Some(parent), Some(name)) = (folder.parent(), folder.file_name()) else {
            return Err(Failure::refused(
                &folder,
                "what is written needs a folder of its own; name one with --out",
            ));
        };
        fs::create_dir_all(parent)
            .map_err(|error| Failure::refused(parent, format!("the folder cannot be made: {error}")))?;
        Ok(Place { parent: parent.to_owned(), name: name.to_owned(), folder: folder.clone() })
    }

    /// A hidden name beside the place: `.hotside-WHAT.NAME`.
    fn beside(&self, what: &str) -> OsString {
        let mut name = OsString::from(format!(".hotside-{what}."));
        name.push(&self.name);
        name
    }

    /// Removes what killed builds have left, and puts back a packet that one had moved aside.
    fn mend(&self) -> Result<(), Failure> {
        let aside = self.parent.join(self.beside("former"));
        if aside.exists() && !self.folder.exists() {
            fs::rename(&aside, &self.folder).map_err(|error| Failure::refused(&aside, error))?;
        }
        let mut prefix = self.beside("part").into_encoded_bytes();
        prefix.push(b'.');
        let entries = fs::read_dir(&self.parent).map_err(|error| Failure::refused(&self.parent, error))?;
        for entry in entries.flatten() {
            let name = entry.file_name().into_encoded_bytes();
            let left = name.strip_prefix(&prefix[..]).is_some_and(|pid| pid.iter().all(u8::is_ascii_digit));
            if left && is_ours(&entry.path()) && is_unlocked(&entry.path()) {
                fs::remove_dir_all(entry.path()).map_err(|error| Failure::refused(entry.path(), error))?;
            }
        }
        Ok(())
    }

    /// Moves `part` to the place; where something `exists` there, that is in `part` afterwards.
    fn take(&self, part: &Path, exists: bool) -> Result<(), Failure> {
        let moved = if exists { self.exchange(part) } else { fs::rename(part, &self.folder) };
        moved.map_err(|error| {
            Failure::refused(&self.folder, format!("what was made cannot be put there: {error}"))
        })
    }

    fn exchange(&self, part: &Path) -> io::Result<()> {
        match exchange_at_once(part, &self.folder) {
            Err(error) if error.kind() == ErrorKind::Unsupported => self.exchange_by_steps(part),
            other => other,
        }
    }

    /// Where the system cannot exchange two folders: two renames. [`Place::mend`] undoes the first one
    /// of a build that was killed between them.
    fn exchange_by_steps(&self, part: &Path) -> io::Result<()> {
        let aside = self.parent.join(self.beside("former"));
        fs::rename(&self.folder, &aside)?;
        if let Err(error) = fs::rename(part, &self.folder) {
            fs::rename(&aside, &self.folder)?;
            return Err(error);
        }
        fs::rename(&aside, part)
    }
}

impl Former {
    fn read(folder: &Path) -> Result<Former, Failure> {
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == ErrorKind::NotFound => {
                return Ok(Former { exists: false, foreign: Vec::new() });
            }
            Err(error) if error.kind() == ErrorKind::NotADirectory => {
                return Err(Failure::refused(folder, "this is a file and is left as it is; name a folder"));
            }
            Err(error) => return Err(Failure::refused(folder, error)),
        };
        let is_empty = entries.into_iter().next().is_none();
        let ours = match fs::read_to_string(folder.join(MANIFEST)) {
            Ok(text) => text.lines().map(PathBuf::from).collect(),
            Err(error) if error.kind() == ErrorKind::NotFound && is_empty => BTreeSet::new(),
            Err(error) if error.kind() == ErrorKind::NotFound => {
                let message = "the folder holds files that hotside did not write, and is left as it is; \
                               name another with --out";
                return Err(Failure::refused(folder, message));
            }
            Err(error) => return Err(Failure::refused(folder.join(MANIFEST), error)),
        };
        let mut foreign = Vec::new();
        foreign_under(folder, Path::new(""), &ours, &mut foreign)?;
        Ok(Former { exists: true, foreign })
    }

    /// Puts what is not ours into the new packet too. Errors: one of our files goes where it is.
    fn carry_over(&self, from: &Path, to: &Path, files: &Files) -> Result<(), Failure> {
        for path in &self.foreign {
            let (source, target) = (from.join(path), to.join(path));
            let carried = if source.is_dir() && !source.is_symlink() {
                fs::create_dir_all(&target)
            } else if target.symlink_metadata().is_ok() || files.keys().any(|file| Path::new(file) == path) {
                let message =
                    "hotside did not write this file, and would now write one of that name; move it";
                return Err(Failure::refused(source, message));
            } else {
                fs::hard_link(&source, &target).or_else(|_| fs::copy(&source, &target).map(drop))
            };
            carried
                .map_err(|error| Failure::refused(&source, format!("the file cannot be kept: {error}")))?;
        }
        Ok(())
    }
}

impl Part {
    fn begin(place: &Place) -> Result<Part, Failure> {
        let mut name = place.beside("part");
        name.push(format!(".{}", std::process::id()));
        let folder = place.parent.join(name);
        let begun = fs::create_dir(&folder).and_then(|()| File::open(&folder)).and_then(|lock| {
            lock.lock()?;
            Ok(lock)
        });
        let lock = begun.map_err(|error| {
            Failure::refused(&place.parent, format!("nothing can be written there: {error}"))
        })?;
        Ok(Part { folder, _lock: lock })
    }

    /// Writes the manifest first, so that a folder left behind is known as ours.
    fn write(&self, files: &Files) -> Result<(), Failure> {
        let mut names: Vec<&str> = files.keys().map(String::as_str).collect();
        names.insert(0, MANIFEST);
        self.write_one(MANIFEST, (names.join("\n") + "\n").as_bytes())?;
        files.iter().try_for_each(|(name, bytes)| self.write_one(name, bytes))
    }

    fn write_one(&self, name: &str, bytes: &[u8]) -> Result<(), Failure> {
        let path = self.folder.join(name);
        let folder = path.parent().unwrap_or(&self.folder);
        fs::create_dir_all(folder)
            .and_then(|()| fs::write(&path, bytes))
            .map_err(|error| Failure::refused(&path, format!("the file cannot be written: {error}")))
    }
}

/// Adds every path under `folder/under` that is neither in `ours` nor a folder with files of ours only.
fn foreign_under(
    folder: &Path,
    under: &Path,
    ours: &BTreeSet<PathBuf>,
    found: &mut Vec<PathBuf>,
) -> Result<(), Failure> {
    let path = folder.join(under);
    let entries = fs::read_dir(&path).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let mut entries = entries.map_err(|error| Failure::refused(&path, error))?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let relative = under.join(entry.file_name());
        let kind = entry.file_type().map_err(|error| Failure::refused(entry.path(), error))?;
        if kind.is_dir() {
            let is_ours = ours.iter().any(|file| file.starts_with(&relative));
            if !is_ours {
                found.push(relative.clone());
            }
            let before = found.len();
            foreign_under(folder, &relative, ours, found)?;
            if is_ours && found.len() > before {
                found.insert(before, relative);
            }
        } else if !ours.contains(&relative) {
            found.push(relative);
        }
    }
    Ok(())
}

/// Whether a folder beside a packet was written by hotside: empty, or with a manifest.
fn is_ours(folder: &Path) -> bool {
    let is_empty = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none());
    is_empty || folder.join(MANIFEST).is_file()
}

/// Whether no running build holds the folder.
fn is_unlocked(folder: &Path) -> bool {
    File::open(folder).is_ok_and(|file| !matches!(file.try_lock(), Err(TryLockError::WouldBlock)))
}

/// Exchanges two folders in one step. Errors: `Unsupported` where the system or its disk cannot.
#[cfg(target_os = "linux")]
fn exchange_at_once(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    use rustix::io::Errno;
    renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE).map_err(|error| match error {
        Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP => ErrorKind::Unsupported.into(),
        other => other.into(),
    })
}

/// Exchanges two folders in one step, which this system cannot.
#[cfg(not(target_os = "linux"))]
fn exchange_at_once(_: &Path, _: &Path) -> io::Result<()> {
    Err(ErrorKind::Unsupported.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A fresh folder with a former packet `out` and a new one `part`, each with one file.
    fn two(name: &str) -> (Place, PathBuf) {
        let parent = std::env::temp_dir().join(format!("hotside-{name}-{}", std::process::id()));
        let (folder, part) = (parent.join("out"), parent.join("part"));
        for (path, text) in [(&folder, "former"), (&part, "new")] {
            fs::create_dir_all(path).unwrap();
            fs::write(path.join("a"), text).unwrap();
        }
        (Place { folder, parent, name: "out".into() }, part)
    }

    fn text(folder: &Path) -> String {
        fs::read_to_string(folder.join("a")).unwrap()
    }

    #[test]
    fn both_ways_of_exchanging_give_the_same() {
        for (name, by_steps) in [("at-once", false), ("by-steps", true)] {
            let (place, part) = two(name);
            let done = if by_steps { place.exchange_by_steps(&part) } else { place.exchange(&part) };
            done.unwrap();
            assert_eq!((text(&place.folder), text(&part)), ("new".to_owned(), "former".to_owned()));
            assert_eq!(fs::read_dir(&place.parent).unwrap().count(), 2);
            fs::remove_dir_all(&place.parent).unwrap();
        }
    }

    #[test]
    fn a_packet_moved_aside_by_a_killed_build_is_put_back() {
        let (place, _) = two("aside");
        fs::rename(&place.folder, place.parent.join(".hotside-former.out")).unwrap();
        place.mend().unwrap();
        assert_eq!(text(&place.folder), "former");
        fs::remove_dir_all(&place.parent).unwrap();
    }
}
