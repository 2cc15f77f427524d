//! Who is who on a platform, and what a record holds of them.
//!
//! None of it is hashed, so all of it can be taken away again without touching a battle.

use super::erase::Left;
use super::read::place;
use super::store::Row;
use super::{Record, RecordError};
use crate::protocol::{Place, Who};
use std::collections::HashMap;
use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// The most people whose numbers are kept at hand.
const AT_HAND: usize = 4096;

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
        let forgotten = match self.people.find(platform, id) {
            Ok(who) => return Ok(who),
            Err(forgotten) => forgotten,
        };
        let who = self.person_read(platform, id).await?;
        self.people.keep(platform, id, who, forgotten);
        Ok(who)
    }

    /// The same, from the database.
    async fn person_read(&self, platform: &str, id: u64) -> Result<Who, RecordError> {
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
        self.people.forget();
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

/// The numbers of people at hand: whoever asks has mostly asked before.
///
/// An append is refused by the tables where a number leads to nobody any more, so nothing wrong
/// comes of one that another program has just taken away.
#[derive(Clone, Default)]
pub(super) struct PeopleAtHand(Arc<Mutex<Numbers>>);

#[derive(Default)]
struct Numbers {
    /// How often somebody was forgotten: what was read before that is not kept after it.
    forgotten: u64,
    numbers: HashMap<(String, u64), Who>,
}

impl PeopleAtHand {
    /// Lets everybody go, once somebody was forgotten.
    pub fn forget(&self) {
        let mut held = self.held();
        held.forgotten += 1;
        held.numbers.clear();
    }

    /// Somebody's number; else how often somebody was forgotten until now.
    fn find(&self, platform: &str, id: u64) -> Result<Who, u64> {
        let held = self.held();
        held.numbers.get(&(platform.to_owned(), id)).copied().ok_or(held.forgotten)
    }

    fn keep(&self, platform: &str, id: u64, who: Who, forgotten: u64) {
        let mut held = self.held();
        if held.forgotten != forgotten {
            return;
        }
        if held.numbers.len() == AT_HAND {
            held.numbers.clear();
        }
        held.numbers.insert((platform.to_owned(), id), who);
    }

    fn held(&self) -> MutexGuard<'_, Numbers> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// People's ids are not shown.
impl fmt::Debug for PeopleAtHand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PeopleAtHand")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_kept_who_was_read_before_somebody_was_forgotten() {
        let people = PeopleAtHand::default();
        let before = people.find("chat", 7).unwrap_err();
        people.keep("chat", 7, Who::Person(1), before);
        assert_eq!(people.find("chat", 7), Ok(Who::Person(1)));
        assert!(people.find("elsewhere", 7).is_err() && people.find("chat", 8).is_err());
        people.forget();
        people.keep("chat", 7, Who::Person(1), before);
        assert!(people.find("chat", 7).is_err());
        assert_eq!(format!("{people:?}"), "PeopleAtHand");
    }

    /// Another program takes somebody's id away: the first request after that is refused, and from
    /// the next on they are somebody new.
    #[tokio::test]
    async fn somebody_whom_another_program_forgot_is_somebody_new() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("record.db");
        let (record, other) =
            (Record::open(&file).await.unwrap(), Record::open(&file).await.unwrap());
        let who = record.person("chat", 7).await.unwrap();
        other.forget_person("chat", 7).await.unwrap();
        assert_eq!(record.person("chat", 7).await.unwrap(), who, "nothing has told it yet");
        record.people.forget();
        assert_ne!(record.person("chat", 7).await.unwrap(), who);
        record.close().await;
        other.close().await;
    }
}
