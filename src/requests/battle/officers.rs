//! `officers`: who may do what.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "officers",
    in_chat: "officers",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Show who referees here and who leads which side.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Officers)),
};
