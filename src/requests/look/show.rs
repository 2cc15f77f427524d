//! `show`: the battle as it stands.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec {
    name: "show",
    in_chat: "show",
    group: Group::Look,
    tier: Tier::First,
    aliases: &["status", "units", "list"],
    about: "Show the battle, or one unit.",
    note: "",
    examples: &["show", "show \"Ford Wardens\""],
    slots: &[
        word("unit", "One unit; without it the whole battle", Kind::Unit(Whose::Any)).optional(),
        SHARE,
    ],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Look(Look::Show { unit: values.maybe("unit") })),
};
