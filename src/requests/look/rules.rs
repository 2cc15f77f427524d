//! `rules`: what the rules say.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "rules",
    in_chat: "rules",
    group: Group::Look,
    tier: Tier::Second,
    aliases: &[],
    about: "Show the rules: troop classes, rungs, grades, weapons.",
    note: "",
    examples: &[],
    slots: &[SHARE],
    fronts: Fronts::Both,
    build: |_| Ok(Asked::Look(Look::Rules)),
};
