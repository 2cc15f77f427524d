//! `quit`: leaving the table.

use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "quit",
    in_chat: "quit",
    group: Group::Alone,
    tier: Tier::First,
    aliases: &["exit"],
    about: "Leave the table. The battle stays in the record.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Table,
    build: |_| Ok(Asked::Quit),
};
