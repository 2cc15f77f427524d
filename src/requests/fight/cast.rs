//! `cast`: the other side throws a melee that was announced.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Spec, Tier};

pub static SPEC: Spec = Spec {
    name: "cast",
    in_chat: "cast",
    group: Group::Fight,
    tier: Tier::Later,
    aliases: &[],
    about: "Cast the dice of a melee that the other side announced.",
    note: "",
    examples: &[],
    slots: &[],
    fronts: Fronts::Both,
    build: |_| Ok(Asked::Request(Request::Cast)),
};
