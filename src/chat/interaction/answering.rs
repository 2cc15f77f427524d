//! Acknowledging and answering: whoever has been acknowledged is never left waiting without words.
//!
//! The platform waits 3 seconds for an acknowledgement, so that goes first; what it comes to takes
//! the place of the acknowledgement. A refusal takes the public acknowledgement away and is said to
//! one person alone.

use super::caller::Caller;
use super::people::mention;
use super::shared::Shared;
use super::waiting::{waits, waits_no_more};
use crate::battle::Told;
use crate::chat::message::{
    Answer, Choice, Form, Message, escape, messages, of_markdown, of_sentence, of_told,
};
use crate::chat::platform::{Happened, Timed};
use crate::protocol::Who;
use crate::referee::{Needs, Refusal};
use std::time::{Duration, Instant};

/// After so long somebody who waits is told that it will take a while.
const LONG: Duration = Duration::from_secs(3);
/// The most bytes of files with an answer. The platform takes 10 MiB of a file from anyone:
/// <https://discord.com/developers/docs/reference#uploading-files>.
pub const MOST_BYTES: usize = 10 << 20;

/// Why something was not done.
#[derive(Debug)]
pub enum Denied {
    /// The referee refused.
    Refused(Refusal),
    /// The sentence says why.
    Said(Told),
}

impl From<Refusal> for Denied {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

/// Acknowledges; false if the interaction cannot be answered any more.
pub async fn acknowledged(shared: &Shared, caller: &Caller, private: bool) -> bool {
    let begun = Instant::now();
    match shared.rest.acknowledge(&caller.via, &Answer::Later { private }.parcel()).await {
        Ok(()) => {
            shared.counts.time(Timed::Acknowledged, begun.elapsed());
            true
        }
        // Delivered twice, or a try whose answer was lost: somebody is waiting.
        Err(failed) if failed.is_acknowledged() => true,
        Err(failed) => {
            tracing::warn!(%failed, "an interaction could not be acknowledged");
            // It may have arrived all the same, and somebody waits for what will not come.
            if !failed.is_gone() {
                in_its_place(shared, caller, messages::TOO_SLOW).await;
            }
            false
        }
    }
}

/// Answers one person, or all, with what `work` comes to.
pub async fn tell<F>(shared: &Shared, caller: &Caller, share: bool, work: F)
where
    F: Future<Output = Result<Message, Denied>>,
{
    let _in_hand = shared.in_flight.in_hand.read().await;
    // It is noted first that they wait, so that no kill leaves them so without words.
    waits(shared, caller);
    if acknowledged(shared, caller, !share).await {
        match patiently(shared, caller, work).await {
            Ok(message) => answer(shared, caller, &message).await,
            Err(denied) if share => refuse(shared, caller, denied).await,
            Err(denied) => answer(shared, caller, &in_words(shared, denied).await).await,
        }
    }
    waits_no_more(shared, caller);
}

/// Answers one person with what `work` comes to.
pub async fn privately<F>(shared: &Shared, caller: &Caller, work: F)
where
    F: Future<Output = Result<Message, Denied>>,
{
    tell(shared, caller, false, work).await;
}

/// Answers one person with a sentence.
pub async fn answer_privately(shared: &Shared, caller: &Caller, sentence: &str) {
    privately(shared, caller, async { Ok(of_sentence(sentence)) }).await;
}

/// Does what may take long, and says so where the answer will come if it does.
async fn patiently<T>(shared: &Shared, caller: &Caller, work: impl Future<Output = T>) -> T {
    let mut work = std::pin::pin!(work);
    if let Ok(done) = tokio::time::timeout(LONG, &mut work).await {
        return done;
    }
    // The work goes on meanwhile: it may hold what others wait for.
    let note = of_sentence(messages::TAKES_A_WHILE);
    tokio::join!(answer(shared, caller, &note), work).1
}

/// Puts an answer where the acknowledgement stands.
async fn answer(shared: &Shared, caller: &Caller, message: &Message) {
    let size = message.size();
    let too_large =
        (size > MOST_BYTES).then(|| of_sentence(&messages::too_large(size.div_ceil(1 << 20))));
    let message = too_large.as_ref().unwrap_or(message);
    let Err(failed) = shared.rest.edit_original(&caller.via, &message.parcel()).await else {
        return;
    };
    tracing::warn!(%failed, "an answer could not be given");
    // Whoever asked must not wait for ever for what does not arrive.
    if !failed.is_gone() {
        in_its_place(shared, caller, messages::FAULT).await;
    }
}

/// Says no to one person: the public acknowledgement goes, a private sentence comes.
pub async fn refuse(shared: &Shared, caller: &Caller, denied: Denied) {
    let message = in_words(shared, denied).await.private();
    // It may be gone already: somebody has deleted it, or an earlier try did.
    let _ = shared.rest.delete_original(&caller.via).await;
    let Err(failed) = shared.rest.follow_up(&caller.via, &message.parcel()).await else { return };
    tracing::warn!(%failed, "a refusal could not be said");
    // If the acknowledgement still stands there, somebody is looking at it.
    in_its_place(shared, caller, messages::FAULT).await;
}

/// Says no at once, in one call: whoever asks more than can be dealt with must not cost more by it.
pub async fn turn_away(shared: &Shared, caller: &Caller, denied: Denied) {
    let answer = Answer::Now(in_words(shared, denied).await.private());
    if let Err(failed) = shared.rest.acknowledge(&caller.via, &answer.parcel()).await {
        tracing::debug!(%failed, "somebody could not be turned away");
    }
}

/// Shows a form.
pub async fn show_form(shared: &Shared, caller: &Caller, form: Form) {
    let form = Answer::Form(form).parcel();
    if let Err(failed) = shared.rest.acknowledge(&caller.via, &form).await {
        tracing::warn!(%failed, "a form could not be shown");
    }
}

/// Offers choices while somebody types.
pub async fn offer(shared: &Shared, caller: &Caller, choices: Vec<Choice>) {
    let choices = Answer::Choices(choices);
    if let Err(failed) = shared.rest.acknowledge(&caller.via, &choices.parcel()).await {
        tracing::debug!(%failed, "choices could not be offered");
    }
}

/// Puts a sentence where an acknowledgement may stand; if none does, there is nobody to tell.
async fn in_its_place(shared: &Shared, caller: &Caller, sentence: &str) {
    let _ = shared.rest.edit_original(&caller.via, &of_sentence(sentence).parcel()).await;
}

/// Why something was not done, in words, and counted.
async fn in_words(shared: &Shared, denied: Denied) -> Message {
    match &denied {
        Denied::Refused(Refusal::Fault(_)) => shared.counts.count(Happened::Fault),
        _ => shared.counts.count(Happened::Refused),
    }
    match denied {
        Denied::Refused(Refusal::NotYours { needs, ask }) => {
            of_markdown(&not_yours(shared, needs, &ask).await, Vec::new())
        }
        Denied::Refused(refusal) => of_told(&refusal.told()),
        Denied::Said(told) => of_told(&told),
    }
}

/// Whose it is, and whom to ask.
async fn not_yours(shared: &Shared, needs: Needs, ask: &[Who]) -> String {
    let mut whom = Vec::new();
    for who in ask {
        // Who cannot be read is named as in the record.
        let named = mention(shared, *who).await;
        whom.push(named.unwrap_or_else(|_| escape(&who.to_string())));
    }
    let whom = whom.join(" or ");
    match needs {
        Needs::Captain(side) => messages::captains_only(&escape(&side), &whom),
        Needs::Manager => messages::managers_only(&whom),
        Needs::Officer => messages::officers_only(&whom),
        Needs::Caster(side) => messages::casters_only(&escape(&side)),
        Needs::Referee | Needs::Anyone => messages::referee_only(&whom),
    }
}
