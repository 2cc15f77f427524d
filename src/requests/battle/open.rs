//! `open`: opening a battle.

use crate::protocol::{Open, Request};
use crate::requests::{Asked, Group, Kind, Spec, Tier, Values, Wrong, flag, option, word};

pub static SPEC: Spec = Spec::new("open", Group::Battle, Tier::First, build)
    .about("Open a battle at a figure scale. Whoever opens it is its referee.")
    .examples(&[
        "open \"Harrow Ford\" --scale 25",
        "open \"Harrow Ford\" --scale 25 --side Vale --side \"Grey Banner\"",
    ])
    .slots(&[
        word("name", "Its name, such as Harrow Ford", Kind::NewName),
        option("scale", "Men that one figure stands for: 20 or 1:20", Kind::Scale).filled_in_chat(),
        option("rules", "The rules by name; without it the usual ones", Kind::RulesName),
        option("side", "A side, named at once; sides also come with their units", Kind::NewName)
            .several(&["first_side", "second_side"]),
        flag("casts", "Every roll against a side is cast by that side"),
    ]);

fn build(values: &Values) -> Result<Asked, Wrong> {
    Ok(Asked::Request(Request::Open(Open {
        name: values.text("name")?,
        scale: values.scale("scale")?,
        rules: values.maybe("rules"),
        sides: values.all("side").map(str::to_owned).collect(),
        casts: values.flag("casts"),
    })))
}
