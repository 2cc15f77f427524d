//! A hint in each front's spelling.

use super::{Group, Spec, find};
use crate::battle::Hint;
use std::fmt::Write as _;

/// A hint as a line of the local table.
pub fn spell_for_table(hint: &Hint) -> String {
    hint.to_string()
}

/// A hint as a command of a chat: `/unit change unit: UNIT apart: True`.
pub fn spell_for_chat(hint: &Hint) -> String {
    if let Some(own) = hint.in_chat.and_then(find) {
        return command(own);
    }
    let Some(spec) = find(hint.request) else { return hint.to_string() };
    let mut spelled = command(spec);
    for given in &hint.given {
        let names = spec.slot(given.slot).map_or(&[][..], |slot| slot.chat_names);
        let name = names.first().copied().unwrap_or(given.slot);
        let value = given.value.as_deref().unwrap_or("True");
        write!(spelled, " {name}: {value}").expect("a String takes all");
    }
    spelled
}

/// A request's command in a chat, with a slash: `/fight melee`.
pub fn command(spec: &Spec) -> String {
    match spec.group {
        Group::Alone => format!("/{}", spec.in_chat),
        group => format!("/{} {}", group.command().unwrap_or_default(), spec.in_chat),
    }
}
