//! `help`: what can be asked.

use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "help",
    in_chat: "help",
    group: Group::Alone,
    tier: Tier::First,
    aliases: &["?", "-h", "--help", "h"],
    about: "Show what you can ask, or how to ask one thing.",
    note: "",
    examples: &["help", "help melee"],
    slots: &[word(
        "request",
        "What you want to know about; without it everything",
        Kind::RequestName,
    )
    .optional()],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Help(values.maybe("request"))),
};
