//! `appoint`: giving an office.

use crate::protocol::{Appointee, Request};
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, Values, Wrong, option, word};

pub static SPEC: Spec = Spec {
    name: "appoint",
    in_chat: "appoint",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Name a captain for a side, or another referee for the whole battle.",
    note: "",
    examples: &["appoint person-7 --side Vale"],
    slots: &[
        word("who", "Who it is, as the record names them: person-N or role-ID", Kind::Appointee)
            .filled_in_chat()
            .only(Fronts::Table),
        option("person", "The person", Kind::Person).only(Fronts::Chat).without("role"),
        option("role", "Or everyone with this role", Kind::Role)
            .only(Fronts::Chat)
            .without("person"),
        option("side", "The side they are captain of; without it they are a referee", Kind::Side),
    ],
    fronts: Fronts::Both,
    build: |values| {
        Ok(Asked::Request(Request::Appoint { who: whom(values)?, side: values.maybe("side") }))
    },
};

/// The person or the role that holds an office.
pub(super) fn whom(values: &Values) -> Result<Appointee, Wrong> {
    for slot in ["who", "person", "role"] {
        if let Some(who) = values.appointee(slot)? {
            return Ok(who);
        }
    }
    Err(Wrong::new("Name a person or a role."))
}
