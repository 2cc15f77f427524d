//! The one file that knows which database keeps a record: its connections, rows and transactions.
//!
//! The statements themselves are in the other files, as text that every such database understands,
//! with `$1` for the first value. Another database is another arm here, and its own migrations.

use super::address::Address;
use super::count::Count;
use super::error::{Broken, Kind, RecordError, StoreError};
use crate::digest::Digest;
use crate::protocol::{Place, RequestId, Who};
use sqlx::sqlite::{
    Sqlite, SqliteArguments, SqliteAutoVacuum, SqliteConnectOptions, SqliteJournalMode, SqlitePool,
    SqlitePoolOptions, SqliteRow, SqliteSynchronous,
};
use sqlx::{AssertSqlSafe, ConnectOptions as _, Connection as _, Row as _};
use std::time::Duration;

/// How long a request waits for another program to finish its own.
const PATIENCE: Duration = Duration::from_secs(5);
/// How long emptying the log waits for those who read, each time it is tried.
const SHORT_PATIENCE: Duration = Duration::from_millis(500);
/// How often it is tried.
const TRIES: u32 = 5;
/// Connections that read one file.
const READERS: u32 = 3;

/// A database that keeps a record.
#[derive(Debug, Clone)]
pub(super) enum Store {
    /// `SQLite`.
    Sqlite {
        /// For reading, side by side.
        readers: SqlitePool,
        /// For writing: one connection, so that those who write wait in a row. `SQLite` itself lets
        /// them try again and again, with longer and longer sleeps in between.
        writer: SqlitePool,
        /// How far it has come; none in memory, and none for those that write no events.
        count: Option<Count>,
    },
}

/// What a file is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    /// To make the tables in an empty file.
    SetUp,
    /// To read and write, the file never growing past that many pages of 4,096 bytes, if any.
    Use(Option<u32>),
    /// To read only, while others may write.
    Read,
    /// To read a file that nobody else has open; nothing is written beside it.
    Inspect,
}

/// A value of a statement.
pub(super) enum Value {
    Text(Option<String>),
    Number(Option<i64>),
    Flag(Option<bool>),
    Bytes(Vec<u8>),
}

/// One row of an answer.
pub(super) enum Row {
    Sqlite(SqliteRow),
}

/// A transaction; dropped before [`Transaction::commit`], it leaves nothing.
pub(super) enum Transaction {
    Sqlite(sqlx::Transaction<'static, Sqlite>),
}

impl Store {
    /// Opens a record's file, which must be there.
    pub async fn open(address: &Address, purpose: Purpose) -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new().filename(address.file()).busy_timeout(PATIENCE);
        let full = || options.clone().synchronous(SqliteSynchronous::Full).foreign_keys(true);
        // What is deleted is overwritten at once, and the file can be made smaller bit by bit.
        let writing = || full().pragma("secure_delete", "ON");
        let (options, readers) = match purpose {
            Purpose::SetUp => (writing().auto_vacuum(SqliteAutoVacuum::Incremental), 1),
            Purpose::Use(pages) => {
                let options = writing().journal_mode(SqliteJournalMode::Wal);
                let capped =
                    |pages: u32| options.clone().pragma("max_page_count", pages.to_string());
                (pages.map_or_else(|| options.clone(), capped), READERS)
            }
            // A connection that could write takes the log of pages away when it is the last to go;
            // one that could not would leave it beside the file.
            Purpose::Read => (options.pragma("query_only", "ON"), READERS),
            Purpose::Inspect => (options.read_only(true).immutable(true), 1),
        };
        let readers = connections(readers).connect_with(options.clone()).await?;
        let writer = match purpose {
            Purpose::Use(_) => connections(1).connect_lazy_with(options),
            _ => readers.clone(),
        };
        Ok(Self::Sqlite { readers, writer, count: None })
    }

    /// The same store, which keeps count of how far its record has come.
    #[must_use]
    pub fn counting(self, count: Count) -> Self {
        let Self::Sqlite { readers, writer, .. } = self;
        Self::Sqlite { readers, writer, count: Some(count) }
    }

    /// A database in memory, gone when it is closed.
    pub async fn in_memory() -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new().in_memory(true).foreign_keys(true);
        let pool = connections(1).min_connections(1).idle_timeout(None).max_lifetime(None);
        let readers = pool.connect_with(options).await?;
        Ok(Self::Sqlite { writer: readers.clone(), readers, count: None })
    }

    /// Whether it is kept in that file.
    pub fn is_in(&self, file: &Address) -> bool {
        let Self::Sqlite { readers, .. } = self;
        readers.connect_options().get_filename() == file.path()
    }

    /// Closes every connection.
    pub async fn close(&self) {
        let Self::Sqlite { readers, writer, count } = self;
        writer.close().await;
        readers.close().await;
        // The last to close takes the log away, and all of it is in the database.
        if let Some(count) = count.as_ref().filter(|count| count.is_needless()) {
            count.remove();
        }
    }

    /// Every row that a statement finds.
    pub async fn all<const N: usize>(
        &self,
        sql: &'static str,
        values: [Value; N],
    ) -> Result<Vec<Row>, StoreError> {
        let Self::Sqlite { readers, .. } = self;
        Ok(rows(query(sql, values).fetch_all(readers).await?))
    }

    /// The first row that a statement finds.
    pub async fn one<const N: usize>(
        &self,
        sql: &'static str,
        values: [Value; N],
    ) -> Result<Option<Row>, StoreError> {
        let Self::Sqlite { readers, .. } = self;
        Ok(query(sql, values).fetch_optional(readers).await?.map(Row::Sqlite))
    }

    /// What `read` makes of the first row that a statement finds.
    pub async fn find<T, const N: usize>(
        &self,
        sql: &'static str,
        values: [Value; N],
        read: impl Fn(&Row) -> Result<T, RecordError>,
    ) -> Result<Option<T>, RecordError> {
        self.one(sql, values).await?.as_ref().map(read).transpose()
    }

    /// What `read` makes of every row that a statement finds.
    pub async fn find_all<T, const N: usize>(
        &self,
        sql: &'static str,
        values: [Value; N],
        read: impl Fn(&Row) -> Result<T, RecordError>,
    ) -> Result<Vec<T>, RecordError> {
        self.all(sql, values).await?.iter().map(read).collect()
    }

    /// Runs one statement as a transaction of its own; how many rows it changed.
    pub async fn run<const N: usize>(
        &self,
        sql: &'static str,
        values: [Value; N],
    ) -> Result<u64, StoreError> {
        let Self::Sqlite { writer, .. } = self;
        Ok(query(sql, values).execute(writer).await?.rows_affected())
    }

    /// Begins a transaction; others who write wait for its end.
    pub async fn begin(&self) -> Result<Transaction, StoreError> {
        let Self::Sqlite { writer, .. } = self;
        Ok(Transaction::Sqlite(writer.begin_with("BEGIN IMMEDIATE").await?))
    }

    /// Keeps count of so many events that were just written.
    pub fn counts(&self, many: u64) {
        let Self::Sqlite { count, .. } = self;
        if let Some(count) = count {
            count.more(many);
        }
    }

    /// Where the record is that it writes to; none in memory.
    pub fn address(&self) -> Option<&Address> {
        let Self::Sqlite { count, .. } = self;
        count.as_ref().map(Count::record)
    }

    /// The number of the latest post that was owed, taken or not: each event makes one, and none
    /// has a number twice. Events that were imported have numbers too, and no posts.
    pub async fn come_to(&self) -> Result<u64, StoreError> {
        let sql = "SELECT seq FROM sqlite_sequence WHERE name = 'owed'";
        Ok(self.one(sql, []).await?.map(|row| row.number("seq")).transpose()?.unwrap_or(0))
    }

    /// What is wrong with the database as a database, in its own words; none if it is sound.
    pub async fn unsound(&self) -> Result<Option<String>, StoreError> {
        let said = self.one("PRAGMA integrity_check", []).await?;
        let said = said.map(|row| row.text("integrity_check")).transpose()?;
        Ok(said.filter(|said| said != "ok"))
    }

    /// What the database itself keeps of how its tables were made, in a fixed order.
    pub async fn catalogue(&self) -> Result<Vec<String>, StoreError> {
        let sql = "SELECT COALESCE(sql, name) AS made FROM sqlite_master ORDER BY type, name";
        self.all(sql, []).await?.iter().map(|row| row.text("made")).collect()
    }

    /// Writes a whole and consistent copy to a file, which must be empty.
    pub async fn copy_to(&self, file: &Address) -> Result<(), StoreError> {
        let Self::Sqlite { readers, .. } = self;
        let mut connection = readers.acquire().await?;
        // A connection that only reads may not write a copy either.
        let only = query("PRAGMA query_only", []).fetch_one(&mut *connection).await?;
        let only = Row::Sqlite(only).number("query_only")? != 0;
        sqlx::raw_sql("PRAGMA query_only = OFF").execute(&mut *connection).await?;
        let copied = query("VACUUM INTO $1", [file.file().into()]).execute(&mut *connection).await;
        if only {
            sqlx::raw_sql("PRAGMA query_only = ON").execute(&mut *connection).await?;
        }
        copied?;
        Ok(())
    }

    /// Gives up to `pages` unused pages back to the system; how many are left.
    pub async fn free_some(&self, pages: u32) -> Result<u64, StoreError> {
        let Self::Sqlite { writer, .. } = self;
        let mut connection = writer.acquire().await?;
        let sql = format!("PRAGMA incremental_vacuum({pages})");
        sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut *connection).await?;
        let left = query("PRAGMA freelist_count", []).fetch_one(&mut *connection).await?;
        Row::Sqlite(left).number("freelist_count")
    }

    /// Empties the log of pages, where copies of what was erased still stand; whether it could.
    ///
    /// Whoever reads for long, such as a backup, is in the way. Others who write are held up for
    /// half a second at a time at most.
    pub async fn empty_log(&self) -> Result<bool, StoreError> {
        let Self::Sqlite { writer, .. } = self;
        let options = writer.connect_options().as_ref().clone().busy_timeout(SHORT_PATIENCE);
        let mut connection = options.connect().await?;
        let mut emptied = false;
        for _ in 0..TRIES {
            let row =
                query("PRAGMA wal_checkpoint(TRUNCATE)", []).fetch_one(&mut connection).await?;
            // The first column says whether somebody was in the way.
            emptied = Row::Sqlite(row).number("busy")? == 0;
            if emptied {
                break;
            }
            tokio::time::sleep(SHORT_PATIENCE).await;
        }
        connection.close().await?;
        Ok(emptied)
    }
}

impl Transaction {
    /// Every row that a statement finds.
    pub async fn all<const N: usize>(
        &mut self,
        sql: &'static str,
        values: [Value; N],
    ) -> Result<Vec<Row>, StoreError> {
        let Self::Sqlite(transaction) = self;
        Ok(rows(query(sql, values).fetch_all(&mut **transaction).await?))
    }

    /// Runs one statement, or several that share their values; how many rows they changed.
    pub async fn run<const N: usize>(
        &mut self,
        sql: &'static str,
        values: [Value; N],
    ) -> Result<u64, StoreError> {
        let Self::Sqlite(transaction) = self;
        Ok(query(sql, values).execute(&mut **transaction).await?.rows_affected())
    }

    /// Runs a migration.
    pub async fn migrate(&mut self, text: &'static str) -> Result<(), StoreError> {
        let Self::Sqlite(transaction) = self;
        sqlx::raw_sql(text).execute(&mut **transaction).await?;
        Ok(())
    }

    /// Gives so many events of a battle the numbers of posts that are never owed.
    pub async fn come_further(&mut self, battle: &str, many: u64) -> Result<(), StoreError> {
        let last = "INSERT INTO owed (n, battle, seq, place) SELECT $2 + \
            COALESCE((SELECT seq FROM sqlite_sequence WHERE name = 'owed'), 0), $1, 0, ''";
        self.run(last, [battle.into(), many.into()]).await?;
        self.run("DELETE FROM owed WHERE battle = $1 AND seq = 0", [battle.into()]).await?;
        Ok(())
    }

    /// Keeps what was done.
    pub async fn commit(self) -> Result<(), StoreError> {
        let Self::Sqlite(transaction) = self;
        Ok(transaction.commit().await?)
    }
}

impl Row {
    /// A text.
    pub fn text(&self, column: &str) -> Result<String, StoreError> {
        self.get(column)
    }

    /// A text, if there is one.
    pub fn maybe_text(&self, column: &str) -> Result<Option<String>, StoreError> {
        self.get(column)
    }

    /// A number, or the 64 bits of an id.
    pub fn number(&self, column: &str) -> Result<u64, StoreError> {
        Ok(self.get::<i64>(column)?.cast_unsigned())
    }

    /// A number, if there is one.
    pub fn maybe_number(&self, column: &str) -> Result<Option<u64>, StoreError> {
        Ok(self.get::<Option<i64>>(column)?.map(i64::cast_unsigned))
    }

    /// Yes or no.
    pub fn flag(&self, column: &str) -> Result<bool, StoreError> {
        self.get(column)
    }

    /// Bytes.
    pub fn bytes(&self, column: &str) -> Result<Vec<u8>, StoreError> {
        self.get(column)
    }

    fn get<'r, T>(&'r self, column: &str) -> Result<T, StoreError>
    where
        T: sqlx::Decode<'r, Sqlite> + sqlx::Type<Sqlite>,
    {
        let Self::Sqlite(row) = self;
        Ok(row.try_get(column)?)
    }
}

/// Up to `most` connections; a file does not hang up, so nobody asks each time whether it did.
fn connections(most: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new().max_connections(most).test_before_acquire(false)
}

fn rows(rows: Vec<SqliteRow>) -> Vec<Row> {
    rows.into_iter().map(Row::Sqlite).collect()
}

fn query<const N: usize>(
    sql: &'static str,
    values: [Value; N],
) -> sqlx::query::Query<'static, Sqlite, SqliteArguments> {
    values.into_iter().fold(sqlx::query(sql), |query, value| match value {
        Value::Text(text) => query.bind(text),
        Value::Number(number) => query.bind(number),
        Value::Flag(flag) => query.bind(flag),
        Value::Bytes(bytes) => query.bind(bytes),
    })
}

macro_rules! values {
    ($($from:ty, $value:ident => $made:expr;)*) => {$(
        impl From<$from> for Value {
            fn from($value: $from) -> Self {
                $made
            }
        }
    )*};
}

values! {
    String, text => Self::Text(Some(text));
    &str, text => Self::Text(Some(text.to_owned()));
    Option<&str>, text => Self::Text(text.map(str::to_owned));
    &Place, place => Self::Text(Some(place.to_string()));
    &RequestId, id => Self::Text(Some(id.to_string()));
    Who, who => Self::Text(Some(who.to_string()));
    Digest, digest => Self::Text(Some(digest.to_string()));
    u32, number => Self::Number(Some(number.into()));
    u64, number => Self::Number(Some(number.cast_signed()));
    Option<u32>, number => Self::Number(number.map(Into::into));
    Option<u64>, number => Self::Number(number.map(u64::cast_signed));
    bool, flag => Self::Flag(Some(flag));
    Option<bool>, flag => Self::Flag(flag);
    &[u8], bytes => Self::Bytes(bytes.to_vec());
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        // The primary code, as <https://sqlite.org/rescode.html> has them.
        let code = error.as_database_error().and_then(sqlx::error::DatabaseError::code);
        let code = code.and_then(|code| code.parse::<u32>().ok()).map(|extended| extended & 0xff);
        let kind = match code {
            Some(13) => Kind::Full,
            Some(5 | 6) => Kind::Busy,
            Some(8) => Kind::ReadOnly,
            Some(11 | 26) => Kind::Unsound,
            Some(14) => Kind::NoFile,
            // Whoever writes in this program waits for a connection, not for the file.
            None if matches!(error, sqlx::Error::PoolTimedOut) => Kind::Crowded,
            _ => broken(&error).map_or(Kind::Other, Kind::Broken),
        };
        Self { kind, cause: Box::new(error) }
    }
}

/// Which promise of the tables a statement would have broken.
fn broken(error: &sqlx::Error) -> Option<Broken> {
    let error = error.as_database_error()?;
    // What the trigger of the tables itself says.
    if error.message() == "overtaken" {
        return Some(Broken::InOrder);
    }
    if !error.is_unique_violation() {
        return None;
    }
    // “UNIQUE constraint failed: ids.place, ids.asked”
    let columns = error.message();
    Some(match () {
        () if columns.contains("ids.asked") => Broken::OneAnswer,
        () if columns.contains("battles.place") => Broken::OneOpenBattle,
        () => Broken::Other,
    })
}
