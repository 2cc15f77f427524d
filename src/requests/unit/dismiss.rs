//! `dismiss`: a unit is taken off the list.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec {
    name: "dismiss",
    in_chat: "dismiss",
    group: Group::Unit,
    tier: Tier::Second,
    aliases: &[],
    about: "Take a unit off the list.",
    note: "",
    examples: &["dismiss \"Ford Wardens\""],
    slots: &[word("unit", "The unit", Kind::Unit(Whose::Any))],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Dismiss { unit: values.text("unit")? })),
};
