//! `proof`: a roll with its receipt.

use super::SHARE;
use crate::referee::Look;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "proof",
    in_chat: "proof",
    group: Group::Look,
    tier: Tier::Later,
    aliases: &[],
    about: "Show a roll again with its whole receipt, by which anyone can check it.",
    note: "",
    examples: &["proof 7"],
    slots: &[
        word("roll", "The roll's number; without it the latest", Kind::Roll).optional(),
        SHARE,
    ],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Look(Look::Proof { roll: values.maybe_number("roll")? })),
};
