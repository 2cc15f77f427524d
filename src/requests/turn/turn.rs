//! `turn`: the next turn begins.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "turn",
    in_chat: "next",
    group: Group::Turn,
    tier: Tier::First,
    aliases: &["next turn", "end turn", "new turn"],
    about: "Begin the next turn.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Both,
    build: |_| Ok(Asked::Request(Request::Turn)),
};
