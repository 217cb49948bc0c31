//! A spec file, read and laid out.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use clearance::{Clearance, Placed};
use layout::Layout;
use spec::finding::unused;
use spec::source::LARGEST;
use spec::{Design, Diagnostic, Origins, Source, read_spec};

use crate::failure::Failure;
use crate::path_fault::path_fault;
use crate::scans;

/// A spec with everything that follows from it.
pub struct Job {
    /// What the spec says.
    pub design: Design,
    /// Where it says it.
    pub origins: Origins,
    /// The header in space.
    pub layout: Layout,
    /// How near it comes to everything; its findings are among the layout's.
    pub clearance: Clearance,
    /// The scans of its bay where they stand, one an obstacle; `None`: a plain body.
    pub scans: Vec<Option<Placed>>,
    /// The spec's text.
    pub source: Source,
}

impl Job {
    /// Reads and lays out the spec at `path`, with the shop file and the scans that it names.
    ///
    /// Errors: everything that is wrong with it and with its scans; else with its layout and its scans; a file that
    /// is there but that the machine keeps shut.
    pub fn read(path: &Path) -> Result<Job, Failure> {
        let name = path.display().to_string();
        let bytes = bytes(path).map_err(|error| match error.kind() {
            ErrorKind::IsADirectory => {
                unreadable(&name, "no-spec", "this is a folder; name the spec file in it")
            }
            ErrorKind::FileTooLarge => unreadable(&name, "too-large", &error.to_string()),
            _ => match path_fault(path, &error) {
                Some(fault) => unreadable(&name, "no-spec", fault),
                None => Failure::refused(path, format!("the file cannot be read: {error}")),
            },
        })?;
        let source = Source::from_bytes(&name, &bytes).map_err(|fault| Failure::Unusable(vec![fault]))?;
        let (design, origins) = resolve(&source, path)?;
        let scans = scans::load(&design, &origins, folder(path));
        let (mut layout, scans) = both(lay(&design, &origins), scans)?;
        let clearance = clearance::check(&design, &layout, &scans);
        layout.findings.extend(clearance.findings.iter().cloned());
        layout.findings.extend(unused(&design.accepted, &layout.findings));
        layout.findings.sort_by_key(|finding| finding.level);
        Ok(Job { design, origins, layout, clearance, scans, source })
    }

    /// That nothing can be made of the job, with the token of `key` marked.
    pub fn unusable(&self, key: &str, code: &'static str, message: String) -> Failure {
        let help = "hotside check says what the spec comes to";
        Failure::Unusable(vec![self.origins.diagnostic(key, code, message, "", help)])
    }
}

/// The layout of the text of the spec at `path`, without the scans of its bay.
pub fn laid(source: &Source, path: &Path) -> Result<Layout, Failure> {
    let (design, origins) = resolve(source, path)?;
    lay(&design, &origins)
}

fn resolve(source: &Source, path: &Path) -> Result<(Design, Origins), Failure> {
    read_spec(source, &mut |file| load_file(folder(path), file)).map_err(|unread| {
        let scans = scans::faults(&unread, folder(path));
        Failure::Unusable(unread.faults.into_iter().chain(scans).collect())
    })
}

/// Where the files are that a spec names.
fn folder(spec: &Path) -> &Path {
    spec.parent().unwrap_or(Path::new(""))
}

/// Both results, or all that is wrong with either.
fn both<A, B>(first: Result<A, Failure>, second: Result<B, Failure>) -> Result<(A, B), Failure> {
    match (first, second) {
        (Ok(first), Ok(second)) => Ok((first, second)),
        (Err(Failure::Unusable(mut faults)), Err(Failure::Unusable(more))) => {
            faults.extend(more);
            Err(Failure::Unusable(faults))
        }
        (Err(failure), _) | (_, Err(failure)) => Err(failure),
    }
}

/// A file's bytes, at most as many as a spec may hold.
fn bytes(path: &Path) -> std::io::Result<Vec<u8>> {
    let file = File::open(path)?;
    let told = file.metadata()?;
    if told.is_dir() {
        return Err(ErrorKind::IsADirectory.into());
    }
    let mut bytes = Vec::new();
    file.take(LARGEST as u64 + 1).read_to_end(&mut bytes)?;
    if bytes.len() > LARGEST {
        let message = format!("the file is larger than {LARGEST} bytes, the most that is read");
        return Err(std::io::Error::new(ErrorKind::FileTooLarge, message));
    }
    Ok(bytes)
}

fn load_file(folder: &Path, file: &str) -> Result<Source, String> {
    let path = folder.join(file);
    let bytes = bytes(&path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => "no such file".to_owned(),
        ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => path_fault(&path, &error).map_or_else(|| error.to_string(), str::to_owned),
    })?;
    Source::from_bytes(&path.display().to_string(), &bytes).map_err(|fault| fault.message)
}

fn lay(design: &Design, origins: &Origins) -> Result<Layout, Failure> {
    layout::lay(design).map_err(|faults| {
        let shown =
            |fault: layout::Fault| origins.diagnostic(&fault.key, fault.code, fault.message, "", fault.help);
        Failure::Unusable(faults.into_iter().map(shown).collect())
    })
}

fn unreadable(name: &str, code: &'static str, message: &str) -> Failure {
    Failure::Unusable(vec![Diagnostic {
        code,
        message: message.to_owned(),
        label: String::new(),
        help: "hotside new FILE writes a spec to begin with".to_owned(),
        source: Source { name: name.to_owned(), text: "".into() },
        span: 0..0,
    }])
}
