//! Hints in the chat's own spelling.

use crate::battle::Told;
use crate::requests::spell_for_chat;

/// A sentence with what it tells to ask.
pub fn in_chat(told: &Told) -> String {
    match &told.hint {
        Some(hint) => format!("{}: {}", told.sentence, spell_for_chat(hint)),
        None => told.sentence.clone(),
    }
}
