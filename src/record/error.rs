//! What can go wrong with the record.

use crate::protocol::EventError;
use sqlx::migrate::MigrateError;
use std::path::Path;

/// A fault of the record. Whatever was asked, nothing has changed.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// The disk, or the space given to the record, is full.
    #[error("the disk is full")]
    Full(#[source] sqlx::Error),
    /// Another program has been writing for too long.
    #[error("another program is writing to the record")]
    Busy(#[source] sqlx::Error),
    /// The file was written by a later release.
    #[error("it was written by a newer drumhead. Use that release or a later one.")]
    Newer,
    /// The file is a database, but no record.
    #[error("it is no record of drumhead. Name another file.")]
    Foreign,
    /// The file cannot be written to.
    #[error("it may only be read. Make it and its folder writable, or name another file.")]
    ReadOnly(#[source] sqlx::Error),
    /// The file cannot be opened at all.
    #[error("it is no file that can be opened. Check its name, and that its folder exists.")]
    NoFile(#[source] sqlx::Error),
    /// The file is no database, or a damaged one.
    #[error("it is not a sound database. Bring back a copy that is, or name another file.")]
    Unsound(#[source] sqlx::Error),
    /// The file cannot be opened.
    #[error("The record {file} cannot be used: {cause}")]
    Unopened {
        /// The file.
        file: String,
        /// Why.
        cause: Box<RecordError>,
    },
    /// An event in it cannot be read.
    #[error("event {seq} of battle {battle} cannot be read: {error}")]
    Event {
        /// The battle's id.
        battle: String,
        /// The event's number.
        seq: u64,
        /// Why.
        error: EventError,
    },
    /// Something in it is not as it was written.
    #[error("the record is damaged: {0}")]
    Damaged(String),
    /// The migration failed.
    #[error("the record cannot be brought up to date: {0}")]
    Migration(#[source] MigrateError),
    /// Anything else that the database says.
    #[error("the record failed: {0}")]
    Database(#[source] sqlx::Error),
}

/// Why an event was not appended.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    /// Another program appended to the battle first.
    #[error("another program wrote to this battle first")]
    Overtaken,
    /// Another program answered the same request first.
    #[error("another program answered this request first")]
    Answered,
    /// Another battle is open in this place.
    #[error("another battle is open here")]
    PlaceTaken,
    /// The record failed.
    #[error(transparent)]
    Record(#[from] RecordError),
}

impl RecordError {
    /// Whether it may pass if tried again at once.
    pub(super) const fn is_passing(&self) -> bool {
        match self {
            // That has been waited for long enough.
            Self::Busy(sqlx::Error::PoolTimedOut) => false,
            Self::Busy(_)
            | Self::Migration(MigrateError::Execute(_) | MigrateError::ExecuteMigration(..)) => {
                true
            }
            _ => false,
        }
    }

    /// Names the file that could not be opened.
    pub(super) fn opening(self, file: &Path) -> Self {
        Self::Unopened { file: file.display().to_string(), cause: Box::new(self) }
    }
}

impl From<sqlx::Error> for RecordError {
    fn from(error: sqlx::Error) -> Self {
        match code(&error) {
            Some(13) => Self::Full(error),
            Some(5 | 6) => Self::Busy(error),
            Some(8) => Self::ReadOnly(error),
            Some(11 | 26) => Self::Unsound(error),
            Some(14) => Self::NoFile(error),
            // Whoever writes in this program waits for a connection, not for the file.
            None if matches!(error, sqlx::Error::PoolTimedOut) => Self::Busy(error),
            _ => Self::Database(error),
        }
    }
}

impl From<MigrateError> for RecordError {
    fn from(error: MigrateError) -> Self {
        match error {
            MigrateError::VersionMissing(_) | MigrateError::VersionTooNew(..) => Self::Newer,
            error => Self::Migration(error),
        }
    }
}

impl From<sqlx::Error> for AppendError {
    fn from(error: sqlx::Error) -> Self {
        let unique = error.as_database_error().filter(|error| error.is_unique_violation());
        match unique.map(sqlx::error::DatabaseError::message) {
            Some(message) if message.contains("events.asked") => Self::Answered,
            Some(message) if message.contains("battles.place") => Self::PlaceTaken,
            Some(_) => Self::Overtaken,
            None => Self::Record(error.into()),
        }
    }
}

/// `SQLite`'s primary result code (<https://sqlite.org/rescode.html>).
fn code(error: &sqlx::Error) -> Option<u32> {
    let extended: u32 = error.as_database_error()?.code()?.parse().ok()?;
    Some(extended & 0xff)
}
