//! `erase`: a server's battles go for good.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, option};

pub static SPEC: Spec = Spec {
    name: "erase",
    in_chat: "erase",
    group: Group::Setup,
    tier: Tier::Later,
    aliases: &[],
    about: "Erase every battle of this server for good.",
    note: "",
    examples: &[],
    slots: &[option("sure", "True, to erase every battle of this server for good", Kind::YesNo)
        .required()],
    fronts: Fronts::Chat,
    build: |values| Ok(Asked::Chat(ChatAsk::Erase { sure: values.flag("sure") })),
};
