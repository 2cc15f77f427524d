//! `log`: the record.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Fronts, Group, Spec, Tier, flag};

pub static SPEC: Spec = Spec {
    name: "log",
    in_chat: "log",
    group: Group::Look,
    tier: Tier::Second,
    aliases: &[],
    about: "List what the record of the battle holds, oldest first.",
    note: "",
    examples: &["log", "log --all"],
    slots: &[flag("all", "The whole record, not only the latest 20 events"), SHARE],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Look(Look::Log { all: values.flag("all") })),
};
