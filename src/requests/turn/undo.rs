//! `undo`: taking back.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "undo",
    in_chat: "undo",
    group: Group::Turn,
    tier: Tier::First,
    aliases: &[],
    about: "Take back the latest change. A roll that was thrown stays in the record.",
    note: "",
    examples: &["undo \"wrong unit named\""],
    slots: &[word("reason", "Why; the record keeps it", Kind::Text { most: 300 }).rest()],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Undo { reason: values.text("reason")? })),
};
