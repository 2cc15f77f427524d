//! Posts that are owed: brought to the platform once, whatever happens in between.
//!
//! While an interaction's token answers, the post takes the place of its acknowledgement; doing
//! that twice leaves one post. Afterwards the post goes to the channel: the channel is first
//! searched for it, and the platform refuses a second one with the same nonce.

use super::caller::{ReplyRoute, id_at, milliseconds};
use super::desk::Desk;
use super::rest::Failed;
use super::{caller, layout, messages};
use crate::protocol::{Place, Recorded};
use crate::record::Owed;
use serde_json::{Value, json};
use std::sync::Arc;
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

impl Desk {
    /// Brings the posts of events that one request made to the platform; whether it has them.
    pub async fn deliver(
        &self,
        place: &Place,
        events: &[Recorded],
        via: Option<&ReplyRoute>,
    ) -> bool {
        let went = match via.filter(|via| via.answers()) {
            Some(via) => self.to_interaction(place, events, via).await,
            None => self.to_channel(place, events, via).await,
        };
        match went {
            Went::Posted => self.counts.posted(),
            Went::Later => return false,
            Went::Never(failed) => {
                tracing::warn!(%failed, %place, "a post is given up");
                self.counts.gave_up();
                self.tell_referee(events, &failed).await;
            }
        }
        for Recorded { event, .. } in events {
            if let Err(error) = self.referee.record().posted(&event.battle, event.seq).await {
                // It stays owed: the next look finds it in the channel, or edits it in once more.
                tracing::error!(%error, "a post could not be marked as taken");
            }
        }
        true
    }

    /// Every post owed, again and again until the program ends.
    pub async fn keep_posting(self: Arc<Self>) {
        self.post_owed().await;
        self.refresh_boards().await;
        loop {
            tokio::time::sleep(EVERY).await;
            self.post_owed().await;
        }
    }

    /// Every post that is owed and not on its way.
    pub async fn post_owed(&self) {
        let owed = match self.referee.record().owed_on(caller::PLATFORM).await {
            Ok(owed) => owed,
            Err(error) => return tracing::error!(%error, "owed posts could not be read"),
        };
        for owed in owed {
            self.post_together(owed).await;
        }
    }

    async fn post_together(&self, owed: Owed) {
        let _in_hand = self.in_flight.in_hand.read().await;
        let Owed { place, via, events: owed } = owed;
        let events = {
            // A request that has just been granted takes its posts up before it leaves the place.
            let _alone = self.in_flight.alone(&place.beside().to_string()).await;
            let mut events = Vec::new();
            for event in owed {
                if !self.in_flight.claim(&event) {
                    continue;
                }
                // It may have been posted between being read and being taken up.
                if self.is_still_owed(&event).await {
                    events.push(event);
                } else {
                    self.in_flight.put_down(&event);
                }
            }
            events
        };
        if !events.is_empty() {
            let via = via.and_then(|via| serde_json::from_str(&via).ok());
            self.deliver(&place, &events, via.as_ref()).await;
        }
        for event in &events {
            self.in_flight.put_down(event);
        }
    }

    async fn is_still_owed(&self, Recorded { event, .. }: &Recorded) -> bool {
        let still = self.referee.record().is_owed(&event.battle, event.seq).await;
        still.is_ok_and(|still| still)
    }

    async fn to_interaction(&self, place: &Place, events: &[Recorded], via: &ReplyRoute) -> Went {
        match self.rest.edit_original(via, &layout::of_events(events)).await {
            Ok(_) => Went::Posted,
            Err(Failed::Unreachable(_)) => Went::Later,
            // The token answers no more, or somebody has deleted the acknowledgement.
            Err(failed) if failed.is_gone() => self.to_channel(place, events, Some(via)).await,
            Err(failed) => Went::Never(failed),
        }
    }

    async fn to_channel(
        &self,
        place: &Place,
        events: &[Recorded],
        via: Option<&ReplyRoute>,
    ) -> Went {
        let Some(event) = events.last() else { return Went::Posted };
        let Some(channel) = place.channel_id() else { return Went::Posted };
        let since = via.map_or_else(|| since(event), |via| milliseconds(via.id));
        match self.is_there(channel, since, &layout::reference(event)).await {
            Ok(true) => return Went::Posted,
            // Without a look at the channel's history the nonce alone must do.
            Ok(false) | Err(Failed::Refused { status: 403, .. }) => {}
            Err(Failed::Unreachable(_)) => return Went::Later,
            Err(failed) => return Went::Never(failed),
        }
        let mut message = layout::of_events(events);
        message.body["nonce"] = json!(nonce(event));
        message.body["enforce_nonce"] = json!(true);
        match self.rest.post(channel, &message).await {
            Ok(_) => Went::Posted,
            Err(Failed::Unreachable(_)) => Went::Later,
            Err(failed) => Went::Never(failed),
        }
    }

    /// Whether a channel has held a post with that reference since then, in Unix milliseconds.
    async fn is_there(&self, channel: u64, since: u64, reference: &str) -> Result<bool, Failed> {
        let mut after = id_at(since.saturating_sub(1));
        for _ in 0..PAGES {
            let page = self.rest.messages_after(channel, after).await?;
            if holds(&page, reference) {
                return Ok(true);
            }
            let ids =
                page.as_array().into_iter().flatten().filter_map(|message| {
                    message["id"].as_str().and_then(|id| id.parse::<u64>().ok())
                });
            // However the platform sorts a page, the next one begins after its latest message.
            match ids.max() {
                Some(latest) if latest > after => after = latest,
                _ => break,
            }
        }
        Ok(false)
    }

    /// Tells the battle's referee in private; what cannot be told is in the trace.
    async fn tell_referee(&self, events: &[Recorded], failed: &Failed) {
        let Some(event) = events.last() else { return };
        let told = async {
            let battle = &event.event.battle;
            let opener = self.event(battle, 1).await.ok()??.event.by;
            let user = self.user_of(opener).await.ok()??;
            let channel = self.rest.private_channel(user).await.ok()?;
            let channel = channel["id"].as_str()?.parse().ok()?;
            let why = match failed {
                Failed::Refused { message, .. } => message,
                Failed::Unreachable(why) => why,
            };
            let sentence = messages::not_posted(battle, event.event.seq, why);
            self.rest.post(channel, &layout::of_sentence(&sentence)).await.ok()
        };
        if told.await.is_none() {
            tracing::warn!(battle = event.event.battle, "the referee could not be told either");
        }
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

/// Whether one of these messages holds an event's reference.
fn holds(messages: &Value, reference: &str) -> bool {
    let embeds = |message: &Value| message["embeds"].as_array().cloned().unwrap_or_default();
    messages.as_array().is_some_and(|messages| {
        messages.iter().flat_map(embeds).any(|embed| {
            embed["footer"]["text"].as_str().is_some_and(|footer| footer.contains(reference))
        })
    })
}
