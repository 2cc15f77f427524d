//! `appoint`: giving an office.

use crate::requests::{
    Asked, ChatAsk, Fronts, Group, Kind, Spec, Tier, Values, Whom, Wrong, option, word,
};

pub static SPEC: Spec = Spec {
    name: "appoint",
    in_chat: "appoint",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Name a captain for a side, or another referee for the whole battle.",
    note: "",
    examples: &[],
    slots: &[
        word("side", "The side they are captain of; without it they are a referee", Kind::Side)
            .optional(),
        option("person", "The person", Kind::Person).without("role"),
        option("role", "Or everyone with this role", Kind::Role).without("person"),
    ],
    fronts: Fronts::Chat,
    build: |values| {
        Ok(Asked::Chat(ChatAsk::Appoint { side: values.maybe("side"), who: whom(values)? }))
    },
};

/// The person or the role that holds an office.
pub(super) fn whom(values: &Values) -> Result<Whom, Wrong> {
    let (person, role) = (values.identity("person")?, values.identity("role")?);
    let whom = person.map(Whom::Person).or(role.map(Whom::Role));
    whom.ok_or_else(|| Wrong::new("Name a person or a role."))
}
