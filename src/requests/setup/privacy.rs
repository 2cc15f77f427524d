//! `privacy`: what is kept of a person.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "privacy",
    in_chat: "privacy",
    group: Group::Setup,
    tier: Tier::Later,
    aliases: &[],
    about: "Show what is kept of you.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Privacy)),
};
