//! `board`: a post that is kept up to date.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "board",
    in_chat: "board",
    group: Group::Look,
    tier: Tier::Second,
    aliases: &[],
    about: "Put up a post that shows the battle as it stands and is kept up to date, to be pinned.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Chat,
    build: |_| Ok(Asked::Chat(ChatAsk::Board)),
};
