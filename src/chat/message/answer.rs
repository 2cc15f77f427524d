//! How an interaction is answered at once:
//! <https://discord.com/developers/docs/interactions/receiving-and-responding#interaction-response-object>.

use super::body::{EPHEMERAL, Message};
use super::command::Choice;
use super::form::Form;
use crate::chat::platform::Parcel;
use serde::Serialize;

/// The numbers by which the platform tells answers apart.
const MESSAGE: u8 = 4;
const DEFERRED_MESSAGE: u8 = 5;
const AUTOCOMPLETE_RESULT: u8 = 8;
const MODAL: u8 = 9;

/// The first answer to an interaction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// A message that stays. It has no files.
    Now(Message),
    /// An acknowledgement: an answer will follow, for all or for one.
    Later {
        /// Whether one person alone will see it.
        private: bool,
    },
    /// What fits what is being typed.
    Choices(Vec<Choice>),
    /// A form to fill in.
    Form(Form),
}

#[derive(Serialize)]
struct Callback<T> {
    #[serde(rename = "type")]
    kind: u8,
    data: T,
}

#[derive(Serialize)]
struct Deferred {
    flags: u64,
}

#[derive(Serialize)]
struct Choices<'a> {
    choices: &'a [Choice],
}

impl Answer {
    /// What is sent.
    pub fn parcel(&self) -> Parcel {
        match self {
            Self::Now(message) => Parcel::of(&Callback { kind: MESSAGE, data: message }),
            Self::Later { private } => {
                let data = Deferred { flags: if *private { EPHEMERAL } else { 0 } };
                Parcel::of(&Callback { kind: DEFERRED_MESSAGE, data })
            }
            Self::Choices(choices) => {
                Parcel::of(&Callback { kind: AUTOCOMPLETE_RESULT, data: Choices { choices } })
            }
            Self::Form(form) => Parcel::of(&Callback { kind: MODAL, data: form }),
        }
    }
}
