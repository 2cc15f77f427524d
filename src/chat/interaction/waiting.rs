//! Those who wait for a ruling or a look, kept so that a kill leaves nobody waiting without words.

use super::caller::Caller;
use super::shared::Shared;
use crate::chat::message::{messages, of_sentence};
use crate::chat::platform::{Failed, PLATFORM, ReplyRoute};
use crate::protocol::RequestId;
use crate::referee::Waiting;

/// Notes that somebody waits. Without the note a kill would leave them waiting, and nothing worse.
pub fn waits(shared: &Shared, caller: &Caller) {
    let via = serde_json::to_string(&caller.via).expect("a route has only text keys");
    let waiting = Waiting { place: caller.place(), asked: caller.asked(), via };
    if let Err(error) = shared.referee.waits(waiting) {
        tracing::warn!(%error, "it could not be noted who waits for an answer");
    }
}

/// Notes that somebody waits no more.
pub fn waits_no_more(shared: &Shared, caller: &Caller) {
    forget(shared, &caller.asked());
}

/// Those whom an earlier run left waiting, once nothing new can have been asked.
pub async fn left_waiting(shared: &Shared) -> Vec<Waiting> {
    shared.referee.left_waiting(PLATFORM).await.unwrap_or_else(|error| {
        tracing::error!(%error, "it could not be read who was left waiting");
        Vec::new()
    })
}

/// Tells those whom an earlier run left waiting that nothing came of what they asked: had anything
/// come of it, they would not be among them.
pub async fn tell_left_waiting(shared: &Shared, left: Vec<Waiting>) {
    let sentence = of_sentence(messages::CUT_SHORT).parcel();
    for waiting in left {
        let via: Option<ReplyRoute> = serde_json::from_str(&waiting.via).ok();
        if let Some(via) = via.filter(ReplyRoute::answers) {
            match shared.rest.edit_original(&via, &sentence).await {
                // The next start tries once more, if the token still answers then.
                Err(Failed::Unreachable(_)) => continue,
                Err(failed) => tracing::warn!(%failed, "who was left waiting could not be told"),
                Ok(()) => {}
            }
        }
        forget(shared, &waiting.asked);
    }
}

fn forget(shared: &Shared, asked: &RequestId) {
    if let Err(error) = shared.referee.waits_no_more(asked) {
        tracing::warn!(%error, "it could not be noted that somebody was answered");
    }
}
