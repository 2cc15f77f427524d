//! `server`: what battles of a server begin with.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "server",
    in_chat: "show",
    group: Group::Setup,
    tier: Tier::Second,
    aliases: &[],
    about: "Show what battles of this server begin with.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Server)),
};
