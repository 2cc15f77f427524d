//! Those who wait for a ruling, or for an answer that is not soon given, kept so that a kill leaves
//! nobody waiting without words.

use super::caller::Caller;
use super::shared::Shared;
use crate::chat::message::{messages, of_sentence};
use crate::chat::platform::{Failed, PLATFORM, ReplyRoute};
use crate::protocol::RequestId;
use crate::referee::Waiting;
use std::time::Duration;

/// The longest that somebody's acknowledgement waits until it is noted that they wait.
const LONGEST: Duration = Duration::from_millis(250);

/// Notes that somebody waits. Without the note a kill would leave them waiting, and nothing worse:
/// so where those who write have to wait, their answer does not.
pub async fn waits(shared: &Shared, caller: &Caller) {
    let via = serde_json::to_string(&caller.via).expect("a route has only text keys");
    let (place, waiting) = (caller.place(), Waiting { asked: caller.asked(), via });
    let noted = shared.referee.waits(&place, &waiting);
    if let Ok(Err(error)) = tokio::time::timeout(LONGEST, noted).await {
        tracing::warn!(%error, "it could not be noted who waits for an answer");
    }
}

/// Notes that somebody waits no more.
pub async fn waits_no_more(shared: &Shared, caller: &Caller) {
    forget(shared, &caller.asked()).await;
}

/// Those whom an earlier run left waiting, once nothing new can have been asked.
pub async fn left_waiting(shared: &Shared) -> Vec<Waiting> {
    shared.referee.waiting_on(PLATFORM).await.unwrap_or_else(|error| {
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
        forget(shared, &waiting.asked).await;
    }
}

async fn forget(shared: &Shared, asked: &RequestId) {
    if let Err(error) = shared.referee.waits_no_more(asked).await {
        tracing::warn!(%error, "it could not be noted that somebody was answered");
    }
}
