//! Files: what goes wrong with them, in one sentence for every front, and how new ones are written.

use std::io::{self, ErrorKind, Write as _};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

/// A file that could not be read or written.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.sentence())]
pub struct FileError {
    file: PathBuf,
    why: Why,
}

#[derive(Debug)]
enum Why {
    /// What the system says.
    System(io::Error),
    /// It is there, and nobody asked to write over it.
    IsThere,
    /// It is a link, a folder or the like.
    IsNoFile,
}

impl FileError {
    /// What went wrong with a file.
    pub fn new(file: impl Into<PathBuf>, error: impl Into<io::Error>) -> Self {
        Self { file: file.into(), why: Why::System(error.into()) }
    }

    fn sentence(&self) -> String {
        let Self { file, why } = self;
        let file = file.display();
        let error = match why {
            Why::System(error) => error,
            Why::IsThere => {
                return format!(
                    "{file} is there already. Choose another name, or write over it: --force"
                );
            }
            Why::IsNoFile => {
                return format!("{file} is a link or a folder. Name the file itself.");
            }
        };
        match error.kind() {
            ErrorKind::NotFound => {
                format!("There is no such file or folder: {file}. Check its name.")
            }
            ErrorKind::PermissionDenied => {
                format!("{file} may not be used by this user. Change its permissions.")
            }
            _ => format!("{file}: {error}. Check the file's name and whether it may be used."),
        }
    }
}

/// Whether a file may be written: not where a link, a folder or the like is, and over a file only
/// if that is asked.
///
/// # Errors
/// If it may not.
pub fn may_write(file: &Path, over: bool) -> Result<(), FileError> {
    let failed = |why| Err(FileError { file: file.to_owned(), why });
    match file.symlink_metadata() {
        Ok(found) if !found.is_file() => failed(Why::IsNoFile),
        Ok(_) if !over => failed(Why::IsThere),
        _ => Ok(()),
    }
}

/// Writes a file, all of it or nothing: never through a link, and over a file only if that is
/// asked.
///
/// # Errors
/// If something of that name is there, or it cannot be written.
pub fn write(file: &Path, bytes: &[u8], over: bool) -> Result<(), FileError> {
    may_write(file, over)?;
    let failed = |why| FileError { file: file.to_owned(), why };
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    let drafted = || -> io::Result<tempfile::NamedTempFile> {
        let anyone = std::fs::Permissions::from_mode(0o666);
        let mut draft = tempfile::Builder::new()
            .permissions(anyone)
            .tempfile_in(folder.unwrap_or(Path::new(".")))?;
        draft.write_all(bytes)?;
        draft.as_file().sync_all()?;
        Ok(draft)
    };
    let draft = drafted().map_err(|error| failed(Why::System(error)))?;
    // Where nothing was a moment ago, something may be now.
    let kept = if over { draft.persist(file) } else { draft.persist_noclobber(file) };
    kept.map(drop).map_err(|error| match error.error.kind() {
        ErrorKind::AlreadyExists => failed(Why::IsThere),
        _ => failed(Why::System(error.error)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_written_over_only_if_asked_and_a_link_never() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let said = |name: &str, over| {
            let error = write(&at(name), b"new", over).unwrap_err().to_string();
            error.replace(&format!("{}/", folder.path().display()), "")
        };
        write(&at("a"), b"old", false).unwrap();
        assert_eq!(
            said("a", false),
            "a is there already. Choose another name, or write over it: --force"
        );
        assert_eq!(std::fs::read(at("a")).unwrap(), b"old");
        for (link, to) in [("to-a", "a"), ("to-nothing", "nothing")] {
            std::os::unix::fs::symlink(to, at(link)).unwrap();
            for over in [false, true] {
                let sentence = format!("{link} is a link or a folder. Name the file itself.");
                assert_eq!(said(link, over), sentence);
            }
        }
        std::fs::create_dir(at("folder")).unwrap();
        assert_eq!(said("folder", true), "folder is a link or a folder. Name the file itself.");
        assert_eq!(
            said("none/a", true),
            "There is no such file or folder: none/a. Check its name."
        );
        assert_eq!(std::fs::read(at("a")).unwrap(), b"old");
        write(&at("a"), b"new", true).unwrap();
        assert_eq!(std::fs::read(at("a")).unwrap(), b"new");
        assert!(!at("nothing").exists());
        let mode = at("a").metadata().unwrap().permissions().mode();
        std::fs::write(at("plain"), "").unwrap();
        assert_eq!(mode, at("plain").metadata().unwrap().permissions().mode(), "as any file is");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 5, "no drafts are left");
    }
}
