//! The record: an append-only list of events in a database, and the posts still owed.
//!
//! All SQL is here. [`Record::append`] is the only way in: one transaction holds the event, the
//! post it owes, the id it answers, and whatever else it needs to be gone on from.
//!
//! `store` alone knows which database that is; `address` says where it is and `file` what lies
//! there; `count` keeps how far it has come, `alone` that only one program serves it, and
//! `migrations` makes its tables. `write` and `read` are the events, `import` takes whole battles
//! in, `owed` has the posts, `waiting` who waits for one, in a file beside; `people` and `servers`
//! what is kept of whom, `erase` how it goes, and `copy` brings whole records out and back.

mod address;
mod alone;
mod copy;
mod count;
mod erase;
mod error;
mod file;
mod import;
mod migrations;
mod owed;
mod people;
mod read;
mod secrets;
mod servers;
mod store;
mod waiting;
mod write;

pub use alone::Alone;
pub use copy::{CopyError, restore};
pub use erase::Left;
pub use error::{AppendError, Cause, RecordError};
pub use import::Import;
pub use owed::Owed;
pub use people::Trace;
pub use read::{Answered, BattleSummary};
pub use servers::ServerDefaults;
pub use waiting::Waiting;
pub use write::{Append, NewBattle};

use address::Address;
use count::Count;
use error::{Kind, StoreError};
use file::Holds;
use people::PeopleAtHand;
use std::path::Path;
use std::time::Duration;
use store::{Purpose, Store};
use waiting::WaitingList;

/// How often opening is tried while another program sets the file up.
const OPENING_TRIES: u32 = 20;
/// How long to wait in between.
const BETWEEN_TRIES: Duration = Duration::from_millis(50);

/// A record that is open.
#[derive(Debug, Clone)]
pub struct Record {
    store: Store,
    waiting: WaitingList,
    people: PeopleAtHand,
}

impl Record {
    /// Opens the record in `file`, or begins one there, for the file's owner alone.
    pub async fn open(file: &Path) -> Result<Self, RecordError> {
        Self::open_capped(file, None).await
    }

    /// The same, for a record that must not grow past `pages` pages of 4,096 bytes.
    ///
    /// A capped record behaves as on a full disk once it has reached its cap.
    pub async fn open_capped(file: &Path, pages: Option<u32>) -> Result<Self, RecordError> {
        let opening = async {
            let address = Address::of(file)?;
            if look(&address)? == Holds::Nothing {
                set_up(&address).await?;
            }
            Self::over(&address, Purpose::Use(pages)).await?.or_closed(Self::made_ready).await
        };
        opening.await.map_err(|error: RecordError| error.opening(file))
    }

    /// Opens a record that is there already, to be read only: nothing in it is changed.
    pub async fn open_to_read(file: &Path) -> Result<Self, RecordError> {
        let opening = async {
            let address = Address::of(file)?;
            if look(&address)? == Holds::Nothing {
                return Err(RecordError::Foreign);
            }
            let record = Self::over(&address, Purpose::Read).await?;
            record.or_closed(async |record| record.store.is_current().await.map(drop)).await
        };
        opening.await.map_err(|error: RecordError| error.opening(file))
    }

    /// The record at an address, with all of its log.
    async fn over(address: &Address, purpose: Purpose) -> Result<Self, RecordError> {
        // Read first, so that what others write meanwhile is not missing.
        let count = Count::of(address);
        let number = count.read().unwrap_or(0);
        let store = patiently(async || Store::open(address, purpose).await).await?;
        let record = Self::kept_in(store, Some(address));
        let record = record.or_closed(async |record| match record.missing(number).await? {
            0 => Ok(()),
            // It is closed as it is, and its count stays.
            missing => Err(RecordError::LogGone {
                missing,
                log: count.log().file().to_owned(),
                count: count.file().to_owned(),
            }),
        });
        let mut record = record.await?;
        if matches!(purpose, Purpose::Use(_)) {
            let come_to = record.store.come_to().await?;
            record.store = record.store.counting(count.beginning_at(come_to));
        }
        Ok(record)
    }

    /// A record in that store, and in what lies beside the file at that address.
    fn kept_in(store: Store, address: Option<&Address>) -> Self {
        let (waiting, people) = (WaitingList::of(address), PeopleAtHand::default());
        Self { store, waiting, people }
    }

    /// How many events are missing of so many.
    async fn missing(&self, number: u64) -> Result<u64, RecordError> {
        Ok(number.saturating_sub(self.store.come_to().await?))
    }

    /// A record in memory, gone when it is closed.
    pub async fn throwaway() -> Result<Self, RecordError> {
        let store = Store::in_memory().await?;
        store.migrate().await?;
        Ok(Self::kept_in(store, None))
    }

    /// Closes every connection.
    pub async fn close(&self) {
        self.store.close().await;
        self.waiting.close();
    }

    /// Brings the tables up to date, and ends what a killed run had begun to erase or to take in.
    async fn made_ready(&self) -> Result<(), RecordError> {
        if !self.store.is_current().await? {
            self.store.migrate().await?;
        }
        self.end_killed_imports().await?;
        self.finish_erasing().await
    }

    /// The record itself if all is well with it; else it is closed, so that nothing is left lying
    /// beside its file.
    async fn or_closed(
        self,
        look: impl AsyncFnOnce(&Self) -> Result<(), RecordError>,
    ) -> Result<Self, RecordError> {
        match look(&self).await {
            Ok(()) => Ok(self),
            Err(error) => {
                self.close().await;
                Err(error)
            }
        }
    }
}

/// What the file holds; anything that is neither a record nor the place for one is refused, and
/// has not been touched.
fn look(address: &Address) -> Result<Holds, RecordError> {
    let journal = address.beside("-journal");
    match file::holds(address.path()).map_err(RecordError::of_file)? {
        Holds::Foreign => Err(RecordError::Foreign),
        // Some run is setting the record up, or was killed while it did: until that is over or
        // undone, the file may look like anything.
        _ if file::is_more_than_nothing(journal.path()) => Ok(Holds::Nothing),
        Holds::NoDatabase => {
            let cause = "it does not begin as a database does";
            Err(RecordError::Unsound(cause.into()))
        }
        held => Ok(held),
    }
}

/// Begins a record in a file that holds nothing.
///
/// All of it is one transaction with a journal beside the file, and without a log of pages: what a
/// killed run had done is undone by the next.
async fn set_up(address: &Address) -> Result<(), RecordError> {
    // The database would take such a log away without a word. If there is a record by now, another
    // program has been faster.
    let log = address.beside("-wal");
    if file::is_more_than_nothing(log.path()) && look(address)? == Holds::Nothing {
        return Err(RecordError::Leftover(log.file().to_owned()));
    }
    file::make_private(address.path()).map_err(RecordError::of_file)?;
    Count::of(address).remove();
    WaitingList::of(Some(address)).remove();
    let store = patiently(async || Store::open(address, Purpose::SetUp).await).await?;
    let made = store.migrate().await;
    store.close().await;
    made
}

/// Tries again for a while where another program is in the way: not all of them can be waited for.
async fn patiently(open: impl AsyncFn() -> Result<Store, StoreError>) -> Result<Store, StoreError> {
    let mut tries = 0;
    loop {
        match open().await {
            Err(error) if error.kind == Kind::Busy && tries < OPENING_TRIES => {
                tries += 1;
                tokio::time::sleep(BETWEEN_TRIES).await;
            }
            opened => return opened,
        }
    }
}
