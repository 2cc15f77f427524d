//! Where a record is kept: in a file.

use super::RecordError;
use std::fmt;
use std::path::Path;

/// Where a record is kept.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Address {
    /// The whole name of the file. A name that is whole is never read as anything but a file's.
    file: String,
}

impl Address {
    /// The address of a record's file, or of the file that a link of that name leads to.
    ///
    /// # Errors
    /// If the name is no text in UTF-8, or speaks of a server, or the file has other names too or is a device, a pipe or the like.
    pub fn of(file: &Path) -> Result<Self, RecordError> {
        let Some(text) = file.to_str() else { return Err(RecordError::NoText) };
        if text.contains("://") {
            return Err(RecordError::NoServer);
        }
        let whole = std::path::absolute(file).map_err(|error| RecordError::NoFile(error.into()))?;
        // The database keeps its log beside the file that a link leads to, and not beside the link.
        let whole = std::fs::canonicalize(&whole).unwrap_or(whole);
        // Opening such a thing could wait for ever.
        if whole.metadata().is_ok_and(|found| !found.is_file() && !found.is_dir()) {
            return Err(RecordError::NoPlainFile);
        }
        if has_other_names(&whole) {
            return Err(RecordError::OtherNames);
        }
        let file = whole.into_os_string().into_string().map_err(|_| RecordError::NoText)?;
        Ok(Self { file })
    }

    /// The whole name of the file.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// The same, as a path.
    pub fn path(&self) -> &Path {
        Path::new(&self.file)
    }

    /// The file of that name with an ending, in the same folder.
    pub fn beside(&self, ending: &str) -> Self {
        Self { file: format!("{}{ending}", self.file) }
    }
}

/// Whether a file has more than one name: the database keeps its log beside the one that it was
/// opened by, so what is ruled under one name would be missing under another.
pub(super) fn has_other_names(file: &Path) -> bool {
    #[cfg(unix)]
    return file
        .metadata()
        .is_ok_and(|file| file.is_file() && std::os::unix::fs::MetadataExt::nlink(&file) > 1);
    // Elsewhere this cannot be seen.
    #[cfg(not(unix))]
    return {
        let _ = file;
        false
    };
}

impl fmt::Debug for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Address({})", self.file)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_look_like_something_else_are_files() {
        let folder = std::env::current_dir().unwrap();
        for name in ["record.db", ":memory:", "file:record.db", "file:record.db?mode=memory"] {
            let address = Address::of(Path::new(name)).unwrap();
            assert_eq!(address.path(), folder.join(name));
            assert!(address.path().is_absolute());
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_file_with_two_names_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let (one, other) = (folder.path().join("one.db"), folder.path().join("other.db"));
        std::fs::write(&one, "held").unwrap();
        assert!(Address::of(&one).is_ok());
        std::fs::hard_link(&one, &other).unwrap();
        assert!(matches!(Address::of(&one), Err(RecordError::OtherNames)));
        assert!(Address::of(folder.path()).is_ok(), "a folder has many");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stands_for_the_file_it_leads_to() {
        let folder = tempfile::tempdir().unwrap();
        let real = folder.path().canonicalize().unwrap().join("real.db");
        let link = folder.path().join("record.db");
        std::os::unix::fs::symlink(&real, &link).unwrap();
        assert_eq!(Address::of(&link).unwrap().path(), link, "it leads nowhere yet");
        std::fs::write(&real, "held").unwrap();
        assert_eq!(Address::of(&link).unwrap().path(), real);
    }

    #[test]
    fn a_servers_address_is_refused_without_its_password() {
        let refused = Address::of(Path::new("db://ida:reeds@harrow/record")).unwrap_err();
        assert!(matches!(refused, RecordError::NoServer));
        assert!(!format!("{refused} {refused:?}").contains("reeds"));
    }

    #[cfg(unix)]
    #[test]
    fn a_name_that_is_no_text_is_refused() {
        use std::os::unix::ffi::OsStrExt as _;
        let name = Path::new(std::ffi::OsStr::from_bytes(b"record\xff.db"));
        assert!(matches!(Address::of(name), Err(RecordError::NoText)));
    }
}
