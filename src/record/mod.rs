//! The record: an append-only list of events in `SQLite`, and the posts still owed.
//!
//! All SQL is here. [`Record::append`] is the only way in: one transaction holds the event, the
//! post it owes, and whatever else the event needs to be gone on from.

mod chat;
mod error;
mod read;
mod write;

pub use chat::{Officer, Owed, ServerDefaults, Trace};
pub use error::{AppendError, RecordError};
pub use read::BattleSummary;
pub use write::{Append, Import, NewBattle};

use sqlx::SqlitePool;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use std::path::Path;
use std::time::Duration;

/// How long a request waits for another program to finish its own.
const PATIENCE: Duration = Duration::from_secs(5);
/// Connections that read one file.
const READERS: u32 = 3;
/// How often opening is tried while another program sets the file up.
const OPENING_TRIES: u32 = 20;

/// A record that is open.
#[derive(Debug, Clone)]
pub struct Record {
    /// For reading, side by side.
    pool: SqlitePool,
    /// For writing: one connection, so that those who write wait in a row. `SQLite` itself lets
    /// them try again and again, with longer and longer sleeps in between.
    writer: SqlitePool,
}

impl Record {
    /// Opens the record in `file`, or begins one there.
    pub async fn open(file: &Path) -> Result<Self, RecordError> {
        Self::open_capped(file, None).await
    }

    /// The same, for a record that must not grow past `pages` pages of 4,096 bytes.
    ///
    /// A capped record behaves as on a full disk once it has reached its cap.
    pub async fn open_capped(file: &Path, pages: Option<u32>) -> Result<Self, RecordError> {
        let mut options = SqliteConnectOptions::new()
            .filename(file)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(PATIENCE);
        if let Some(pages) = pages {
            options = options.pragma("max_page_count", pages.to_string());
        }
        let pool = connections(READERS);
        // Two programs that begin the same file at once: one sets it up, the other waits here.
        let mut tries = 0;
        loop {
            match Self::connect(pool.clone(), options.clone(), true).await {
                Err(error) if error.is_passing() && tries < OPENING_TRIES => {
                    tries += 1;
                    tokio::time::sleep(Duration::from_millis(50)).await;
                }
                Err(error) => return Err(error.opening(file)),
                Ok(record) => return Ok(record),
            }
        }
    }

    /// Opens a record that is there already, to be read only: it is not changed in any way.
    pub async fn open_to_read(file: &Path) -> Result<Self, RecordError> {
        let options = SqliteConnectOptions::new().filename(file).read_only(true);
        let pool = connections(READERS);
        let reading = async {
            let pool = pool.connect_with(options.busy_timeout(PATIENCE)).await?;
            match kind(&pool).await? {
                FileKind::Record => Ok(Self { writer: pool.clone(), pool }),
                FileKind::Empty | FileKind::Foreign => Err(RecordError::Foreign),
            }
        };
        reading.await.map_err(|error: RecordError| error.opening(file))
    }

    /// A record in memory, gone when it is closed.
    pub async fn throwaway() -> Result<Self, RecordError> {
        let options = SqliteConnectOptions::new().in_memory(true).foreign_keys(true);
        let pool = connections(1).min_connections(1).idle_timeout(None).max_lifetime(None);
        Self::connect(pool, options, false).await
    }

    async fn connect(
        pool: SqlitePoolOptions,
        options: SqliteConnectOptions,
        writes_apart: bool,
    ) -> Result<Self, RecordError> {
        let pool = pool.connect_with(options.clone()).await?;
        if kind(&pool).await? == FileKind::Foreign {
            return Err(RecordError::Foreign);
        }
        sqlx::migrate!("./migrations").run(&pool).await?;
        let writer =
            if writes_apart { connections(1).connect_lazy_with(options) } else { pool.clone() };
        Ok(Self { pool, writer })
    }

    /// Closes every connection.
    pub async fn close(&self) {
        self.writer.close().await;
        self.pool.close().await;
    }
}

/// Up to `most` connections; a file does not hang up, so nobody asks each time whether it did.
fn connections(most: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new().max_connections(most).test_before_acquire(false)
}

/// What a database file holds.
#[derive(Debug, PartialEq, Eq)]
enum FileKind {
    Empty,
    Record,
    Foreign,
}

/// Tells a record from an empty file and from another program's.
async fn kind(pool: &SqlitePool) -> Result<FileKind, RecordError> {
    let tables: Vec<String> =
        sqlx::query_scalar("SELECT name FROM sqlite_master WHERE type = 'table'")
            .fetch_all(pool)
            .await?;
    let ours = |name: &str| tables.iter().any(|table| table == name);
    Ok(match tables.as_slice() {
        [] => FileKind::Empty,
        // Another program may be in the middle of setting it up.
        [only] if only == "_sqlx_migrations" => FileKind::Empty,
        _ if ours("battles") && ours("events") && ours("chains") => FileKind::Record,
        _ => FileKind::Foreign,
    })
}
