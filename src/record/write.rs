//! Writing to the record: one transaction a request.

use super::{AppendError, Record, RecordError};
use crate::battle::{Body, Recorded};
use crate::digest::Digest;
use crate::fair::Chain;
use sqlx::{Sqlite, Transaction};

/// An event to append, with what must be written together with it.
#[derive(Debug)]
pub struct Append<'a> {
    /// The place that asked, which is owed the post.
    pub place: &'a str,
    /// The event.
    pub event: &'a Recorded,
    /// What opening a battle founds.
    pub founding: Option<Founding<'a>>,
    /// The chain that begins because this roll was the last of the one before.
    pub next_chain: Option<&'a Chain>,
}

/// What a new battle needs besides its first event.
#[derive(Debug)]
pub struct Founding<'a> {
    /// The battle's name.
    pub name: &'a str,
    /// Its first chain; none when a battle is imported.
    pub chain: Option<&'a Chain>,
    /// Its rules: name, SHA-256 and text.
    pub rules: (&'a str, Digest, &'a str),
}

impl Record {
    /// Appends an event. On any error nothing at all is written.
    pub async fn append(&self, append: &Append<'_>) -> Result<(), AppendError> {
        let mut transaction = self.pool.begin_with("BEGIN IMMEDIATE").await?;
        write(&mut transaction, append).await?;
        owe(&mut transaction, append).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Begins to take in a whole battle: nothing is kept until [`Import::finish`].
    pub async fn import<'p>(&self, place: &'p str) -> Result<Import<'p>, AppendError> {
        let transaction = self.pool.begin_with("BEGIN IMMEDIATE").await?;
        Ok(Import { transaction, place, battle: None })
    }

    /// Marks a post as taken, so that it is not owed any more.
    pub async fn posted(&self, battle: &str, seq: u64) -> Result<(), RecordError> {
        sqlx::query("DELETE FROM owed WHERE battle = ? AND seq = ?")
            .bind(battle)
            .bind(sql(seq))
            .execute(&self.pool)
            .await?;
        Ok(())
    }
}

/// A battle being taken in, in one transaction; dropped before its end, it leaves nothing.
pub struct Import<'p> {
    transaction: Transaction<'static, Sqlite>,
    place: &'p str,
    battle: Option<String>,
}

impl Import<'_> {
    /// Takes the first event, with what its battle needs.
    pub async fn found(
        &mut self,
        event: &Recorded,
        founding: Founding<'_>,
    ) -> Result<(), AppendError> {
        let append =
            Append { place: self.place, event, founding: Some(founding), next_chain: None };
        self.battle = Some(event.event.battle.clone());
        write(&mut self.transaction, &append).await?;
        // It stays closed, so that it does not stand in the way of the battle open in this place.
        sqlx::query("UPDATE battles SET is_open = 0 WHERE id = ?")
            .bind(&event.event.battle)
            .execute(&mut *self.transaction)
            .await?;
        Ok(())
    }

    /// Takes the next event; its post is not owed.
    pub async fn event(&mut self, event: &Recorded) -> Result<(), AppendError> {
        let append = Append { place: self.place, event, founding: None, next_chain: None };
        write(&mut self.transaction, &append).await
    }

    /// Keeps the battle, closed.
    pub async fn finish(mut self) -> Result<(), AppendError> {
        sqlx::query("UPDATE battles SET is_open = 0 WHERE id = ?")
            .bind(self.battle)
            .execute(&mut *self.transaction)
            .await?;
        self.transaction.commit().await?;
        Ok(())
    }
}

async fn write(
    transaction: &mut Transaction<'_, Sqlite>,
    append: &Append<'_>,
) -> Result<(), AppendError> {
    let event = &append.event.event;
    match &append.founding {
        Some(founding) => found(transaction, append, founding).await?,
        None => advance(transaction, append.event).await?,
    }
    if let Some(chain) = append.next_chain {
        keep_chain(transaction, &event.battle, chain).await?;
    }
    sqlx::query("INSERT INTO events (battle, seq, asked, text) VALUES (?, ?, ?, ?)")
        .bind(&event.battle)
        .bind(sql(event.seq))
        .bind(&event.asked)
        .bind(&append.event.text)
        .execute(&mut **transaction)
        .await?;
    Ok(())
}

/// Moves the battle's head from exactly the event's predecessor to the event.
async fn advance(
    transaction: &mut Transaction<'_, Sqlite>,
    recorded: &Recorded,
) -> Result<(), AppendError> {
    let event = &recorded.event;
    let open = match event.body {
        Body::Closed => Some(0),
        Body::Reopened => Some(1),
        _ => None,
    };
    let moved = sqlx::query(
        "UPDATE battles SET seq = ?, head = ?, is_open = COALESCE(?, is_open) \
         WHERE id = ? AND seq = ? AND head = ?",
    )
    .bind(sql(event.seq))
    .bind(recorded.hash.to_string())
    .bind(open)
    .bind(&event.battle)
    .bind(sql(event.seq - 1))
    .bind(event.prev.to_string())
    .execute(&mut **transaction)
    .await?;
    if moved.rows_affected() == 1 { Ok(()) } else { Err(AppendError::Overtaken) }
}

async fn found(
    transaction: &mut Transaction<'_, Sqlite>,
    append: &Append<'_>,
    founding: &Founding<'_>,
) -> Result<(), AppendError> {
    let (name, sha256, text) = founding.rules;
    sqlx::query("INSERT INTO rules (sha256, name, text) VALUES (?, ?, ?) ON CONFLICT DO NOTHING")
        .bind(sha256.to_string())
        .bind(name)
        .bind(text)
        .execute(&mut **transaction)
        .await?;
    let event = &append.event.event;
    sqlx::query(
        "INSERT INTO battles (id, place, name, is_open, seq, head) VALUES (?, ?, ?, 1, ?, ?)",
    )
    .bind(&event.battle)
    .bind(append.place)
    .bind(founding.name)
    .bind(sql(event.seq))
    .bind(append.event.hash.to_string())
    .execute(&mut **transaction)
    .await?;
    if let Some(chain) = founding.chain {
        keep_chain(transaction, &event.battle, chain).await?;
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

async fn owe(
    transaction: &mut Transaction<'_, Sqlite>,
    append: &Append<'_>,
) -> Result<(), AppendError> {
    let event = &append.event.event;
    sqlx::query("INSERT INTO owed (battle, seq, place) VALUES (?, ?, ?)")
        .bind(&event.battle)
        .bind(sql(event.seq))
        .bind(append.place)
        .execute(&mut **transaction)
        .await?;
    Ok(())
}

/// A number as SQL keeps it.
fn sql(number: u64) -> i64 {
    i64::try_from(number).expect("a record has fewer events than 2^63")
}
