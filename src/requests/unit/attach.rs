//! `attach`: a free leader joins a unit.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, Whose, word};

pub static SPEC: Spec = Spec {
    name: "attach",
    in_chat: "attach",
    group: Group::Unit,
    tier: Tier::Second,
    aliases: &[],
    about: "Attach a free leader, whose unit was destroyed, to another unit of the same side.",
    note: "",
    examples: &["attach Ida \"Vale Riders\""],
    slots: &[
        word("leader", "The leader", Kind::FreeLeader),
        word("unit", "The unit", Kind::Unit(Whose::Any)),
    ],
    fronts: Fronts::Both,
    build: |values| {
        let (leader, unit) = (values.text("leader")?, values.text("unit")?);
        Ok(Asked::Request(Request::Attach { leader, unit }))
    },
};
