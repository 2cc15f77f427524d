//! Taking a whole battle in, bit by bit, with others served in between.
//!
//! Its events come first, a piece at a time; nobody sees them, because the battle itself is not
//! there yet. It comes last, in one small transaction. Until then it stands among those to be
//! erased, so that whatever a killed run leaves goes when the record is next opened. A lock tells
//! such a rest from the work of a run that is alive.

use super::alone::Alone;
use super::write::{NewBattle, found};
use super::{AppendError, Record, RecordError};
use crate::digest::Digest;
use crate::protocol::Place;
use std::time::{Duration, Instant};

/// Where a battle that is being taken in stands among those to be erased, in the stead of a place:
/// no place is written so.
pub(super) const DRAFT: &str = "a battle being imported";

/// The most events of a piece, and the most bytes of their texts, but for the last event's.
const EVENTS: usize = 200;
const BYTES: usize = 256 << 10;
/// The longest that others are let go first after a piece.
const LONGEST_PAUSE: Duration = Duration::from_millis(100);
/// How often it is tried to be the only one that takes battles in, and how long to wait in between:
/// together longer than the rest of a killed run usually takes to go.
const TRIES: u32 = 100;
const BETWEEN_TRIES: Duration = Duration::from_millis(50);

/// A battle being taken in; left before its end, it is never seen, and goes when the record is next
/// opened.
///
/// Its requests were asked elsewhere: they take no ids here, nobody here asked them, and no posts
/// are owed for them.
#[derive(Debug)]
pub struct Import<'a> {
    record: &'a Record,
    battle: &'a str,
    /// The events of the next piece.
    piece: Vec<(Option<u32>, String)>,
    bytes: usize,
    /// The number of the latest event that was written.
    seq: u64,
    /// None in memory, where nobody else is.
    _alone: Option<Alone>,
}

impl Record {
    /// Begins to take in a whole battle: nobody sees it until [`Import::finish`].
    ///
    /// # Errors
    /// If another import is under way, or the battle is here already.
    pub async fn import<'a>(&'a self, battle: &'a str) -> Result<Import<'a>, AppendError> {
        let alone = self.alone_with_imports().await?;
        self.clear_drafts().await?;
        let sql = "INSERT INTO erasing (battle, place) SELECT $1, $2 \
            WHERE NOT EXISTS (SELECT 1 FROM battles WHERE id = $1)";
        if self.store.run(sql, [battle.into(), DRAFT.into()]).await? == 0 {
            return Err(AppendError::Overtaken);
        }
        Ok(Import { record: self, battle, piece: Vec::new(), bytes: 0, seq: 0, _alone: alone })
    }

    /// The right to take battles in, once no other program has it.
    async fn alone_with_imports(&self) -> Result<Option<Alone>, RecordError> {
        let Some(address) = self.store.address() else { return Ok(None) };
        for _ in 0..TRIES {
            if let Some(alone) = Alone::importing(address)? {
                return Ok(Some(alone));
            }
            tokio::time::sleep(BETWEEN_TRIES).await;
        }
        Err(RecordError::Busy("another import is under way".into()))
    }

    /// Takes away what killed imports left, unless one is under way: that one has done so.
    pub(super) async fn end_killed_imports(&self) -> Result<(), RecordError> {
        let sql = "SELECT battle FROM erasing WHERE place = $1 LIMIT 1";
        let (Some(_), Some(address)) =
            (self.store.one(sql, [DRAFT.into()]).await?, self.store.address())
        else {
            return Ok(());
        };
        match Alone::importing(address)? {
            Some(_alone) => self.clear_drafts().await,
            None => Ok(()),
        }
    }

    /// Takes away every battle that is not taken in whole, for whoever is alone with imports.
    async fn clear_drafts(&self) -> Result<(), RecordError> {
        let sql = "UPDATE erasing SET place = '' WHERE place = $1";
        self.store.run(sql, [DRAFT.into()]).await?;
        self.finish_erasing().await
    }
}

impl Import<'_> {
    /// Takes the text of the next event, and the number of the roll that it threw, if it did.
    pub async fn event(&mut self, roll: Option<u32>, text: &str) -> Result<(), AppendError> {
        self.bytes += text.len();
        self.piece.push((roll, text.to_owned()));
        if self.piece.len() < EVENTS && self.bytes < BYTES {
            return Ok(());
        }
        let taken = self.write().await?;
        // Another program that waits to write looks again only every now and then, so it gets more
        // time than was taken.
        tokio::time::sleep((taken * 2).min(LONGEST_PAUSE)).await;
        Ok(())
    }

    /// Writes a piece; how long others could not write meanwhile.
    async fn write(&mut self) -> Result<Duration, AppendError> {
        let mut transaction = self.record.store.begin().await?;
        let begun = Instant::now();
        for (roll, text) in self.piece.drain(..) {
            self.seq += 1;
            let sql = "INSERT INTO events (battle, seq, roll, text) VALUES ($1, $2, $3, $4)";
            let values = [self.battle.into(), self.seq.into(), roll.into(), text.into()];
            transaction.run(sql, values).await?;
        }
        transaction.commit().await?;
        self.bytes = 0;
        Ok(begun.elapsed())
    }

    /// Keeps the battle, which ends with an event of that SHA-256. It stays closed, so that it does
    /// not stand in the way of the one that is open in this place.
    pub async fn finish(
        &mut self,
        place: &Place,
        new_battle: NewBattle<'_>,
        head: Digest,
    ) -> Result<(), AppendError> {
        self.write().await?;
        let store = &self.record.store;
        let battle = || self.battle.into();
        let mut transaction = store.begin().await?;
        found(&mut transaction, place, self.battle, &new_battle, false).await?;
        let sql = "UPDATE battles SET seq = $2, head = $3 WHERE id = $1";
        transaction.run(sql, [battle(), self.seq.into(), head.into()]).await?;
        transaction.run("DELETE FROM erasing WHERE battle = $1", [battle()]).await?;
        // No post is owed, but the record has come that much further.
        transaction.come_further(self.battle, self.seq).await?;
        transaction.commit().await?;
        store.counts(self.seq);
        Ok(())
    }

    /// Takes away again what was written so far.
    pub async fn give_up(self) -> Result<(), RecordError> {
        self.record.clear_drafts().await
    }
}
