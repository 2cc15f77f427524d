//! `defaults`: setting what battles of a server begin with.

use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, option};

pub static SPEC: Spec = Spec {
    name: "defaults",
    in_chat: "defaults",
    group: Group::Setup,
    tier: Tier::Second,
    aliases: &[],
    about: "Set what battles of this server begin with; what is left out becomes as usual.",
    note: "",
    examples: &[],
    slots: &[
        option("scale", "Men that one figure stands for; usually 20", Kind::Scale),
        option("rules", "The rules by name", Kind::RulesName),
    ],
    fronts: Fronts::Chat,
    build: |values| {
        let (scale, rules) = (values.maybe_scale("scale")?, values.maybe("rules"));
        Ok(Asked::Chat(ChatAsk::Defaults { scale, rules }))
    },
};
