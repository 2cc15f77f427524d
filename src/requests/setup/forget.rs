//! `forget`: a person goes out of the records.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "forget",
    in_chat: "forget",
    group: Group::Setup,
    tier: Tier::Later,
    aliases: &[],
    about: "Take your id out of the records. Battles go on; what you asked stays under a number.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Forget)),
};
