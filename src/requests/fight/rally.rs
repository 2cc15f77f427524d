//! `rally`: getting a unit back in order.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec {
    name: "rally",
    in_chat: "rally",
    group: Group::Fight,
    tier: Tier::First,
    aliases: &[],
    about: "Rally a shaken or routing unit, once a turn and out of contact.",
    note: "",
    examples: &["rally \"Grey Levies\""],
    slots: &[word("unit", "The unit", Kind::Unit(Whose::Rallying))],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Rally { unit: values.text("unit")? })),
};
