//! Reading the record.

use super::{Record, RecordError};
use crate::digest::Digest;
use crate::fair::{Chain, Secret};
use crate::protocol::{NotAnIdentity, Place, Recorded, RequestId};
use sqlx::sqlite::SqliteRow;
use sqlx::{AssertSqlSafe, Row as _};

/// Where a battle's record stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BattleSummary {
    /// The battle's id.
    pub battle: String,
    /// Its name.
    pub name: String,
    /// The place it belongs to.
    pub place: Place,
    /// Whether it is open.
    pub open: bool,
    /// The number of its latest event.
    pub seq: u64,
}

/// A battle with the number of its latest event.
const HEAD: &str = "SELECT id, name, place, is_open, \
    (SELECT MAX(seq) FROM events WHERE battle = battles.id) AS seq FROM battles";

impl Record {
    /// The battle that is open in `place`.
    pub async fn open_battle(&self, place: &Place) -> Result<Option<BattleSummary>, RecordError> {
        sqlx::query(AssertSqlSafe(format!("{HEAD} WHERE place = ? AND is_open = 1")))
            .bind(place.to_string())
            .fetch_optional(&self.pool)
            .await?
            .map(|row| head(&row))
            .transpose()
    }

    /// The battles of `place`, or of every place, in the order in which they were opened.
    pub async fn battles(&self, place: Option<&Place>) -> Result<Vec<BattleSummary>, RecordError> {
        let rows = match place {
            Some(place) => {
                sqlx::query(AssertSqlSafe(format!("{HEAD} WHERE place = ? ORDER BY rowid")))
                    .bind(place.to_string())
                    .fetch_all(&self.pool)
                    .await?
            }
            None => {
                sqlx::query(AssertSqlSafe(format!("{HEAD} ORDER BY rowid")))
                    .fetch_all(&self.pool)
                    .await?
            }
        };
        rows.iter().map(head).collect()
    }

    /// Up to `most` of a battle's events after number `seq`, in order.
    pub async fn events_after(
        &self,
        battle: &str,
        seq: u64,
        most: u32,
    ) -> Result<Vec<Recorded>, RecordError> {
        let rows = sqlx::query(
            "SELECT battle, seq, text FROM events WHERE battle = ? AND seq > ? ORDER BY seq LIMIT ?",
        )
        .bind(battle)
        .bind(i64::try_from(seq).unwrap_or(i64::MAX))
        .bind(most)
        .fetch_all(&self.pool)
        .await?;
        rows.iter().map(recorded).collect()
    }

    /// The event of a battle that answered the request `asked`, if any did.
    pub async fn answered(
        &self,
        battle: &str,
        asked: &RequestId,
    ) -> Result<Option<Recorded>, RecordError> {
        sqlx::query("SELECT battle, seq, text FROM events WHERE battle = ? AND asked = ?")
            .bind(battle)
            .bind(asked.to_string())
            .fetch_optional(&self.pool)
            .await?
            .map(|row| recorded(&row))
            .transpose()
    }

    /// The chain that hangs above `anchor`; none in a record that was imported.
    pub async fn chain(&self, anchor: Digest) -> Result<Option<Chain>, RecordError> {
        let row = sqlx::query("SELECT links, secret FROM chains WHERE anchor = ?")
            .bind(anchor.to_string())
            .fetch_optional(&self.pool)
            .await?;
        let Some(row) = row else { return Ok(None) };
        let links: u32 = row.try_get("links")?;
        let secret: Vec<u8> = row.try_get("secret")?;
        let damaged = |_| RecordError::Damaged("a chain's secret is not 32 bytes".to_owned());
        let secret = Secret::from_bytes(secret.try_into().map_err(damaged)?);
        let chain = Chain::new(secret, links);
        if chain.anchor() != anchor {
            return Err(RecordError::Damaged("a chain does not lead to its anchor".to_owned()));
        }
        Ok(Some(chain))
    }

    /// The text of the rules file with that SHA-256, and the name it was kept under.
    pub async fn rules(&self, sha256: Digest) -> Result<Option<(String, String)>, RecordError> {
        let row = sqlx::query("SELECT name, text FROM rules WHERE sha256 = ?")
            .bind(sha256.to_string())
            .fetch_optional(&self.pool)
            .await?;
        Ok(row.map(|row| Ok::<_, sqlx::Error>((row.try_get(0)?, row.try_get(1)?))).transpose()?)
    }

    /// The events whose posts `place` is still owed, oldest first.
    pub async fn owed(&self, place: &Place) -> Result<Vec<Recorded>, RecordError> {
        let rows =
            sqlx::query("SELECT battle, seq, text FROM events WHERE owed_to = ? ORDER BY rowid")
                .bind(place.to_string())
                .fetch_all(&self.pool)
                .await?;
        rows.iter().map(recorded).collect()
    }
}

fn head(row: &SqliteRow) -> Result<BattleSummary, RecordError> {
    Ok(BattleSummary {
        battle: row.try_get("id")?,
        name: row.try_get("name")?,
        place: place(row, "place")?,
        open: row.try_get("is_open")?,
        seq: number(row, "seq")?,
    })
}

pub(super) fn recorded(row: &SqliteRow) -> Result<Recorded, RecordError> {
    let text: String = row.try_get("text")?;
    Recorded::read(text).or_else(|error| {
        Err(RecordError::Event { battle: row.try_get("battle")?, seq: number(row, "seq")?, error })
    })
}

/// A place as it stands in a column.
pub(super) fn place(row: &SqliteRow, column: &str) -> Result<Place, RecordError> {
    let text: String = row.try_get(column)?;
    text.parse().map_err(|error: NotAnIdentity| RecordError::Damaged(error.to_string()))
}

fn number(row: &SqliteRow, column: &str) -> Result<u64, RecordError> {
    let number: i64 = row.try_get(column)?;
    Ok(u64::try_from(number).unwrap_or(0))
}
