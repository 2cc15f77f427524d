//! `relieve`: taking an office away.

use super::appoint::whom;
use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, option, word};

pub static SPEC: Spec = Spec {
    name: "relieve",
    in_chat: "relieve",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Take an office away again.",
    note: "",
    examples: &[],
    slots: &[
        word("side", "The side they were captain of; without it they were a referee", Kind::Side)
            .optional(),
        option("person", "The person", Kind::Person).without("role"),
        option("role", "Or everyone with this role", Kind::Role).without("person"),
    ],
    fronts: Fronts::Chat,
    build: |values| {
        Ok(Asked::Chat(ChatAsk::Relieve { side: values.maybe("side"), who: whom(values)? }))
    },
};
