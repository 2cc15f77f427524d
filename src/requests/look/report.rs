//! `report`: a battle told.

use super::SHARE;
use crate::requests::{Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "report",
    in_chat: "report",
    group: Group::Look,
    tier: Tier::Second,
    aliases: &[],
    about: "Get the battle's report: what happened, losses, luck, pictures, receipts.",
    note: "",
    examples: &[],
    slots: &[
        word("battle", "The battle; without it the open one, or the latest", Kind::BattleName)
            .optional(),
        SHARE,
    ],
    fronts: Fronts::Chat,
    build: |values| Ok(Asked::Chat(ChatAsk::Report { battle: values.maybe("battle") })),
};
