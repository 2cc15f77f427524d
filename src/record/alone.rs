//! Serving a record alone, or taking battles into it.
//!
//! Two programs that serve one record would both bring what is owed to the platform; and what a
//! killed import has left is told from one that is under way. The lock is the system's: it goes with whoever holds it, however they end.

use super::address::Address;
use super::{RecordError, file};
use std::fs::{File, TryLockError};
use std::io;
use std::os::unix::fs::MetadataExt as _;
use std::path::Path;

/// The right to serve a record, or to take battles in, until it is dropped.
#[derive(Debug)]
pub struct Alone {
    file: Address,
    /// Holds the lock.
    _lock: File,
}

impl Alone {
    /// The right to serve the record in `file`, which need not be there yet.
    ///
    /// # Errors
    /// If another program has it, or the folder cannot be written to.
    pub fn with(file: &Path) -> Result<Self, RecordError> {
        let locked =
            || Self::of(&Address::of(file)?.beside("-serving"))?.ok_or(RecordError::Served);
        locked().map_err(|error: RecordError| error.opening(file))
    }

    /// The right to take battles into the record at an address; none if another has it.
    pub(super) fn importing(record: &Address) -> Result<Option<Self>, RecordError> {
        Self::of(&record.beside("-importing"))
    }

    /// The right that the lock at an address gives; none if another has it.
    fn of(address: &Address) -> Result<Option<Self>, RecordError> {
        loop {
            let lock = file::open_own(address.path(), true).map_err(RecordError::of_file)?;
            match lock.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Ok(None),
                Err(TryLockError::Error(error)) => return Err(RecordError::of_file(error)),
            }
            // Whoever had the lock may have taken its file away meanwhile.
            if is_at(&lock, address.path()).map_err(RecordError::of_file)? {
                return Ok(Some(Self { file: address.clone(), _lock: lock }));
            }
        }
    }
}

impl Drop for Alone {
    fn drop(&mut self) {
        // Still locked; one that stays is locked by the next.
        let _ = std::fs::remove_file(self.file.path());
    }
}

/// Whether the file that is open is the one of that name.
fn is_at(open: &File, name: &Path) -> io::Result<bool> {
    let named = match name.metadata() {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        named => named?,
    };
    let open = open.metadata()?;
    Ok((open.dev(), open.ino()) == (named.dev(), named.ino()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_serves_at_a_time_and_nothing_stays_behind() {
        let folder = tempfile::tempdir().unwrap();
        let record = folder.path().join("record.db");
        let alone = Alone::with(&record).unwrap();
        assert!(Alone::with(&folder.path().join("other.db")).is_ok());
        assert_eq!(
            Alone::with(&record).unwrap_err().to_string(),
            format!(
                "The record {} cannot be used: another drumhead serve is using it. Stop that one, \
                 or name another file.",
                record.display()
            )
        );
        drop(alone);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        // What a killed run leaves is in nobody's way.
        std::fs::write(folder.path().join("record.db-serving"), "").unwrap();
        drop(Alone::with(&record).unwrap());
    }

    /// Whoever opened the file just before it was taken away holds a lock that nobody else sees.
    #[test]
    fn a_lock_on_a_file_that_is_gone_is_none() {
        let folder = tempfile::tempdir().unwrap();
        let (name, other) = (folder.path().join("lock"), folder.path().join("other"));
        let open = File::create(&name).unwrap();
        assert!(is_at(&open, &name).unwrap());
        std::fs::remove_file(&name).unwrap();
        assert!(!is_at(&open, &name).unwrap());
        std::fs::write(&other, "").unwrap();
        std::fs::rename(other, &name).unwrap();
        assert!(!is_at(&open, &name).unwrap());
    }

    #[test]
    fn a_link_is_not_locked() {
        let folder = tempfile::tempdir().unwrap();
        let record = folder.path().join("record.db");
        std::os::unix::fs::symlink("elsewhere", folder.path().join("record.db-serving")).unwrap();
        assert!(matches!(Alone::with(&record), Err(RecordError::Unopened { .. })));
    }
}
