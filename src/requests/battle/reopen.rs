//! `reopen`: going on with a closed battle.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "reopen",
    in_chat: "reopen",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Go on with a closed battle.",
    note: "",
    examples: &["reopen \"Harrow Ford\""],
    slots: &[word("battle", "The battle", Kind::BattleName)],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Reopen { battle: values.text("battle")? })),
};
