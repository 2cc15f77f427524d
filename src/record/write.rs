//! Writing to the record: one transaction a request.

use super::secrets::keep_chain;
use super::store::Transaction;
use super::{AppendError, Record};
use crate::digest::Digest;
use crate::fair::Chain;
use crate::protocol::{Appointee, Body, Place, Recorded, Who};

/// An event to append, with what must be written together with it.
#[derive(Debug)]
pub struct Append<'a> {
    /// The place that asked, which is owed the post.
    pub place: &'a Place,
    /// How the front wants the post to go, in its own words.
    pub via: Option<&'a str>,
    /// The event.
    pub event: &'a Recorded,
    /// The SHA-256 of the request as it was asked, by which it is known when it is asked again.
    pub asked_sha256: Digest,
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

/// An event with all that it writes, in one statement: one turn with the database.
const APPEND: &str = "
    INSERT INTO appending (battle, seq, roll, text, answers_at, asked, sha256,
                           place, platform, server, route, who, head, is_open, requests,
                           person, appointed, appointee)
    VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18)";

impl Record {
    /// Appends an event. On any error nothing at all is written.
    pub async fn append(&self, append: &Append<'_>) -> Result<(), AppendError> {
        let appended = self.append_once(append).await;
        if matches!(appended, Err(AppendError::Overtaken)) {
            // Whoever asked may have had their id taken away by another program.
            self.people.forget();
        }
        appended
    }

    async fn append_once(&self, append: &Append<'_>) -> Result<(), AppendError> {
        let recorded = append.event;
        let event = &recorded.event;
        let place = append.place;
        // Whoever is given an office has to do with the battle, though they asked nothing in it.
        let appointed = match event.body {
            Body::Appointed { who: Appointee::Person(n), .. } => Some(n),
            _ => None,
        };
        let values = [
            event.battle.as_str().into(),
            event.seq.into(),
            event.receipt().map(|receipt| receipt.roll).into(),
            recorded.text.as_str().into(),
            (&place.beside()).into(),
            (&event.asked).into(),
            append.asked_sha256.into(),
            place.into(),
            place.platform().into(),
            place.server().into(),
            append.via.into(),
            event.by.into(),
            recorded.hash.into(),
            opens(&event.body).into(),
            // What a request needed first was not asked by anybody.
            u32::from(event.asked.whole() == event.asked).into(),
            person(event.by).into(),
            appointed.map(Who::Person).as_ref().map(ToString::to_string).as_deref().into(),
            appointed.into(),
        ];
        if append.new_battle.is_none() && append.next_chain.is_none() {
            self.store.run(APPEND, values).await?;
            self.store.counts(1);
            return Ok(());
        }
        let mut transaction = self.store.begin().await?;
        if let Some(new_battle) = &append.new_battle {
            found(&mut transaction, place, &event.battle, new_battle, true).await?;
        }
        if let Some(chain) = append.next_chain {
            keep_chain(&mut transaction, &event.battle, chain).await?;
        }
        transaction.run(APPEND, values).await?;
        transaction.commit().await?;
        self.store.counts(1);
        Ok(())
    }
}

/// The number of whoever asked, if it is somebody of a platform.
const fn person(who: Who) -> Option<u64> {
    match who {
        Who::Person(n) => Some(n),
        Who::Table | Who::Referee => None,
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

/// Founds a battle that has no event yet.
pub(super) async fn found(
    transaction: &mut Transaction,
    place: &Place,
    battle: &str,
    new_battle: &NewBattle<'_>,
    open: bool,
) -> Result<(), AppendError> {
    let (name, sha256, text) = new_battle.rules;
    let sql = "INSERT INTO rules (sha256, name, text) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING";
    transaction.run(sql, [sha256.into(), name.into(), text.into()]).await?;
    let sql = "INSERT INTO battles \
        (id, place, platform, server, channel, quick, name, is_open, seq, head) \
        VALUES ($1, $2, $3, $4, $5, $6, $7, $8, 0, $9)";
    let values = [
        battle.into(),
        place.into(),
        place.platform().into(),
        place.server().into(),
        place.channel_id().into(),
        place.is_quick().into(),
        new_battle.name.into(),
        open.into(),
        Digest::ZERO.into(),
    ];
    transaction.run(sql, values).await?;
    if let Some(chain) = new_battle.chain {
        keep_chain(transaction, battle, chain).await?;
    }
    Ok(())
}
