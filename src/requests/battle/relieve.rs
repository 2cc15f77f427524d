//! `relieve`: taking an office away.

use super::appoint::whom;
use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, option, word};

pub static SPEC: Spec = Spec {
    name: "relieve",
    in_chat: "relieve",
    group: Group::Battle,
    tier: Tier::Second,
    aliases: &[],
    about: "Take an office away again.",
    note: "",
    examples: &["relieve person-7 --side Vale"],
    slots: &[
        word("who", "Who it was, as the record names them: person-N or role-ID", Kind::Appointee)
            .filled_in_chat()
            .only(Fronts::Table),
        option("person", "The person", Kind::Person).only(Fronts::Chat).without("role"),
        option("role", "Or everyone with this role", Kind::Role)
            .only(Fronts::Chat)
            .without("person"),
        option("side", "The side they were captain of; without it they were a referee", Kind::Side),
    ],
    fronts: Fronts::Both,
    build: |values| {
        Ok(Asked::Request(Request::Relieve { who: whom(values)?, side: values.maybe("side") }))
    },
};
