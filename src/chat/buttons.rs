//! The buttons under a post, and what pressing one asks.
//!
//! A button's id names the battle and the event it belongs to. It is good once: when it is pressed
//! again, or by somebody else at the same time, the record already holds what came of it. Once that
//! was taken back, the button is good again. What it
//! asks goes under the interaction's own id, as with a command, because that id stands in the
//! roll's statement and nobody here has chosen it.

use super::caller::Caller;
use super::desk::{self, Desk};
use super::{layout, messages};
use crate::battle::Battle;
use crate::protocol::{Body, ContactRuling, Recorded, Request, Ruling};
use crate::words::Shown;
use serde_json::{Value, json};
use std::str::FromStr;

/// What a button does, for the event with that number of the battle with that id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Button {
    pub does: Does,
    pub battle: String,
    pub seq: u64,
}

/// What a button does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Does {
    Again,
    Cast,
    Proof,
    Undo,
}

impl Does {
    const ALL: [Self; 4] = [Self::Again, Self::Cast, Self::Proof, Self::Undo];

    const fn name(self) -> &'static str {
        match self {
            Self::Again => "again",
            Self::Cast => "cast",
            Self::Proof => "proof",
            Self::Undo => "undo",
        }
    }

    const fn label(self) -> &'static str {
        match self {
            Self::Again => messages::FIGHT_ON,
            Self::Cast => messages::CAST,
            Self::Proof => messages::PROVE,
            Self::Undo => messages::UNDO,
        }
    }

    /// The platform's style: what goes on stands out, the rest is quiet.
    const fn style(self) -> u8 {
        match self {
            Self::Again | Self::Cast => 1,
            Self::Proof | Self::Undo => 2,
        }
    }
}

impl Button {
    /// The row of buttons under an event's post; empty if it has none.
    pub fn row(recorded: &Recorded) -> Value {
        let event = &recorded.event;
        let does: &[Does] = match &event.body {
            // Quick rulings change nothing, so there is nothing to go on from or to take back.
            Body::Ruled { .. } if event.request.is_quick() => &[Does::Proof],
            Body::Announced { .. } => &[Does::Cast, Does::Undo],
            Body::Ruled { ruling: Ruling::Melee(melee), .. }
                if melee.contacts.iter().any(|contact| contact.stands) =>
            {
                &[Does::Again, Does::Proof, Does::Undo]
            }
            Body::Ruled { .. } => &[Does::Proof, Does::Undo],
            _ => return json!([]),
        };
        let button = |does: &Does| {
            let button = Self { does: *does, battle: event.battle.clone(), seq: event.seq };
            json!({
                "type": 2,
                "style": does.style(),
                "label": does.label(),
                "custom_id": button.to_string(),
            })
        };
        let buttons: Vec<Value> = does.iter().map(button).collect();
        json!([{ "type": 1, "components": buttons }])
    }

    /// The form that asks whether to undo, and why.
    pub fn undo_form(&self) -> Value {
        let reason = json!({
            "type": 4,
            "custom_id": "reason",
            "label": messages::UNDO_REASON,
            "style": 1,
            "min_length": 1,
            "max_length": 200,
            "required": true,
        });
        json!({
            "type": 9,
            "data": {
                "custom_id": self.to_string(),
                "title": messages::UNDO_TITLE,
                "components": [{ "type": 1, "components": [reason] }],
            },
        })
    }

    /// What it asks in the battle as it stands; a sentence if it has no meaning there any more.
    pub fn request(
        &self,
        battle: &Battle,
        event: &Recorded,
        later: &[Recorded],
        reason: Option<&str>,
    ) -> Result<Request, &'static str> {
        let stands = |done: &Recorded| {
            let seq = done.event.seq;
            !later.iter().any(|later| matches!(later.event.body, Body::Undone { seq: undone, .. } if undone == seq))
        };
        if later.iter().any(|later| self.came_of(event, later) && stands(later)) {
            return Err(messages::DONE_BEFORE);
        }
        match (self.does, &event.event.body) {
            (Does::Again, Body::Ruled { ruling: Ruling::Melee(melee), .. }) => {
                let held = melee.contacts.iter().find(|contact| contact.stands);
                let striker = &held.ok_or(messages::MOVED_ON)?.contact.striker;
                let engagement = battle.field.engagement_of(striker).ok_or(messages::MOVED_ON)?;
                if engagement.rounds != melee.round {
                    return Err(messages::MOVED_ON);
                }
                Ok(Request::Again { unit: Some(striker.clone()) })
            }
            (Does::Cast, Body::Announced { .. }) if latest(battle, self.seq) => {
                Ok(Request::Cast { text: reason.unwrap_or_default().to_owned() })
            }
            (Does::Undo, _) if latest(battle, self.seq) => {
                Ok(Request::Undo { reason: reason.unwrap_or_default().to_owned() })
            }
            (Does::Undo, _) => Err(messages::NOT_THE_LATEST),
            (Does::Again | Does::Cast | Does::Proof, _) => Err(messages::MOVED_ON),
        }
    }
}

impl Button {
    /// Whether a later event is what comes of pressing it.
    fn came_of(&self, event: &Recorded, later: &Recorded) -> bool {
        match (self.does, &event.event.body, &later.event.body) {
            (
                Does::Again,
                Body::Ruled { ruling: Ruling::Melee(melee), .. },
                Body::Ruled { ruling: Ruling::Melee(next), .. },
            ) => {
                let held = melee.contacts.iter().find(|contact| contact.stands);
                let goes_on = |contact: &ContactRuling| {
                    held.is_some_and(|held| contact.contact.striker == held.contact.striker)
                };
                next.round == melee.round + 1 && next.contacts.iter().any(goes_on)
            }
            (Does::Cast, _, Body::Ruled { .. }) => {
                matches!(later.event.request, Request::Cast { .. })
            }
            (Does::Undo, _, Body::Undone { seq, .. }) => *seq == self.seq,
            _ => false,
        }
    }
}

/// Whether the event with that number is what an undo would take back.
fn latest(battle: &Battle, seq: u64) -> bool {
    battle.undoable().is_some_and(|latest| latest.seq == seq)
}

impl std::fmt::Display for Button {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}", self.does.name(), self.battle, self.seq)
    }
}

impl FromStr for Button {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        let mut parts = text.split(':');
        let name = parts.next().ok_or(())?;
        let does = Does::ALL.into_iter().find(|does| does.name() == name).ok_or(())?;
        let battle = parts.next().ok_or(())?.to_owned();
        let seq = parts.next().ok_or(())?.parse().map_err(drop)?;
        if parts.next().is_some() { Err(()) } else { Ok(Self { does, battle, seq }) }
    }
}

/// Somebody pressed a button.
pub(super) async fn pressed(desk: &Desk, caller: Caller, id: &str) {
    let Ok(button) = id.parse::<Button>() else {
        return desk.answer_privately(&caller, messages::UNREADABLE).await;
    };
    match button.does {
        Does::Again | Does::Cast => desk.press(caller, button, None).await,
        Does::Undo => desk.show_form(&caller, &button.undo_form()).await,
        Does::Proof => prove(desk, caller, &button).await,
    }
}

/// Somebody sent the form of an undo.
pub(super) async fn sent(desk: &Desk, caller: Caller, id: &str, reason: &str) {
    match id.parse::<Button>() {
        Ok(button) if button.does == Does::Undo => desk.press(caller, button, Some(reason)).await,
        _ => desk.answer_privately(&caller, messages::UNREADABLE).await,
    }
}

/// Shows a roll's proof, if it was thrown in this channel.
async fn prove(desk: &Desk, caller: Caller, button: &Button) {
    desk.privately(&caller, async {
        let place = desk.referee.record().place_of(&button.battle).await?;
        // The quick rulings of a channel have a place of their own beside its battles'.
        let here = place.is_some_and(|place| place.beside() == caller.place());
        let event = if here { desk.event(&button.battle, button.seq).await? } else { None };
        let Some(event) = event.filter(|event| event.event.receipt().is_some()) else {
            return Ok(layout::of_sentence(messages::OTHER_BATTLE));
        };
        desk::laid_out(&Shown::Proof(Box::new(event))).await
    })
    .await;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_button_s_id_is_read_back_and_fits_the_platform() {
        for does in Does::ALL {
            let button = Button { does, battle: "0123456789abcdef".to_owned(), seq: u64::MAX };
            let id = button.to_string();
            assert!(id.len() <= 100, "the platform takes ids of up to 100 characters: {id}");
            assert_eq!(id.parse::<Button>(), Ok(button));
        }
        for wrong in ["", "again", "again:b", "again:b:x", "again:b:1:2", "fight:b:1"] {
            assert_eq!(wrong.parse::<Button>(), Err(()), "{wrong}");
        }
    }
}
