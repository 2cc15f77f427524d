//! Whole copies of a record, and back.
//!
//! Either way the copy is made under another name, brought to the disk, and only then given the
//! name that was asked: under that name is either all of it or nothing. What a killed run left
//! under the other name is written over by the next.

use super::address::Address;
use super::count::Count;
use super::file::{self, Holds};
use super::store::{Purpose, Store};
use super::waiting::WaitingList;
use super::{Record, RecordError};
use crate::digest::Digest;
use std::fs::{File, TryLockError};
use std::io;
use std::path::Path;

/// Events that are checked at once.
const READING: u32 = 500;

/// Why a record was not copied or not restored. Nothing stands under the name that was asked.
#[derive(Debug, thiserror::Error)]
pub enum CopyError {
    /// There is a file of that name.
    #[error("{0} already exists and was not overwritten. Choose another name.")]
    Taken(String),
    /// Something of an earlier record lies where one is to be restored.
    #[error(
        "Beside {record} lies {left}, left by an earlier record of that name, perhaps with its \
         last rulings. Move it to another folder, then restore again."
    )]
    Leftover {
        /// The record that was to be.
        record: String,
        /// What lies there.
        left: String,
    },
    /// The copy is a record that is open, or was when its program was killed.
    #[error(
        "{copy} is not a finished copy: beside it lies {left}. Make a copy of it with drumhead \
         backup, then restore that."
    )]
    InUse {
        /// The copy.
        copy: String,
        /// What lies beside it.
        left: String,
    },
    /// The copy holds nothing.
    #[error("{0} is empty, so it is not a copy of a record. Name another file.")]
    Empty(String),
    /// The copy is shorter than it says of itself.
    #[error(
        "{copy} is cut off: it should have {whole} bytes and has {length}. Copy it once more, or \
         use an earlier copy."
    )]
    Cut {
        /// The copy.
        copy: String,
        /// The bytes it should have.
        whole: u64,
        /// The bytes it has.
        length: u64,
    },
    /// The copy is whole, but what it holds is not as it was written.
    #[error("{copy} is damaged: {what}. Use an earlier copy.")]
    Damaged {
        /// The copy.
        copy: String,
        /// What is wrong with it.
        what: String,
    },
    /// Another program is doing the same.
    #[error("Another program is writing {0} at this moment. Wait until it is done.")]
    UnderWay(String),
    /// There is no room.
    #[error("The disk is full, so there is no copy. Make room, then ask again.")]
    Full,
    /// A file could not be read or written.
    #[error("{file} cannot be read or written: {error}. Check its name and its folder.")]
    File {
        /// The file.
        file: String,
        /// What the system says.
        error: io::Error,
    },
    /// The record failed.
    #[error(transparent)]
    Record(RecordError),
}

impl Record {
    /// Writes a whole and consistent copy of the record to a new file, for its owner alone, while
    /// others go on writing.
    pub async fn back_up(&self, copy: &Path) -> Result<(), CopyError> {
        let copy = Address::of(copy).map_err(|error| error.opening(copy))?;
        let draft = Draft::of(&copy, ".drumhead-copying", |draft| self.store.is_in(draft))?;
        self.store.copy_to(&draft.address).await.map_err(RecordError::from)?;
        draft.keep()
    }

    /// Whether the file holds together as a database.
    pub async fn is_sound(&self) -> Result<(), RecordError> {
        match self.store.unsound().await? {
            None => Ok(()),
            Some(what) => Err(RecordError::Damaged(what)),
        }
    }

    /// Whether every battle's events follow each other by number and by SHA-256, up to where the
    /// battle stands.
    async fn holds_together(&self) -> Result<(), RecordError> {
        for battle in self.battles(None).await? {
            let (mut seq, mut head) = (0, Digest::ZERO);
            loop {
                let events = self.events_after(&battle.battle, seq, READING).await?;
                if events.is_empty() {
                    break;
                }
                for recorded in events {
                    let event = &recorded.event;
                    if (event.seq, event.prev) != (seq + 1, head) || event.battle != battle.battle {
                        let what = format!("battle {} is broken after event {seq}", battle.battle);
                        return Err(RecordError::Damaged(what));
                    }
                    (seq, head) = (event.seq, recorded.hash);
                }
            }
            let end = format!("battle {} ends with event {seq}", battle.battle);
            if seq != battle.seq {
                return Err(RecordError::Damaged(format!("{end} and not {}", battle.seq)));
            }
            if head != battle.head {
                return Err(RecordError::Damaged(format!("{end} and another SHA-256")));
            }
        }
        Ok(())
    }
}

/// Puts a copy where no record is, once it has been found whole and sound.
///
/// # Errors
/// If a record or anything left of one is there, or the copy is not a finished one of this release
/// or an earlier one, in which every battle holds together.
pub async fn restore(copy: &Path, record: &Path) -> Result<(), CopyError> {
    let named = |address: Result<Address, RecordError>, file: &Path| {
        address.map_err(|error| error.opening(file))
    };
    let (copy, record) = (named(Address::of(copy), copy)?, named(Address::of(record), record)?);
    if let Some(left) = file::leftover(&record) {
        let left = left.file().to_owned();
        return Err(CopyError::Leftover { record: record.file().to_owned(), left });
    }
    is_whole(&copy)?;
    let mut draft = Draft::of(&record, ".drumhead-restoring", |draft| *draft == copy)?;
    let mut from = File::open(copy.path()).map_err(|error| of_file(&copy, error))?;
    io::copy(&mut from, &mut draft.file).map_err(|error| of_file(&draft.address, error))?;
    inspect(&draft.address).await.map_err(|error| match error {
        RecordError::Damaged(what) => CopyError::Damaged { copy: copy.file().to_owned(), what },
        RecordError::Event { .. } => {
            CopyError::Damaged { copy: copy.file().to_owned(), what: error.to_string() }
        }
        error => CopyError::Record(error.opening(copy.path())),
    })?;
    // How far an earlier record had come means nothing for this one, nor who waited for it.
    Count::of(&record).remove();
    WaitingList::of(Some(&record)).remove();
    draft.keep()
}

/// Whether a copy is a finished one, by what can be seen of the file.
fn is_whole(copy: &Address) -> Result<(), CopyError> {
    let held = file::holds(copy.path()).map_err(|error| of_file(copy, error))?;
    let name = || copy.file().to_owned();
    let length = copy.path().metadata().map_err(|error| of_file(copy, error))?.len();
    match held {
        Holds::Nothing => return Err(CopyError::Empty(name())),
        Holds::Foreign => return Err(RecordError::Foreign.opening(copy.path()).into()),
        Holds::NoDatabase => {
            let cause = "it does not begin as a database does".into();
            return Err(RecordError::Unsound(cause).opening(copy.path()).into());
        }
        Holds::Record => {}
    }
    if let Some(left) = file::leftover(copy) {
        return Err(CopyError::InUse { copy: name(), left: left.file().to_owned() });
    }
    let whole = file::whole_length(copy.path()).map_err(|error| of_file(copy, error))?;
    if length < whole {
        return Err(CopyError::Cut { copy: name(), whole, length });
    }
    Ok(())
}

/// Whether a file that nobody else has open is a sound record.
async fn inspect(file: &Address) -> Result<(), RecordError> {
    let store = Store::open(file, Purpose::Inspect).await?;
    let record = Record::kept_in(store, None);
    let inspecting = async {
        record.store.is_current().await?;
        record.is_sound().await?;
        record.store.is_as_made().await?;
        record.holds_together().await
    };
    let found = inspecting.await;
    record.close().await;
    found
}

/// A file that is to get another name once it is whole; dropped before that, it is taken away.
struct Draft<'a> {
    file: File,
    address: Address,
    target: &'a Address,
    kept: bool,
}

impl<'a> Draft<'a> {
    /// An empty draft of `target`, which must not be there; nor may the draft be the source.
    fn of(
        target: &'a Address,
        ending: &str,
        is_source: impl Fn(&Address) -> bool,
    ) -> Result<Self, CopyError> {
        let address = target.beside(ending);
        let trouble = |error| of_file(&address, error);
        if is_source(&address) {
            return Err(CopyError::Taken(address.file().to_owned()));
        }
        must_be_free(target)?;
        let file = file::open_own(address.path(), true).map_err(trouble)?;
        // The lock goes with whoever holds it, so that a killed run is in nobody's way.
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(CopyError::UnderWay(target.file().to_owned()));
            }
            Err(TryLockError::Error(error)) => return Err(trouble(error)),
        }
        // Another run may have given this very file its name while the lock was waited for.
        must_be_free(target)?;
        file.set_len(0).map_err(trouble)?;
        Ok(Self { file, address, target, kept: false })
    }

    /// Brings the draft to the disk and gives it its name.
    fn keep(mut self) -> Result<(), CopyError> {
        self.file.sync_all().map_err(|error| of_file(&self.address, error))?;
        must_be_free(self.target)?;
        let (from, to) = (self.address.path(), self.target.path());
        std::fs::rename(from, to).map_err(|error| of_file(self.target, error))?;
        self.kept = true;
        file::sync_folder(to).map_err(|error| of_file(self.target, error))
    }
}

impl Drop for Draft<'_> {
    fn drop(&mut self) {
        if !self.kept {
            // What is left of it is of no use to anyone, and the next run would write over it.
            let _ = std::fs::remove_file(self.address.path());
        }
    }
}

fn must_be_free(target: &Address) -> Result<(), CopyError> {
    match target.path().symlink_metadata() {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(of_file(target, error)),
        Ok(_) => Err(CopyError::Taken(target.file().to_owned())),
    }
}

fn of_file(file: &Address, error: io::Error) -> CopyError {
    match error.kind() {
        io::ErrorKind::StorageFull => CopyError::Full,
        io::ErrorKind::AlreadyExists => CopyError::Taken(file.file().to_owned()),
        _ => CopyError::File { file: file.file().to_owned(), error },
    }
}

impl From<RecordError> for CopyError {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Full(_) => Self::Full,
            error => Self::Record(error),
        }
    }
}
