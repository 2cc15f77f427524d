//! Reading the record: battles, their events, and what was answered.

use super::store::Row;
use super::{Record, RecordError};
use crate::digest::Digest;
use crate::protocol::{Place, Recorded, RequestId};

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
    /// The SHA-256 of that event's text.
    pub head: Digest,
}

/// A request that was answered before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// The event that answered it, in whatever battle of its place.
    pub event: Recorded,
    /// The SHA-256 of the request as it was asked then.
    pub asked_sha256: Digest,
}

/// A statement about battles, as [`summary`] reads its rows.
macro_rules! battles {
    ($which:literal) => {
        concat!("SELECT id, name, place, is_open, seq, head FROM battles ", $which)
    };
}

impl Record {
    /// The battle that is open in `place`.
    pub async fn open_battle(&self, place: &Place) -> Result<Option<BattleSummary>, RecordError> {
        let sql = battles!("WHERE place = $1 AND is_open");
        self.store.find(sql, [place.into()], summary).await
    }

    /// The battles of `place`, or of every place, in the order in which they came.
    pub async fn battles(&self, place: Option<&Place>) -> Result<Vec<BattleSummary>, RecordError> {
        let Some(place) = place else {
            return self.store.find_all(battles!("ORDER BY n"), [], summary).await;
        };
        let sql = battles!("WHERE place = $1 ORDER BY n");
        self.store.find_all(sql, [place.into()], summary).await
    }

    /// The battles of a platform's server, quick rulings among them, in the order in which they
    /// came.
    pub async fn battles_of_server(
        &self,
        platform: &str,
        server: u64,
    ) -> Result<Vec<BattleSummary>, RecordError> {
        let sql = battles!("WHERE platform = $1 AND server = $2 ORDER BY n");
        self.store.find_all(sql, [platform.into(), server.into()], summary).await
    }

    /// The place of the battle with that id.
    pub async fn place_of(&self, battle: &str) -> Result<Option<Place>, RecordError> {
        let sql = "SELECT place FROM battles WHERE id = $1";
        self.store.find(sql, [battle.into()], place).await
    }

    /// Up to `most` of a battle's events after number `seq`, in order.
    pub async fn events_after(
        &self,
        battle: &str,
        seq: u64,
        most: u32,
    ) -> Result<Vec<Recorded>, RecordError> {
        let sql = "SELECT battle, seq, text FROM events \
            WHERE battle = $1 AND seq > $2 ORDER BY seq LIMIT $3";
        self.store.find_all(sql, [battle.into(), seq.into(), most.into()], recorded).await
    }

    /// The event of a battle that threw roll number `roll`, if it was thrown.
    pub async fn event_of_roll(
        &self,
        battle: &str,
        roll: u32,
    ) -> Result<Option<Recorded>, RecordError> {
        let sql = "SELECT battle, seq, text FROM events WHERE battle = $1 AND roll = $2";
        self.store.find(sql, [battle.into(), roll.into()], recorded).await
    }

    /// What the request `asked` was answered at `place`, in whatever battle there: a closed one and
    /// the place's quick rulings too. Imported battles answered nothing here.
    pub async fn answered(
        &self,
        place: &Place,
        asked: &RequestId,
    ) -> Result<Option<Answered>, RecordError> {
        let sql = "SELECT events.battle, events.seq, text, sha256 FROM ids \
            JOIN events ON events.battle = ids.battle AND events.seq = ids.seq \
            WHERE ids.place = $1 AND ids.asked = $2";
        let answered = |row: &Row| {
            Ok(Answered { event: recorded(row)?, asked_sha256: digest(row, "sha256")? })
        };
        self.store.find(sql, [(&place.beside()).into(), asked.into()], answered).await
    }

    /// The text of the rules file with that SHA-256, and the name it was kept under.
    pub async fn rules(&self, sha256: Digest) -> Result<Option<(String, String)>, RecordError> {
        let sql = "SELECT name, text FROM rules WHERE sha256 = $1";
        let named = |row: &Row| Ok((row.text("name")?, row.text("text")?));
        self.store.find(sql, [sha256.into()], named).await
    }
}

fn summary(row: &Row) -> Result<BattleSummary, RecordError> {
    Ok(BattleSummary {
        battle: row.text("id")?,
        name: row.text("name")?,
        place: place(row)?,
        open: row.flag("is_open")?,
        seq: row.number("seq")?,
        head: digest(row, "head")?,
    })
}

/// The event that a row holds.
pub(super) fn recorded(row: &Row) -> Result<Recorded, RecordError> {
    Recorded::read(row.text("text")?).or_else(|error| {
        let (battle, seq) = (row.text("battle")?, row.number("seq")?);
        Err(RecordError::Event { battle, seq, error })
    })
}

/// The place that a row holds.
pub(super) fn place(row: &Row) -> Result<Place, RecordError> {
    Ok(row.text("place")?.parse()?)
}

fn digest(row: &Row, column: &str) -> Result<Digest, RecordError> {
    let text = row.text(column)?;
    text.parse().map_err(|error| RecordError::Damaged(format!("{column}: {error}")))
}
