//! The posts that are owed, in a table of their own: whoever looks for them reads nothing else.

use super::read::{place, recorded};
use super::store::Row;
use super::{Record, RecordError};
use crate::protocol::{Place, Recorded, RequestId};
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// A post that is owed, with how the front wanted it to go.
#[derive(Debug, Clone)]
pub struct Owed {
    /// The place it is owed to.
    pub place: Place,
    /// How it was to go, in the front's own words.
    pub via: Option<String>,
    /// The events of one request whose words it is, in order: those not taken yet.
    pub events: Vec<Recorded>,
}

/// A statement about owed posts, as [`gathered`] reads its rows.
macro_rules! owed {
    ($which:literal) => {
        concat!(
            "SELECT owed.place, owed.route, owed.battle, owed.seq, text FROM owed ",
            "JOIN events ON events.battle = owed.battle AND events.seq = owed.seq ",
            "WHERE ",
            $which,
            " ORDER BY owed.n"
        )
    };
}

impl Record {
    /// The posts that `place` is still owed, oldest first.
    pub async fn owed(&self, place: &Place) -> Result<Vec<Owed>, RecordError> {
        let sql = owed!("owed.place = $1");
        gathered(&self.store.all(sql, [place.into()]).await?)
    }

    /// Every post owed to the places of a platform, oldest first.
    pub async fn owed_on(&self, platform: &str) -> Result<Vec<Owed>, RecordError> {
        let sql = owed!("owed.platform = $1");
        gathered(&self.store.all(sql, [platform.into()]).await?)
    }

    /// Whether an event's post is still owed.
    pub async fn is_owed(&self, battle: &str, seq: u64) -> Result<bool, RecordError> {
        let sql = "SELECT n FROM owed WHERE battle = $1 AND seq = $2";
        Ok(self.store.one(sql, [battle.into(), seq.into()]).await?.is_some())
    }

    /// Says that an event's post was taken, so that it is not owed any more.
    pub async fn posted(&self, battle: &str, seq: u64) -> Result<(), RecordError> {
        let sql = "DELETE FROM owed WHERE battle = $1 AND seq = $2";
        self.store.run(sql, [battle.into(), seq.into()]).await?;
        Ok(())
    }
}

/// The posts of each request's events together, where the first of them stood: others may have
/// asked at other places in between.
fn gathered(rows: &[Row]) -> Result<Vec<Owed>, RecordError> {
    let mut posts: Vec<Owed> = Vec::new();
    let mut known: HashMap<(Place, RequestId), usize> = HashMap::new();
    for row in rows {
        let (place, via, event) = (place(row)?, row.maybe_text("route")?, recorded(row)?);
        match known.entry((place.clone(), event.event.asked.whole())) {
            Entry::Occupied(known) => posts[*known.get()].events.push(event),
            Entry::Vacant(new) => {
                new.insert(posts.len());
                posts.push(Owed { place, via, events: vec![event] });
            }
        }
    }
    Ok(posts)
}
