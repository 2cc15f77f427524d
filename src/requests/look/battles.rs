//! `battles`: the battles of a place.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "battles",
    in_chat: "battles",
    group: Group::Look,
    tier: Tier::Second,
    aliases: &[],
    about: "List the battles of this place.",
    note: "",
    examples: &[],
    slots: &[SHARE],
    fronts: Fronts::Both,
    build: |_| Ok(Asked::Look(Look::Battles)),
};
