//! `melee`: a round of hand-to-hand fighting.

use crate::protocol::{MeleeAsk, Request};
use crate::requests::{Asked, Fronts, Group, Spec, Tier, contact, flag};

pub static SPEC: Spec = Spec {
    name: "melee",
    in_chat: "melee",
    group: Group::Fight,
    tier: Tier::First,
    aliases: &["attack", "fight", "hit", "charge", "strike"],
    about: "Fight one round of a melee. The unit that strikes comes first.",
    note: "More contacts follow after \"and\", each with options of its own.",
    examples: &[
        "melee \"Ford Wardens\" \"Banner Spears\"",
        "melee \"Vale Riders\" \"Grey Levies\" --charge --flank and \"Ford Wardens\" \"Grey Levies\" --higher ours",
    ],
    slots: &[
        contact::STRIKER,
        contact::STRUCK,
        contact::CHARGE,
        contact::COUNTERCHARGE,
        contact::FACING,
        contact::HIGHER,
        contact::OBSTACLE,
        flag("cast", "Only announce it: the other side throws the dice with its cast"),
        contact::MORE,
    ],
    fronts: Fronts::Both,
    build: |values| {
        let (contacts, cast) = (contact::all(values)?, values.flag("cast"));
        Ok(Asked::Request(Request::Melee(MeleeAsk { contacts, cast })))
    },
};
