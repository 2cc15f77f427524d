//! How far a record has come, kept in a file beside it.
//!
//! The newest events stand in the log of pages beside the database until it is closed. Were that
//! log taken away after a kill, the database would be a sound one of some time before, and nobody
//! would notice. So after each event its number is written here: never before it is on the disk, so
//! that the database has come at least as far, unless something was taken away.

use super::address::Address;
use super::file;
use std::fs::File;
use std::io::{self, Read as _, Seek as _, Write as _};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// The number beside a record.
#[derive(Debug, Clone)]
pub(super) struct Count {
    record: Address,
    file: Address,
    /// What it was when this program began to count, and what it has added. Others may have added
    /// more meanwhile, so that this is never too much.
    number: Arc<AtomicU64>,
    /// The file while this program writes to it: each event does, and opening it takes longer.
    open: Arc<Mutex<Option<File>>>,
}

/// Enough for any number.
const DIGITS: usize = 20;

impl Count {
    /// The count of the record at that address.
    pub fn of(record: &Address) -> Self {
        Self {
            record: record.clone(),
            file: record.beside("-count"),
            number: Arc::default(),
            open: Arc::default(),
        }
    }

    /// The same, once the record is known to have come so far.
    #[must_use]
    pub fn beginning_at(self, number: u64) -> Self {
        Self { number: Arc::new(number.into()), ..self }
    }

    /// Counts so many events that are on the disk.
    pub fn more(&self, many: u64) {
        self.write(self.number.fetch_add(many, Ordering::Relaxed) + many);
    }

    /// Where the record is.
    pub const fn record(&self) -> &Address {
        &self.record
    }

    /// The name of its file.
    pub fn file(&self) -> &str {
        self.file.file()
    }

    /// The log that must not be lost.
    pub fn log(&self) -> Address {
        self.record.beside("-wal")
    }

    /// The number; none if nobody keeps count, or if a power cut left something else.
    pub fn read(&self) -> Option<u64> {
        let mut text = String::new();
        file::open_own(self.file.path(), false).ok()?.take(64).read_to_string(&mut text).ok()?;
        text.strip_suffix('\n').filter(|digits| digits.len() == DIGITS)?.parse().ok()
    }

    /// Writes the number. It is not brought to the disk: a kill does not lose it, and what a power
    /// cut makes of it is never too high.
    fn write(&self, number: u64) {
        let write = || -> io::Result<()> {
            let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
            let file = match open.take() {
                Some(file) => file,
                None => file::open_own(self.file.path(), true)?,
            };
            let file = open.insert(file);
            file.rewind()?;
            file.write_all(format!("{number:0DIGITS$}\n").as_bytes())
        };
        if let Err(error) = write() {
            tracing::warn!(%error, "how far the record has come could not be kept beside it");
        }
    }

    /// Whether there is no log any more that could be lost.
    pub fn is_needless(&self) -> bool {
        !self.log().path().exists()
    }

    /// Takes the file away, where there is no log any more that could be lost.
    pub fn remove(&self) {
        drop(self.open.lock().unwrap_or_else(PoisonError::into_inner).take());
        // It may not be there; and one that stays says nothing that is not true.
        let _ = std::fs::remove_file(self.file.path());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_read_as_it_was_written_and_nothing_else_is() {
        let folder = tempfile::tempdir().unwrap();
        let address = Address::of(&folder.path().join("record.db")).unwrap();
        let count = Count::of(&address);
        assert_eq!(count.read(), None);
        count.clone().beginning_at(4).more(1);
        assert_eq!(count.read(), Some(5));
        for number in [u64::MAX, 0, 17] {
            count.write(number);
            assert_eq!(count.read(), Some(number));
        }
        drop(count.open.lock().unwrap().take());
        for other in ["", "17\n", "0000000000000000001", "00000000000000000017\n\0", "\0\0\0"] {
            std::fs::write(count.file(), other).unwrap();
            assert_eq!(count.read(), None, "{other:?}");
        }
        count.remove();
        assert!(!count.file.path().exists());
    }
}
