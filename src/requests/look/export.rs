//! `export`: a battle as a file.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "export",
    in_chat: "export",
    group: Group::Look,
    tier: Tier::Later,
    aliases: &[],
    about: "Get the whole battle as a file, to check it or to import it elsewhere.",
    note: "",
    examples: &[],
    slots: &[word(
        "battle",
        "The battle; without it the open one, or the latest",
        Kind::BattleName,
    )
    .optional()],
    fronts: Fronts::Chat,
    build: |values| Ok(Asked::Chat(ChatAsk::Export { battle: values.maybe("battle") })),
};
