//! Posts that are owed: brought to the platform once, whatever happens in between.
//!
//! While an interaction's token answers, the post takes the place of its acknowledgement; doing
//! that twice leaves one post. Afterwards the post goes to the channel: the channel is first
//! searched for it, and the platform refuses a second one with the same nonce.

use super::interaction::{Shared, mention_of};
use super::message::{Message, holds, latest, messages, of_events, of_sentence, reference};
use super::platform::{Failed, Happened, PLATFORM, ReplyRoute, id_at, milliseconds};
use crate::protocol::{Body, Place, Recorded, Request};
use crate::referee::Owed;
use std::time::Duration;

/// How often owed posts are looked for.
const EVERY: Duration = Duration::from_secs(30);

/// How many pages of a channel's messages are searched for a post, 100 messages each.
const PAGES: usize = 20;

/// Where a post has come to.
enum Went {
    /// The platform has it.
    Posted,
    /// It will never be taken there.
    Never(Failed),
    /// It may be taken later.
    Later,
}

/// Brings the posts of events that one request made to the platform; whether it has them.
pub(super) async fn deliver(
    shared: &Shared,
    place: &Place,
    events: &[Recorded],
    via: Option<&ReplyRoute>,
) -> bool {
    let went = match via.filter(|via| via.answers()) {
        Some(via) => to_interaction(shared, place, events, via).await,
        None => to_channel(shared, place, events, via).await,
    };
    match went {
        Went::Posted => shared.counts.count(Happened::Posted),
        Went::Later => return false,
        Went::Never(failed) => {
            tracing::warn!(%failed, %place, "a post is given up");
            shared.counts.count(Happened::GaveUp);
            tell_whoever_waits(shared, via, &failed).await;
            tell_referee(shared, events, &failed).await;
        }
    }
    for recorded in events {
        if let Err(error) = shared.referee.posted(recorded).await {
            // It stays owed: the next look finds it in the channel, or edits it in once more.
            tracing::error!(%error, "a post could not be marked as taken");
        }
    }
    true
}

/// Brings every post owed, every so often, until the program ends.
pub(super) async fn keep_posting(shared: &Shared) {
    loop {
        tokio::time::sleep(EVERY).await;
        post_owed(shared).await;
    }
}

/// Brings every post that is owed and not on its way.
pub(super) async fn post_owed(shared: &Shared) {
    let owed = match shared.referee.owed_on(PLATFORM).await {
        Ok(owed) => owed,
        Err(error) => return tracing::error!(%error, "owed posts could not be read"),
    };
    for owed in owed {
        post_together(shared, owed).await;
    }
}

/// Brings the posts of one request's events.
async fn post_together(shared: &Shared, owed: Owed) {
    let _in_hand = shared.in_flight.in_hand.read().await;
    let Owed { place, via, events: owed } = owed;
    let events = {
        // A request that has just been granted takes its posts up before it leaves the place.
        let _alone = shared.in_flight.alone(&place.beside().to_string()).await;
        let mut events = Vec::new();
        for event in owed {
            if !shared.in_flight.claim(&event) {
                continue;
            }
            // It may have been posted between being read and being taken up.
            if shared.referee.still_owed(&event).await.unwrap_or(false) {
                events.push(event);
            } else {
                shared.in_flight.put_down(&event);
            }
        }
        events
    };
    if !events.is_empty() {
        let via = via.and_then(|via| serde_json::from_str(&via).ok());
        deliver(shared, &place, &events, via.as_ref()).await;
    }
    for event in &events {
        shared.in_flight.put_down(event);
    }
}

async fn to_interaction(
    shared: &Shared,
    place: &Place,
    events: &[Recorded],
    via: &ReplyRoute,
) -> Went {
    match shared.rest.edit_original(via, &message(shared, events).await.parcel()).await {
        Ok(()) => Went::Posted,
        Err(Failed::Unreachable(_)) => Went::Later,
        // The token answers no more, or somebody has deleted the acknowledgement.
        Err(failed) if failed.is_gone() => to_channel(shared, place, events, Some(via)).await,
        Err(failed) => Went::Never(failed),
    }
}

async fn to_channel(
    shared: &Shared,
    place: &Place,
    events: &[Recorded],
    via: Option<&ReplyRoute>,
) -> Went {
    let Some(event) = events.last() else { return Went::Posted };
    let Some(channel) = place.channel_id() else { return Went::Posted };
    let since = via.map_or_else(|| since(event), |via| milliseconds(via.id));
    match is_there(shared, channel, since, &reference(event)).await {
        Ok(true) => return Went::Posted,
        // Without a look at the channel's history the nonce alone must do.
        Ok(false) | Err(Failed::Refused { status: 403, .. }) => {}
        Err(Failed::Unreachable(_)) => return Went::Later,
        Err(failed) => return Went::Never(failed),
    }
    let message = message(shared, events).await.once(nonce(event));
    match shared.rest.post(channel, &message.parcel()).await {
        Ok(_) => Went::Posted,
        Err(Failed::Unreachable(_)) => Went::Later,
        Err(failed) => Went::Never(failed),
    }
}

/// The posts of these events, with mentions of those who are given an office or lose one.
async fn message(shared: &Shared, events: &[Recorded]) -> Message {
    let mut mentions = Vec::new();
    for Recorded { event, .. } in events {
        if let Body::Appointed { who, .. } | Body::Relieved { who, .. } = event.body
            && let Ok(mention) = mention_of(shared, who).await
        {
            mentions.push((who.to_string(), mention));
        }
    }
    of_events(events, &mentions)
}

/// Whether a channel has held a post with that reference since then, in Unix milliseconds.
async fn is_there(
    shared: &Shared,
    channel: u64,
    since: u64,
    reference: &str,
) -> Result<bool, Failed> {
    let mut after = id_at(since.saturating_sub(1));
    for _ in 0..PAGES {
        let page = shared.rest.messages_after(channel, after).await?;
        if holds(&page, reference) {
            return Ok(true);
        }
        // However the platform sorts a page, the next one begins after its latest message.
        match latest(&page) {
            Some(latest) if latest > after => after = latest,
            _ => break,
        }
    }
    Ok(false)
}

/// Says where the acknowledgement stands that the post will not come; nothing may stand there.
async fn tell_whoever_waits(shared: &Shared, via: Option<&ReplyRoute>, failed: &Failed) {
    let Some(via) = via.filter(|via| via.answers() && !failed.is_gone()) else { return };
    let sentence = of_sentence(&messages::not_shown(failed.reason()));
    let _ = shared.rest.edit_original(via, &sentence.parcel()).await;
}

/// Tells the battle's referee in private; what cannot be told is in the trace.
async fn tell_referee(shared: &Shared, events: &[Recorded], failed: &Failed) {
    let Some(event) = events.last() else { return };
    let told = async {
        let opening = shared.referee.event(&event.event.battle, 1).await.ok()??.event;
        let user = shared.referee.user(PLATFORM, opening.by).await.ok()??;
        let name = match opening.request {
            Request::Open(open) => open.name,
            _ => opening.battle,
        };
        let channel = shared.rest.private_channel(user).await.ok()?;
        let sentence =
            messages::not_posted(&name, event.event.seq, failed.reason(), failed.is_gone());
        shared.rest.post(channel, &of_sentence(&sentence).parcel()).await.ok()
    };
    if told.await.is_none() {
        tracing::warn!(battle = event.event.battle, "the referee could not be told either");
    }
}

/// A nonce has at most 25 characters: the battle's id has 16.
fn nonce(event: &Recorded) -> String {
    format!("{}-{}", event.event.battle, event.event.seq)
}

/// When an event was written, in Unix milliseconds, with a minute for clocks that differ.
fn since(event: &Recorded) -> u64 {
    let at: Option<jiff::Timestamp> = event.event.at.parse().ok();
    let at = at.and_then(|at| u64::try_from(at.as_millisecond()).ok()).unwrap_or(0);
    at.saturating_sub(60_000)
}
