//! A spec file, read and laid out.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use layout::Layout;
use spec::source::LARGEST;
use spec::{Design, Diagnostic, Origins, Source, read_design};

use crate::failure::Failure;

/// A spec with everything that follows from it.
pub struct Job {
    /// What the spec says.
    pub design: Design,
    /// Where it says it.
    pub origins: Origins,
    /// The header in space.
    pub layout: Layout,
    /// The spec's text.
    pub source: Source,
}

impl Job {
    /// Reads and lays out the spec at `path`, with the shop file that it names.
    ///
    /// Errors: everything that is wrong with it; a file that is there but that the machine keeps shut.
    pub fn read(path: &Path) -> Result<Job, Failure> {
        let name = path.display().to_string();
        let bytes = bytes(path).map_err(|error| match error.kind() {
            ErrorKind::NotFound => unreadable(&name, "no-spec", "there is no such file"),
            ErrorKind::IsADirectory => {
                unreadable(&name, "no-spec", "this is a folder; name the spec file in it")
            }
            ErrorKind::FileTooLarge => unreadable(&name, "too-large", &error.to_string()),
            _ => Failure::refused(path, format!("the file cannot be read: {error}")),
        })?;
        let source = Source::from_bytes(&name, &bytes).map_err(|fault| Failure::Unusable(vec![fault]))?;
        Job::of(source, path)
    }

    /// Reads and lays out the text of the spec at `path`.
    pub fn of(source: Source, path: &Path) -> Result<Job, Failure> {
        let folder = path.parent().unwrap_or(Path::new(""));
        let (design, origins) =
            read_design(&source, &mut |shop| load_shop(folder, shop)).map_err(Failure::Unusable)?;
        let layout = lay(&design, &origins)?;
        Ok(Job { design, origins, layout, source })
    }

    /// That nothing can be made of the job, with the token of `key` marked.
    pub fn unusable(&self, key: &str, code: &'static str, message: String) -> Failure {
        let help = "hotside check says what the spec comes to";
        Failure::Unusable(vec![self.origins.diagnostic(key, code, message, "", help)])
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

fn load_shop(folder: &Path, shop: &str) -> Result<Source, String> {
    let path = folder.join(shop);
    let bytes = bytes(&path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => "no such file".to_owned(),
        _ => error.to_string(),
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
