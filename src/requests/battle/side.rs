//! `side`: naming a further side.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "side",
    in_chat: "side",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Name a third or further side; the first two come with their units.",
    note: "",
    examples: &["side \"Free Riders\""],
    slots: &[word("name", "Its name", Kind::NewName)],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Side { name: values.text("name")? })),
};
