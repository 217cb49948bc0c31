//! Paths that lead to no file: the fault of who wrote them, not of the machine.

use std::fs;
use std::io::{Error, ErrorKind};
use std::path::Path;

/// What is wrong with `path`, which could not be opened with `error`, in words; `None` where it leads somewhere and
/// the machine keeps that shut.
pub fn path_fault(path: &Path, error: &Error) -> Option<&'static str> {
    match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => Some("there is no such file"),
        ErrorKind::InvalidFilename => Some("its name is too long, or holds what no name may"),
        ErrorKind::InvalidInput => Some("it holds what no path may"),
        _ => path.ancestors().any(goes_nowhere).then_some("it is a link that leads back to itself"),
    }
}

/// Whether a path is a link that can be seen and not followed, though what it leads to is neither missing nor shut.
fn goes_nowhere(path: &Path) -> bool {
    let leads_on = |error: Error| {
        matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory | ErrorKind::PermissionDenied)
    };
    let is_link = fs::symlink_metadata(path).is_ok_and(|told| told.is_symlink());
    is_link && fs::metadata(path).is_err_and(|error| !leads_on(error))
}
