//! `cast`: the other side casts a roll that was announced.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "cast",
    in_chat: "cast",
    group: Group::Fight,
    tier: Tier::Later,
    aliases: &[],
    about: "Cast a roll that the other side announced, with a text of your own.",
    note: "",
    examples: &["cast \"red reeds, cold hands\""],
    slots: &[word("text", "8 to 80 characters of your own", Kind::Text { most: 200 })],
    fronts: Fronts::Both,
    build: |values| Ok(Asked::Request(Request::Cast { text: values.text("text")? })),
};
