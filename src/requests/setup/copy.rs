//! `copy`: every battle of a server as files.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "copy",
    in_chat: "copy",
    group: Group::Setup,
    tier: Tier::Later,
    aliases: &[],
    about: "Get a copy of every battle of this server as files.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Copy)),
};
