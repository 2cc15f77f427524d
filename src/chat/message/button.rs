//! The buttons under a post: which they are, how they look, and the ids that tell them apart.
//!
//! A button's id names the battle and the event it belongs to.

use super::component::{Component, Style};
use super::form::Form;
use super::messages;
use crate::protocol::{Body, Recorded, Ruling};
use std::str::FromStr;

/// The id of the one field of a button's form.
pub const TYPED: &str = "typed";
/// The characters of a reason, from the least to the most.
const REASON: (u16, u16) = (1, 200);
/// The characters of a caster's own text.
const CAST_TEXT: (u16, u16) = (8, 80);

/// What a button does, for the event with that number of the battle with that id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Button {
    pub does: Does,
    pub battle: String,
    pub seq: u64,
}

/// What a button does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Does {
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

    /// What goes on stands out, the rest is quiet.
    const fn style(self) -> Style {
        match self {
            Self::Again | Self::Cast => Style::Primary,
            Self::Proof | Self::Undo => Style::Secondary,
        }
    }
}

impl Button {
    /// The row of buttons under an event's post; none if it has none.
    pub fn row(recorded: &Recorded) -> Option<Component> {
        let event = &recorded.event;
        let does: &[Does] = match &event.body {
            // Quick rulings change nothing, so there is nothing to go on from or to take back.
            Body::Ruled { .. } if event.request.is_quick() => &[Does::Proof],
            Body::Announced { .. } => &[Does::Cast, Does::Undo],
            Body::Ruled { ruling: Ruling::Melee(melees), .. }
                if melees
                    .iter()
                    .flat_map(|melee| &melee.contacts)
                    .any(|contact| contact.stands) =>
            {
                &[Does::Again, Does::Proof, Does::Undo]
            }
            // Harm may throw nothing, and then there is nothing to prove.
            Body::Ruled { .. } if event.roll.is_none() => &[Does::Undo],
            Body::Ruled { .. } => &[Does::Proof, Does::Undo],
            _ => return None,
        };
        let button = |does: &Does| {
            let button = Self { does: *does, battle: event.battle.clone(), seq: event.seq };
            Component::button(does.style(), does.label(), button.to_string())
        };
        Some(Component::row(does.iter().map(button).collect()))
    }

    /// The form that asks whether to undo, and why.
    pub fn undo_form(&self) -> Form {
        let reason = Component::text_input(TYPED, messages::UNDO_REASON, REASON);
        Form::new(self.to_string(), messages::UNDO_TITLE, reason)
    }

    /// The form that asks for the caster's own text.
    pub fn cast_form(&self) -> Form {
        let text = Component::text_input(TYPED, messages::CAST_TEXT, CAST_TEXT);
        Form::new(self.to_string(), messages::CAST_TITLE, text)
    }
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
