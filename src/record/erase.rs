//! Erasing for good, bit by bit, with others served in between.
//!
//! What is deleted is overwritten at once. Copies of it stand in the log of pages until that is
//! emptied, and the file grows no smaller until its unused pages are given back.

use super::import::DRAFT;
use super::{Record, RecordError};
use std::time::{Duration, Instant};

/// What is left in the file of what was taken away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// Nothing.
    Nothing,
    /// Perhaps traces, in the log of pages beside it: somebody reads for long, or the disk is full.
    /// They are gone once that is over and the record is closed, or something else is erased.
    Traces,
}

/// Events that are deleted in one step.
const EVENTS: u64 = 200;
/// Ids of requests that are deleted in one step.
const IDS: u32 = 2_000;
/// Unused pages that are given back in one step.
const PAGES: u32 = 200;
/// The longest that others are let go first after a step; they get as long as the step took.
const LONGEST_PAUSE: Duration = Duration::from_millis(50);

/// Everything that a server's battles have in these tables, but for their events.
const OF_BATTLES: &str = "
    DELETE FROM secrets WHERE battle IN
        (SELECT id FROM battles WHERE platform = $1 AND server = $2);
    DELETE FROM askings WHERE battle IN
        (SELECT id FROM battles WHERE platform = $1 AND server = $2);
    DELETE FROM owed WHERE battle IN
        (SELECT id FROM battles WHERE platform = $1 AND server = $2);
    DELETE FROM boards WHERE platform = $1 AND server = $2;
    DELETE FROM servers WHERE platform = $1 AND server = $2";

/// Takes away who those are that have to do with no battle any more.
const OF_NOBODY: &str = "
    UPDATE people SET platform = NULL, user_id = NULL WHERE platform = $1
        AND NOT EXISTS (SELECT 1 FROM askings WHERE who = 'person-' || people.n)";

impl Record {
    /// Erases every battle of a platform's server, what its battles begin with, and who those are
    /// that have to do with no battle elsewhere: how many battles there were, and what is left of
    /// them in the file.
    ///
    /// From the first step on nobody sees them any more; a run that is killed later is finished
    /// when the record is opened again.
    pub async fn erase_server(
        &self,
        platform: &str,
        server: u64,
    ) -> Result<(u64, Left), RecordError> {
        let of_server = || [platform.into(), server.into()];
        let mut transaction = self.store.begin().await?;
        let sql = "SELECT id, place FROM battles WHERE platform = $1 AND server = $2";
        for row in transaction.all(sql, of_server()).await? {
            let sql = "INSERT INTO erasing (battle, place) VALUES ($1, $2)";
            let place = super::read::place(&row)?.beside();
            transaction.run(sql, [row.text("id")?.into(), (&place).into()]).await?;
        }
        transaction.run(OF_BATTLES, of_server()).await?;
        let sql = "DELETE FROM battles WHERE platform = $1 AND server = $2";
        let gone = transaction.run(sql, of_server()).await?;
        transaction.run(OF_NOBODY, [platform.into()]).await?;
        transaction.commit().await?;
        self.people.forget();
        self.finish_erasing().await?;
        Ok((gone, self.wipe().await))
    }

    /// Deletes the events of battles that were erased, and the ids they answered, step by step.
    pub(super) async fn finish_erasing(&self) -> Result<(), RecordError> {
        let sql = "SELECT battle, place FROM erasing WHERE place <> $1 LIMIT 1";
        while let Some(row) = self.store.one(sql, [DRAFT.into()]).await? {
            let (battle, place) = (row.text("battle")?, row.text("place")?);
            let begun = Instant::now();
            if !self.erase_some(&battle, &place).await? {
                self.store.run("DELETE FROM erasing WHERE battle = $1", [battle.into()]).await?;
            }
            let_others_go_first(begun).await;
        }
        Ok(())
    }

    /// Deletes some of an erased battle's events, or else some of its ids; whether there were any.
    async fn erase_some(&self, battle: &str, place: &str) -> Result<bool, RecordError> {
        let sql = "SELECT MIN(seq) AS seq FROM events WHERE battle = $1";
        let first = self.store.one(sql, [battle.into()]).await?;
        if let Some(first) = first.map(|row| row.maybe_number("seq")).transpose()?.flatten() {
            let sql = "DELETE FROM events WHERE battle = $1 AND seq < $2";
            self.store.run(sql, [battle.into(), (first + EVENTS).into()]).await?;
            return Ok(true);
        }
        let sql = "DELETE FROM ids WHERE place = $2 AND asked IN \
            (SELECT asked FROM ids WHERE place = $2 AND battle = $1 LIMIT $3)";
        Ok(self.store.run(sql, [battle.into(), place.into(), IDS.into()]).await? > 0)
    }

    /// Gives unused pages back step by step, and empties the log of pages; what is then left.
    pub(super) async fn wipe(&self) -> Left {
        let wiped = async {
            let mut left = u64::MAX;
            loop {
                let begun = Instant::now();
                let now = self.store.free_some(PAGES).await?;
                // Others may use such pages meanwhile, or leave new ones.
                if now == 0 || now >= left {
                    return self.store.empty_log().await;
                }
                left = now;
                let_others_go_first(begun).await;
            }
        };
        match wiped.await {
            Ok(true) => Left::Nothing,
            Ok(false) => Left::Traces,
            Err(error) => {
                tracing::error!(error = error.cause, "what was erased may still be in the file");
                Left::Traces
            }
        }
    }
}

/// Leaves the database to others for as long as it was just held, within reason.
async fn let_others_go_first(begun: Instant) {
    tokio::time::sleep(begun.elapsed().min(LONGEST_PAUSE)).await;
}
