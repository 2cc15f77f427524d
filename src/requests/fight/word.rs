//! `word`: a say in the dice.

use crate::protocol::Request;
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, word};

pub static SPEC: Spec = Spec {
    name: "word",
    in_chat: "word",
    group: Group::Fight,
    tier: Tier::Later,
    aliases: &[],
    about: "Give a word that goes into every later roll, so that nobody knows the dice beforehand.",
    note: "",
    examples: &["word Orm \"cold water, high reeds\""],
    slots: &[
        word("name", "The name it is given under", Kind::NewName).filled_in_chat(),
        word("text", "The word or words, up to 80 characters", Kind::Text { most: 200 }),
    ],
    fronts: Fronts::Both,
    build: |values| {
        let (name, text) = (values.text("name")?, values.text("text")?);
        Ok(Asked::Request(Request::Word { name, text }))
    },
};
