//! `close`: the end of a battle.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "close",
    in_chat: "close",
    group: Group::Battle,
    tier: Tier::First,
    aliases: &[],
    about: "Close the battle. It can be opened again.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Both,
    build: |_| Ok(Asked::Request(Request::Close)),
};
