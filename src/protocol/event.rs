//! One event of a battle's record, and the exact text that is hashed.

use super::{Appointee, Condition, Office, Reach, Request, RequestId, Ruling, Scale, Unit, Who};
use crate::digest::Digest;
use crate::fair::{Protocol, Receipt, UnknownProtocol, Word};
use serde::{Deserialize, Serialize};

/// One event: its text, one line of JSON, is what the record keeps and hashes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// The battle's id.
    pub battle: String,
    /// Its number in the battle, from 1.
    pub seq: u64,
    /// When it was written, RFC 3339 in UTC.
    pub at: String,
    /// Who asked.
    pub by: Who,
    /// In which office they asked it.
    pub office: Office,
    /// The request's id.
    pub asked: RequestId,
    /// The SHA-256 of its predecessor's text; zeros for the first.
    pub prev: Digest,
    /// What was asked.
    pub request: Request,
    /// What was answered.
    pub body: Body,
    /// The roll that was thrown for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roll: Option<Roll>,
}

/// A roll, as the event that threw it holds it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roll {
    /// All that is needed to check it.
    pub receipt: Receipt,
    /// With a chain's last link: the anchor of the chain after the one that begins now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_anchor: Option<Digest>,
}

/// What an event did.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[allow(clippy::large_enum_variant, reason = "most events of a record are rulings")]
pub enum Body {
    /// The battle was opened.
    Opened {
        /// The protocol that the whole battle is held to.
        protocol: Protocol,
        /// Its name.
        name: String,
        /// The figure scale.
        scale: Scale,
        /// The sides named at once.
        sides: Vec<String>,
        /// The name of its rules.
        rules_name: String,
        /// The SHA-256 of its rules file.
        rules: Digest,
        /// The anchor of its first chain.
        anchor: Digest,
        /// The anchor of the chain after it, fixed now so that nobody chooses it at the last link.
        next_anchor: Digest,
        /// Links in each of its chains.
        chain_length: u32,
        /// Whether every roll against a side is cast by that side.
        casts: bool,
    },
    /// A side was named.
    SideAdded {
        /// Its name.
        name: String,
    },
    /// A unit was mustered.
    Mustered {
        /// The unit.
        unit: Unit,
        /// The figure scale.
        scale: Scale,
    },
    /// A unit was changed.
    Changed {
        /// The unit as it was.
        before: Unit,
        /// The unit as it is.
        after: Unit,
        /// The figure scale.
        scale: Scale,
    },
    /// Units were taken out of contact.
    Parted {
        /// The contacts that ended, each by its two units.
        pairs: Vec<[String; 2]>,
        /// Why.
        reason: String,
    },
    /// A unit was reinforced.
    Reinforced {
        /// The unit as it was.
        before: Unit,
        /// The unit as it is.
        after: Unit,
        /// The figure scale.
        scale: Scale,
        /// Why.
        reason: String,
    },
    /// A unit was taken off the list.
    Dismissed {
        /// Its name.
        unit: String,
        /// Its leader, who is free now.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        freed: Option<String>,
    },
    /// A leader joined a unit.
    Attached {
        /// His name.
        leader: String,
        /// The unit.
        unit: String,
        /// The unit that he left for it.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        from: Option<String>,
    },
    /// A leader left his unit and stands alone.
    Detached {
        /// His name.
        leader: String,
        /// The unit.
        unit: String,
    },
    /// A leader took his place.
    Placed {
        /// His name.
        leader: String,
        /// His unit.
        unit: String,
        /// Whether he holds back.
        back: bool,
    },
    /// The figure scale changed.
    Rescaled {
        /// The scale before.
        from: Scale,
        /// The scale now.
        to: Scale,
        /// Every unit's name, figures before and figures now.
        units: Vec<(String, u32, u32)>,
    },
    /// What was asked was announced, and waits for the other side's cast.
    Announced {
        /// The side that asked.
        asking: String,
        /// The side that casts.
        casting: String,
    },
    /// It was ruled what happened, nearly always by dice.
    Ruled {
        /// What they came to.
        ruling: Ruling,
    },
    /// The next turn began.
    Turned {
        /// Its number.
        turn: u32,
    },
    /// A condition was set.
    ConditionSet {
        /// The condition, as it stands now.
        condition: Condition,
    },
    /// A condition was lifted.
    ConditionLifted {
        /// Its name.
        name: String,
        /// On what it stood.
        on: Reach,
    },
    /// A word was given.
    WordGiven {
        /// The word.
        word: Word,
    },
    /// An event was taken back.
    Undone {
        /// Its number.
        seq: u64,
        /// The roll it threw, which stays spent.
        roll: Option<u32>,
        /// What had been asked.
        request: Box<Request>,
        /// Why.
        reason: String,
    },
    /// Somebody was given an office.
    Appointed {
        /// Who holds it.
        who: Appointee,
        /// The side they are captain of; none for a referee.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        side: Option<String>,
    },
    /// An office was taken away.
    Relieved {
        /// Who held it.
        who: Appointee,
        /// The side they were captain of; none for a referee.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        side: Option<String>,
    },
    /// The battle was closed.
    Closed,
    /// The battle was opened again.
    Reopened,
}

/// An event with its exact text and that text's SHA-256.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    /// The event.
    pub event: Event,
    /// Its text: one line of JSON.
    pub text: String,
    /// The SHA-256 of the text.
    pub hash: Digest,
}

/// The text is not an event that this release reads.
#[derive(Debug, thiserror::Error)]
pub enum EventError {
    /// It opens a battle of a protocol that this release does not know.
    #[error(transparent)]
    Protocol(#[from] UnknownProtocol),
    /// It cannot be read.
    #[error("this is not an event: {0}")]
    Unreadable(#[from] serde_json::Error),
}

impl Recorded {
    /// Writes an event's text.
    pub fn write(event: Event) -> Self {
        let text = serde_json::to_string(&event).expect("an event has only text keys");
        let hash = Digest::of(text.as_bytes());
        Self { event, text, hash }
    }

    /// Reads an event's text.
    ///
    /// # Errors
    /// If it is not an event, or opens a battle of a protocol that this release does not know.
    pub fn read(text: String) -> Result<Self, EventError> {
        let event: Event = match serde_json::from_str(&text) {
            Ok(event) => event,
            Err(error) => return Err(unread(&text, error)),
        };
        let hash = Digest::of(text.as_bytes());
        Ok(Self { event, text, hash })
    }

    /// Whether the text is exactly what this release would write for the event.
    pub fn is_exact(&self) -> bool {
        serde_json::to_string(&self.event).is_ok_and(|text| text == self.text)
    }
}

impl Event {
    /// The receipt of the roll it threw.
    pub const fn receipt(&self) -> Option<&Receipt> {
        match &self.roll {
            Some(roll) => Some(&roll.receipt),
            None => None,
        }
    }
}

/// Why a text is no event: a later protocol's opening may hold what this release cannot read.
fn unread(text: &str, error: serde_json::Error) -> EventError {
    let value: serde_json::Value = serde_json::from_str(text).unwrap_or_default();
    let number = value["body"]["opened"]["protocol"].as_u64();
    match number.and_then(|number| u32::try_from(number).ok()).map(Protocol::try_from) {
        Some(Err(unknown)) => unknown.into(),
        _ => error.into(),
    }
}
