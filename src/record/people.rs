//! Who is who on a platform, and what a record holds of them.
//!
//! None of it is hashed, so all of it can be taken away again without touching a battle.

use super::erase::Left;
use super::read::place;
use super::store::Row;
use super::{Record, RecordError};
use crate::protocol::{Place, Who};

/// What one battle holds of a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// The battle's name.
    pub battle: String,
    /// The place it belongs to.
    pub place: Place,
    /// Requests they asked in it.
    pub requests: u64,
}

impl Record {
    /// Under which number the record knows the user with that id on the platform; a new one gets a
    /// new number.
    pub async fn person(&self, platform: &str, id: u64) -> Result<Who, RecordError> {
        if let Some(who) = self.known_person(platform, id).await? {
            return Ok(who);
        }
        // Two requests of a newcomer at once: one writes the row, both read it.
        let sql = "INSERT INTO people (platform, user_id) VALUES ($1, $2) ON CONFLICT DO NOTHING";
        self.store.run(sql, [platform.into(), id.into()]).await?;
        let lost = || RecordError::Damaged("a person was not kept".to_owned());
        self.known_person(platform, id).await?.ok_or_else(lost)
    }

    /// Under which number the record knows the user with that id on the platform, if it does.
    pub async fn known_person(&self, platform: &str, id: u64) -> Result<Option<Who>, RecordError> {
        let sql = "SELECT n FROM people WHERE platform = $1 AND user_id = $2";
        let who = |row: &Row| Ok(Who::Person(row.number("n")?));
        self.store.find(sql, [platform.into(), id.into()], who).await
    }

    /// The id of somebody of the record on the platform: none if they come from elsewhere, or if it
    /// was taken away.
    pub async fn user(&self, platform: &str, who: Who) -> Result<Option<u64>, RecordError> {
        let Who::Person(n) = who else { return Ok(None) };
        let sql = "SELECT user_id FROM people WHERE n = $1 AND platform = $2";
        let user = |row: &Row| Ok(row.maybe_number("user_id")?);
        Ok(self.store.find(sql, [n.into(), platform.into()], user).await?.flatten())
    }

    /// Takes away who a person is on the platform; none if the record does not know them.
    pub async fn forget_person(
        &self,
        platform: &str,
        id: u64,
    ) -> Result<Option<Left>, RecordError> {
        let sql = "UPDATE people SET platform = NULL, user_id = NULL \
            WHERE platform = $1 AND user_id = $2";
        let known = self.store.run(sql, [platform.into(), id.into()]).await? > 0;
        Ok(if known { Some(self.wipe().await) } else { None })
    }

    /// The battles in which somebody asked something, and how often.
    pub async fn traces_of(&self, who: Who) -> Result<Vec<Trace>, RecordError> {
        let sql = "SELECT name, place, requests FROM askings \
            JOIN battles ON battles.id = askings.battle WHERE who = $1 AND requests > 0 ORDER BY battles.n";
        let trace = |row: &Row| {
            let (battle, requests) = (row.text("name")?, row.number("requests")?);
            Ok(Trace { battle, place: place(row)?, requests })
        };
        self.store.find_all(sql, [who.into()], trace).await
    }
}
