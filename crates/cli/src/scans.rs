//! The scans that a spec names: read, carried into the car, their noise left out, ready to be asked.

use std::fs::{self, File};
use std::io::Read;
use std::num::NonZero;
use std::path::Path;
use std::thread;

use clearance::Placed;
use scan::Scan;
use spec::design::{Form, ScanFile};
use spec::{Design, Diagnostic, Origins, Unread};

use crate::failure::Failure;
use crate::path_fault::path_fault;
use crate::scan_cache::{Key, ScanCache};

/// The largest scan that is read, bytes: 2 GiB. Ten million triangles of STL take a quarter of it.
const LARGEST: u64 = 2 << 30;

/// Why a scan cannot be used.
enum Fault {
    /// Its file is of no use.
    Unusable(Box<Diagnostic>),
    /// It is there, and the machine keeps it shut.
    Refused(Box<(Failure, Diagnostic)>),
}

impl Fault {
    fn unusable(diagnostic: Diagnostic) -> Fault {
        Fault::Unusable(Box::new(diagnostic))
    }
}

/// Reads the scans of a design, one an obstacle; paths are from the spec's `folder`.
///
/// Errors: what is wrong with every one of them. Where that is only that the machine refuses a file, its refusal.
pub fn load(design: &Design, origins: &Origins, folder: &Path) -> Result<Vec<Option<Placed>>, Failure> {
    let files: Vec<Option<&ScanFile>> = design
        .bay
        .obstacles
        .iter()
        .map(|obstacle| match &obstacle.form {
            Form::Scan(file) => Some(file),
            _ => None,
        })
        .collect();
    let cache = ScanCache::of_user();
    let (mut scans, mut faults, mut refused) = (Vec::new(), Vec::new(), Vec::new());
    for read in in_threads(&files, |file| file.map(|file| read(file, origins, folder, cache.as_ref()))) {
        match read.transpose() {
            Ok(scan) => scans.push(scan),
            Err(Fault::Unusable(fault)) => faults.push(*fault),
            Err(Fault::Refused(both)) => refused.push(*both),
        }
    }
    match (faults.is_empty(), refused.is_empty()) {
        (true, true) => Ok(scans),
        (true, false) => Err(refused.swap_remove(0).0),
        _ => {
            faults.extend(refused.into_iter().map(|(_, fault)| fault));
            faults.sort_by_key(|fault| fault.span.start);
            Err(Failure::Unusable(faults))
        }
    }
}

/// What is wrong with the scans of a spec that is itself of no use, as far as it was read; paths are from the spec's
/// `folder`. What a filter leaves of them is not asked: its lengths may be what is wrong.
pub fn faults(unread: &Unread, folder: &Path) -> Vec<Diagnostic> {
    let fault = |file: &ScanFile| match bytes(file, &unread.origins, folder) {
        Ok(bytes) => parsed(&bytes, file, &unread.origins).err(),
        Err(fault) => Some(fault),
    };
    let plain = |file: &ScanFile| ScanFile { isolated: None, ..file.clone() };
    let files: Vec<ScanFile> = unread.scans.iter().map(plain).collect();
    let told = in_threads(&files, fault).into_iter().flatten();
    told.map(|fault| match fault {
        Fault::Unusable(fault) => *fault,
        Fault::Refused(both) => both.1,
    })
    .collect()
}

/// `work` on each item, on as many threads as the machine has; the answers in the items' order.
fn in_threads<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = thread::available_parallelism().map_or(1, NonZero::get).min(items.len());
    if threads < 2 {
        return items.iter().map(work).collect();
    }
    let every = |first| items.iter().enumerate().skip(first).step_by(threads);
    let share = |first| every(first).map(|(index, item)| (index, work(item))).collect::<Vec<_>>();
    let share = &share;
    let mut done: Vec<(usize, R)> = thread::scope(|scope| {
        let threads: Vec<_> = (0..threads).map(|first| scope.spawn(move || share(first))).collect();
        let joined =
            threads.into_iter().map(|t| t.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        joined.flatten().collect()
    });
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// One scan.
fn read(
    file: &ScanFile,
    origins: &Origins,
    folder: &Path,
    cache: Option<&ScanCache>,
) -> Result<Placed, Fault> {
    let bytes = bytes(file, origins, folder)?;
    let kept = cache.and_then(|cache| Some((cache, Key::of(&bytes, file)?)));
    if let Some(placed) = kept.as_ref().and_then(|(cache, key)| cache.get(key)) {
        return Ok(placed);
    }
    let (scan, noise) = parsed(&bytes, file, origins)?;
    drop(bytes);
    let placed = Placed::of(scan, noise);
    if let Some((cache, key)) = kept {
        cache.keep(&key, &placed);
    }
    Ok(placed)
}

/// A scan's bytes as points and triangles in the car, and what was left out of it as noise.
fn parsed(bytes: &[u8], file: &ScanFile, origins: &Origins) -> Result<(Scan, Scan), Fault> {
    let scan = scan::read(bytes, file.format).map_err(|fault| {
        let place = match fault.place {
            scan::Place::Whole => String::new(),
            place => format!(", {place}"),
        };
        let message = format!("{}{place}: {}", file.file, fault.message);
        let label = "of no use as it is";
        Fault::unusable(origins.diagnostic(&file.key, fault.code, message, label, fault.help))
    })?;
    let scan = scan.placed(&file.placement);
    let Some(isolated) = file.isolated else { return Ok((scan, Scan::default())) };
    let (scan, noise) = scan.filtered(isolated.within, isolated.least);
    if scan.points.is_empty() {
        let message = format!("{}: `isolated` leaves nothing of the scan", file.file);
        let key = format!("{}.isolated", file.key.trim_end_matches(".file"));
        let help = "give a larger `within` or a smaller `least`, or see that the scan's units are right";
        let fault = origins.diagnostic(&key, "isolated-all", message, "nothing is left", help);
        return Err(Fault::unusable(fault));
    }
    Ok((scan, noise))
}

/// A scan's bytes.
fn bytes(file: &ScanFile, origins: &Origins, folder: &Path) -> Result<Vec<u8>, Fault> {
    let name = &file.file;
    let path = folder.join(name);
    let fault = |code, reason: String, label, help| {
        let message = format!("the scan \"{name}\" cannot be read: {reason}");
        origins.diagnostic(&file.key, code, message, label, help)
    };
    let failed = |error: std::io::Error| match path_fault(&path, &error) {
        Some(reason) => {
            let help = "write its path from this file's folder";
            Fault::unusable(fault("scan-not-read", reason.to_owned(), "not there", help))
        }
        None => {
            let shut = fault("scan-not-read", error.to_string(), "kept shut", "see who may read it");
            let failure = Failure::refused(&path, format!("the file cannot be read: {error}"));
            Fault::Refused(Box::new((failure, shut)))
        }
    };
    let told = fs::metadata(&path).map_err(failed)?;
    if !told.is_file() {
        let reason = if told.is_dir() { "it is a folder" } else { "it is no plain file" };
        let help = "name the scan's file";
        return Err(Fault::unusable(fault("scan-not-read", reason.to_owned(), "not a file", help)));
    }
    let too_large = |length: u64| {
        let reason = format!("it holds {length} bytes, and the most that is read is {LARGEST}");
        let help = "cut away what is far from the header, or thin it out, in the scanner's own program";
        Fault::unusable(fault("scan-too-large", reason, "too large", help))
    };
    if told.len() > LARGEST {
        return Err(too_large(told.len()));
    }
    let mut bytes = Vec::with_capacity(told.len() as usize);
    let open = File::open(&path).map_err(failed)?;
    open.take(LARGEST + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > LARGEST { Err(too_large(bytes.len() as u64)) } else { Ok(bytes) }
}
