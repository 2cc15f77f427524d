//! Those who were acknowledged and wait for an answer, each until it is given.
//!
//! Whoever is still here when a program begins to serve was left waiting by one that was killed. A
//! power cut may take the latest of these rows with it: for them nobody waits for the disk.

use super::store::{Row, note};
use super::{Record, RecordError};
use crate::protocol::{Place, RequestId};

/// Somebody who waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// What they asked.
    pub asked: RequestId,
    /// How they are answered, in the front's own words.
    pub via: String,
}

impl Record {
    /// Notes that somebody at a place waits for an answer.
    pub async fn waits(&self, place: &Place, waiting: &Waiting) -> Result<(), RecordError> {
        let Waiting { asked, via } = waiting;
        let sql = note!(
            "INSERT INTO waiting (asked, place, platform, route) VALUES ($1, $2, $3, $4)
             ON CONFLICT DO NOTHING"
        );
        let values = [asked.into(), place.into(), place.platform().into(), via.as_str().into()];
        Ok(self.store.note(sql, values).await?)
    }

    /// Notes that they were answered. An event takes its asker out together with being written.
    pub async fn waits_no_more(&self, asked: &RequestId) -> Result<(), RecordError> {
        let sql = note!("DELETE FROM waiting WHERE asked = $1");
        Ok(self.store.note(sql, [asked.into()]).await?)
    }

    /// Everybody who waits on a platform for what no event has answered.
    pub async fn waiting_on(&self, platform: &str) -> Result<Vec<Waiting>, RecordError> {
        // A note may have come later than the event, if those who write had to wait long.
        let late = "DELETE FROM waiting WHERE platform = $1 AND EXISTS \
            (SELECT 1 FROM ids WHERE ids.place = waiting.place AND ids.asked = waiting.asked)";
        self.store.run(late, [platform.into()]).await?;
        let sql = "SELECT asked, route FROM waiting WHERE platform = $1 ORDER BY asked";
        let waiting =
            |row: &Row| Ok(Waiting { asked: row.text("asked")?.parse()?, via: row.text("route")? });
        self.store.find_all(sql, [platform.into()], waiting).await
    }
}
