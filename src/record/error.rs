//! What can go wrong with the record.

use crate::protocol::{EventError, NotAnIdentity};
use std::error::Error;
use std::path::Path;

/// What a database or the system said.
pub type Cause = Box<dyn Error + Send + Sync>;

/// A fault of the record. Whatever was asked, nothing has changed.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// The disk, or the space given to the record, is full.
    #[error("the disk is full")]
    Full(#[source] Cause),
    /// Others have been writing for too long.
    #[error("others are writing to the record")]
    Busy(#[source] Cause),
    /// The file was written by a later release.
    #[error("it was written by a newer drumhead. Use that release or a later one.")]
    Newer,
    /// The file is a database, but no record.
    #[error("it is not a record of drumhead. Name another file.")]
    Foreign,
    /// The file cannot be written to.
    #[error("it may only be read. Make it and its folder writable, or name another file.")]
    ReadOnly(#[source] Cause),
    /// The file cannot be opened at all.
    #[error("it cannot be opened as a file. Check its name, and that its folder exists.")]
    NoFile(#[source] Cause),
    /// The file is no database, or a damaged one.
    #[error("it is not a sound database. Bring back a copy that is, or name another file.")]
    Unsound(#[source] Cause),
    /// A name of a file is not written in UTF-8.
    #[error("its name is not written in UTF-8. Rename it, or name another file.")]
    NoText,
    /// A server's address stands where a file's name should.
    #[error("a record is kept in a file, not by a server. Name a file.")]
    NoServer,
    /// Something of that name is there that keeps nothing.
    #[error("it is a device, a pipe or the like. Name a file.")]
    NoPlainFile,
    /// The file has more than one name.
    #[error(
        "it has more than one name, and what is ruled under one of them would be missing under \
         another. Leave it one name, or make a copy of it with drumhead backup."
    )]
    OtherNames,
    /// A log of pages stands where there is no record that it belongs to.
    #[error(
        "beside it lies {0}, left by another record of that name, perhaps with its last rulings. \
         Move it to another folder, or name another file."
    )]
    Leftover(String),
    /// Another program serves it.
    #[error("another drumhead serve is using it. Stop that one, or name another file.")]
    Served,
    /// The log of pages that belongs to the record is not there.
    #[error(
        "its last {missing} events are missing, because the file {log} was taken away. Put that \
         file back. If it is lost for good, remove {count}, and the record goes on without them."
    )]
    LogGone {
        /// How many events the record had more, at least.
        missing: u64,
        /// The log.
        log: String,
        /// The file that says how many there were.
        count: String,
    },
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
    /// Anything else that the database says.
    #[error("the record failed: {0}")]
    Database(#[source] Cause),
}

/// Why an event was not appended.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    /// Another program appended to the battle first, or the battle was erased.
    #[error("another program wrote to this battle first")]
    Overtaken,
    /// The same request was answered before, perhaps in another battle of its place.
    #[error("this request was answered before")]
    Answered,
    /// Another battle is open in this place.
    #[error("another battle is open here")]
    PlaceTaken,
    /// The record failed.
    #[error(transparent)]
    Record(#[from] RecordError),
}

/// A statement that failed: what kind of fault it was, and what the database said.
#[derive(Debug)]
pub(super) struct StoreError {
    pub kind: Kind,
    pub cause: Cause,
}

/// What a failed statement means for whoever asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Full,
    /// Another program holds the database.
    Busy,
    /// Too many in this program wait for their turn.
    Crowded,
    ReadOnly,
    Unsound,
    NoFile,
    /// It would have broken a promise of the tables.
    Broken(Broken),
    Other,
}

/// A promise of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Broken {
    /// An id is answered once at its place.
    OneAnswer,
    /// One battle at a time is open in a place.
    OneOpenBattle,
    /// An event goes on from the latest of its battle.
    InOrder,
    /// Each event, battle, roll, … is there once.
    Other,
}

impl RecordError {
    /// Names the file that could not be opened.
    pub(super) fn opening(self, file: &Path) -> Self {
        Self::Unopened { file: file.display().to_string(), cause: Box::new(self) }
    }

    /// The fault of a file that the system would not open, read or write.
    pub(super) fn of_file(error: std::io::Error) -> Self {
        match error.kind() {
            std::io::ErrorKind::StorageFull => Self::Full(error.into()),
            _ => Self::NoFile(error.into()),
        }
    }
}

impl From<StoreError> for RecordError {
    fn from(StoreError { kind, cause }: StoreError) -> Self {
        match kind {
            Kind::Full => Self::Full(cause),
            Kind::Busy | Kind::Crowded => Self::Busy(cause),
            Kind::ReadOnly => Self::ReadOnly(cause),
            Kind::Unsound => Self::Unsound(cause),
            Kind::NoFile => Self::NoFile(cause),
            Kind::Broken(_) | Kind::Other => Self::Database(cause),
        }
    }
}

impl From<StoreError> for AppendError {
    fn from(error: StoreError) -> Self {
        match error.kind {
            Kind::Broken(Broken::OneAnswer) => Self::Answered,
            Kind::Broken(Broken::OneOpenBattle) => Self::PlaceTaken,
            Kind::Broken(Broken::InOrder | Broken::Other) => Self::Overtaken,
            _ => Self::Record(error.into()),
        }
    }
}

impl From<NotAnIdentity> for RecordError {
    fn from(error: NotAnIdentity) -> Self {
        Self::Damaged(error.to_string())
    }
}
