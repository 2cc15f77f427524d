//! What goes wrong with files, in one sentence for every front.

use std::path::PathBuf;

/// A file that could not be read or written.
#[derive(Debug, thiserror::Error)]
#[error("{}", self.sentence())]
pub struct FileError {
    file: PathBuf,
    error: std::io::Error,
}

impl FileError {
    /// What went wrong with a file.
    pub fn new(file: impl Into<PathBuf>, error: impl Into<std::io::Error>) -> Self {
        Self { file: file.into(), error: error.into() }
    }

    fn sentence(&self) -> String {
        let Self { file, error } = self;
        let file = file.display();
        match error.kind() {
            std::io::ErrorKind::NotFound => {
                format!("There is no such file or folder: {file}. Check its name.")
            }
            std::io::ErrorKind::AlreadyExists => {
                format!("{file} is there already and is not written over. Choose another name.")
            }
            std::io::ErrorKind::PermissionDenied => {
                format!("{file} may not be used by this user. Change its permissions.")
            }
            _ => format!("{file}: {error}. Check the file's name and whether it may be used."),
        }
    }
}
