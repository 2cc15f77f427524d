//! What pressing a button comes to.
//!
//! A button is good once: when it is pressed again, or by somebody else at the same time, the
//! record already holds what came of it. Once that was taken back, the button is good again. What
//! it asks goes under the interaction's own id, as with a command, because that id stands in the
//! roll's statement and nobody here has chosen it.

use super::asking::{self, Here, Wanted};
use super::interaction::{Caller, Denied, Shared, answer_privately, privately, show_form};
use super::looking;
use super::message::{Button, Does, TYPED, messages, of_sentence};
use crate::battle::{Battle, Told};
use crate::protocol::{Body, ContactRuling, MeleeRuling, Recorded, Request, Ruling};
use crate::words::Shown;

/// A button is good until so many events have come after its post.
const SINCE: u32 = 500;

/// Somebody pressed the button with that id.
pub(super) async fn pressed(shared: &Shared, caller: &Caller, id: &str) {
    let Ok(button) = id.parse::<Button>() else {
        return answer_privately(shared, caller, messages::UNREADABLE).await;
    };
    match button.does {
        Does::Again => asking::ask(shared, caller, Press { button, typed: String::new() }).await,
        Does::Cast => show_form(shared, caller, button.cast_form()).await,
        Does::Undo => show_form(shared, caller, button.undo_form()).await,
        Does::Proof => prove(shared, caller, &button).await,
    }
}

/// Somebody sent the form that a button had shown.
pub(super) async fn sent(shared: &Shared, caller: &Caller, id: &str, fields: &[(String, String)]) {
    let typed = fields.iter().find(|(id, _)| id == TYPED).map(|(_, typed)| typed.clone());
    match (id.parse::<Button>(), typed) {
        (Ok(button), Some(typed)) if matches!(button.does, Does::Cast | Does::Undo) => {
            asking::ask(shared, caller, Press { button, typed }).await;
        }
        _ => answer_privately(shared, caller, messages::UNREADABLE).await,
    }
}

/// Shows a roll's proof, if it was thrown in this channel.
async fn prove(shared: &Shared, caller: &Caller, button: &Button) {
    privately(shared, caller, async {
        let place = shared.referee.place_of(&button.battle).await?;
        // The quick rulings of a channel have a place of their own beside its battles'.
        let here = place.is_some_and(|place| place.beside() == caller.place());
        let event =
            if here { shared.referee.event(&button.battle, button.seq).await? } else { None };
        match event.filter(|event| event.event.receipt().is_some()) {
            Some(event) => Ok(looking::laid_out(&Shown::Proof(Box::new(event))).await?),
            None => Ok(of_sentence(messages::OTHER_BATTLE)),
        }
    })
    .await;
}

/// A button that was pressed, with what was typed into its form.
struct Press {
    button: Button,
    typed: String,
}

impl Wanted for Press {
    fn is_of_a_post(&self) -> bool {
        true
    }

    async fn request(self, here: Here<'_>, battle: Option<&Battle>) -> Result<Request, Denied> {
        let said = |sentence: &str| Denied::Said(Told::plain(sentence));
        let battle = battle.filter(|battle| battle.id == self.button.battle);
        let battle = battle.ok_or_else(|| said(messages::OTHER_BATTLE))?;
        let before = self.button.seq.saturating_sub(1);
        let events = here.shared.referee.events_after(&battle.id, before, SINCE + 1).await?;
        let Some((event, later)) = events.split_first() else {
            return Err(said(messages::OTHER_BATTLE));
        };
        if later.len() == SINCE as usize {
            return Err(said(messages::MOVED_ON));
        }
        meant(&self.button, battle, event, later, &self.typed).map_err(said)
    }
}

/// What a button asks in the battle as it stands; a sentence if it has no meaning there any more.
fn meant(
    button: &Button,
    battle: &Battle,
    event: &Recorded,
    later: &[Recorded],
    typed: &str,
) -> Result<Request, &'static str> {
    let stands = |done: &Recorded| {
        let seq = done.event.seq;
        !later.iter().any(
            |later| matches!(later.event.body, Body::Undone { seq: undone, .. } if undone == seq),
        )
    };
    if later.iter().any(|later| came_of(button, event, later) && stands(later)) {
        return Err(messages::DONE_BEFORE);
    }
    match (button.does, &event.event.body) {
        (Does::Again, Body::Ruled { ruling: Ruling::Melee(melees), .. }) => {
            let (melee, held) = goes_on(melees).ok_or(messages::MOVED_ON)?;
            // The unit of the side that asked for the round asks for the next one.
            let unit = &held.strikes[0].by;
            let engagement = battle.field.engagement_of(unit).ok_or(messages::MOVED_ON)?;
            if engagement.rounds != melee.round {
                return Err(messages::MOVED_ON);
            }
            Ok(Request::Again { unit: Some(unit.clone()) })
        }
        (Does::Cast, Body::Announced { .. }) if latest(battle, button.seq) => {
            Ok(Request::Cast { text: typed.to_owned() })
        }
        (Does::Undo, _) if latest(battle, button.seq) => {
            Ok(Request::Undo { reason: typed.to_owned() })
        }
        (Does::Undo, _) => Err(messages::NOT_THE_LATEST),
        (Does::Again | Does::Cast | Does::Proof, _) => Err(messages::MOVED_ON),
    }
}

/// The first contact of a ruling that is fought on, and its melee.
fn goes_on(melees: &[MeleeRuling]) -> Option<(&MeleeRuling, &ContactRuling)> {
    melees.iter().find_map(|melee| {
        let held = melee.contacts.iter().find(|contact| contact.stands)?;
        Some((melee, held))
    })
}

/// Whether a later event is what comes of pressing a button.
fn came_of(button: &Button, event: &Recorded, later: &Recorded) -> bool {
    match (button.does, &event.event.body, &later.event.body) {
        (
            Does::Again,
            Body::Ruled { ruling: Ruling::Melee(melees), .. },
            Body::Ruled { ruling: Ruling::Melee(next), .. },
        ) => {
            let Some((_, held)) = goes_on(melees) else { return false };
            let is_next = |contact: &ContactRuling| {
                contact.contact == held.contact && contact.round == held.round + 1
            };
            next.iter().flat_map(|melee| &melee.contacts).any(is_next)
        }
        (Does::Cast, _, Body::Ruled { .. }) => matches!(later.event.request, Request::Cast { .. }),
        (Does::Undo, _, Body::Undone { seq, .. }) => *seq == button.seq,
        _ => false,
    }
}

/// Whether the event with that number is what an undo would take back.
fn latest(battle: &Battle, seq: u64) -> bool {
    battle.undoable().is_some_and(|latest| latest.seq == seq)
}
