//! Writing to the record: one transaction a request.

use super::{AppendError, Record, RecordError};
use crate::digest::Digest;
use crate::fair::Chain;
use crate::protocol::{Body, Place, Recorded};
use sqlx::{Executor, Sqlite, Transaction};

/// An event to append, with what must be written together with it.
#[derive(Debug)]
pub struct Append<'a> {
    /// The place that asked, which is owed the post.
    pub place: &'a Place,
    /// How the front wants the post to go, in its own words.
    pub via: Option<&'a str>,
    /// The event.
    pub event: &'a Recorded,
    /// What opening a battle founds.
    pub new_battle: Option<NewBattle<'a>>,
    /// The chain after the one that begins now, drawn in advance.
    pub next_chain: Option<&'a Chain>,
}

/// What a new battle needs besides its first event.
#[derive(Debug)]
pub struct NewBattle<'a> {
    /// The battle's name.
    pub name: &'a str,
    /// Its first chain; none when a battle is imported.
    pub chain: Option<&'a Chain>,
    /// Its rules: name, SHA-256 and text.
    pub rules: (&'a str, Digest, &'a str),
}

impl Record {
    /// Appends an event. On any error nothing at all is written.
    ///
    /// Most events are one row, and one statement is a transaction of its own.
    pub async fn append(&self, append: &Append<'_>) -> Result<(), AppendError> {
        let state = opens(&append.event.event.body);
        if append.new_battle.is_none() && append.next_chain.is_none() && state.is_none() {
            return insert(&self.writer, append.event, Some((append.place, append.via))).await;
        }
        let mut transaction = self.writer.begin_with("BEGIN IMMEDIATE").await?;
        let battle = &append.event.event.battle;
        if let Some(new_battle) = &append.new_battle {
            found(&mut transaction, append.place, append.event, new_battle, true).await?;
        }
        if let Some(chain) = append.next_chain {
            keep_chain(&mut transaction, battle, chain).await?;
        }
        if let Some(open) = state {
            sqlx::query("UPDATE battles SET is_open = ? WHERE id = ?")
                .bind(open)
                .bind(battle)
                .execute(&mut *transaction)
                .await?;
        }
        insert(&mut *transaction, append.event, Some((append.place, append.via))).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Begins to take in a whole battle: nothing is kept until [`Import::finish`].
    pub async fn import<'p>(&self, place: &'p Place) -> Result<Import<'p>, AppendError> {
        let transaction = self.writer.begin_with("BEGIN IMMEDIATE").await?;
        Ok(Import { transaction, place })
    }

    /// Marks a post as taken, so that it is not owed any more.
    pub async fn posted(&self, battle: &str, seq: u64) -> Result<(), RecordError> {
        sqlx::query(
            "UPDATE events SET owed_to = NULL, owed_via = NULL WHERE battle = ? AND seq = ?",
        )
        .bind(battle)
        .bind(sql(seq))
        .execute(&self.writer)
        .await?;
        Ok(())
    }
}

/// A battle being taken in, in one transaction; dropped before its end, it leaves nothing.
pub struct Import<'p> {
    transaction: Transaction<'static, Sqlite>,
    place: &'p Place,
}

impl Import<'_> {
    /// Takes the first event, with what its battle needs. The battle stays closed, so that it does
    /// not stand in the way of the one that is open in this place.
    pub async fn found(
        &mut self,
        event: &Recorded,
        new_battle: NewBattle<'_>,
    ) -> Result<(), AppendError> {
        found(&mut self.transaction, self.place, event, &new_battle, false).await?;
        self.event(event).await
    }

    /// Takes the next event; its post is not owed.
    pub async fn event(&mut self, event: &Recorded) -> Result<(), AppendError> {
        insert(&mut *self.transaction, event, None).await
    }

    /// Keeps the battle.
    pub async fn finish(self) -> Result<(), AppendError> {
        Ok(self.transaction.commit().await?)
    }
}

/// Whether an event opens or closes its battle.
const fn opens(body: &Body) -> Option<bool> {
    match body {
        Body::Closed => Some(false),
        Body::Reopened => Some(true),
        _ => None,
    }
}

/// Inserts an event. Its battle and number are unique, so nobody can have been there first.
async fn insert<'e>(
    to: impl Executor<'e, Database = Sqlite>,
    recorded: &Recorded,
    owed: Option<(&Place, Option<&str>)>,
) -> Result<(), AppendError> {
    let event = &recorded.event;
    sqlx::query(
        "INSERT INTO events (battle, seq, asked, text, owed_to, owed_via) \
         VALUES (?, ?, ?, ?, ?, ?)",
    )
    .bind(&event.battle)
    .bind(sql(event.seq))
    .bind(event.asked.to_string())
    .bind(&recorded.text)
    .bind(owed.map(|(place, _)| place.to_string()))
    .bind(owed.and_then(|(_, via)| via))
    .execute(to)
    .await?;
    Ok(())
}

async fn found(
    transaction: &mut Transaction<'_, Sqlite>,
    place: &Place,
    event: &Recorded,
    new_battle: &NewBattle<'_>,
    open: bool,
) -> Result<(), AppendError> {
    let battle = &event.event.battle;
    let (name, sha256, text) = new_battle.rules;
    sqlx::query("INSERT INTO rules (sha256, name, text) VALUES (?, ?, ?) ON CONFLICT DO NOTHING")
        .bind(sha256.to_string())
        .bind(name)
        .bind(text)
        .execute(&mut **transaction)
        .await?;
    sqlx::query("INSERT INTO battles (id, place, name, is_open) VALUES (?, ?, ?, ?)")
        .bind(battle)
        .bind(place.to_string())
        .bind(new_battle.name)
        .bind(open)
        .execute(&mut **transaction)
        .await?;
    if let Some(chain) = new_battle.chain {
        keep_chain(transaction, battle, chain).await?;
    }
    Ok(())
}

async fn keep_chain(
    transaction: &mut Transaction<'_, Sqlite>,
    battle: &str,
    chain: &Chain,
) -> Result<(), AppendError> {
    sqlx::query("INSERT INTO chains (anchor, battle, links, secret) VALUES (?, ?, ?, ?)")
        .bind(chain.anchor().to_string())
        .bind(battle)
        .bind(chain.length())
        .bind(chain.secret().bytes().as_slice())
        .execute(&mut **transaction)
        .await?;
    Ok(())
}

/// A number as SQL keeps it.
fn sql(number: u64) -> i64 {
    i64::try_from(number).expect("a record has fewer events than 2^63")
}
