//! `open`: opening a battle.

use crate::protocol::{Open, Request};
use crate::requests::{Asked, Fronts, Group, Kind, Spec, Tier, flag, option, word};

pub static SPEC: Spec = Spec {
    name: "open",
    in_chat: "open",
    group: Group::Battle,
    tier: Tier::First,
    aliases: &[],
    about: "Open a battle at a figure scale. Whoever opens it is its referee.",
    note: "",
    examples: &[
        "open \"Harrow Ford\" --scale 25",
        "open \"Harrow Ford\" --scale 25 --side Vale --side \"Grey Banner\"",
    ],
    slots: &[
        word("name", "Its name, such as Harrow Ford", Kind::NewName),
        option("scale", "Men that one figure stands for: 20 or 1:20", Kind::Scale).filled_in_chat(),
        option("rules", "The rules by name; without it the usual ones", Kind::RulesName),
        option("side", "A side, named at once; sides also come with their units", Kind::NewName)
            .several(&["first_side", "second_side"]),
        flag("casts", "Every roll against a side is cast by that side"),
    ],
    fronts: Fronts::Both,
    build: |values| {
        Ok(Asked::Request(Request::Open(Open {
            name: values.text("name")?,
            scale: values.scale("scale")?,
            rules: values.maybe("rules"),
            sides: values.all("side").map(str::to_owned).collect(),
            casts: values.flag("casts"),
        })))
    },
};
