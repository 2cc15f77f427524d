//! `rescale`: another figure scale for the running battle.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "rescale",
    in_chat: "rescale",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Change the figure scale of the running battle.",
    note: "",
    examples: &["rescale 10"],
    slots: &[word("scale", "Men that one figure stands for: 10 or 1:10", Kind::Scale)],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Rescale { scale: values.scale("scale")? })),
};
